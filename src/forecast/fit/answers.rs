//! Law of latencies, lapses and late presses not made, judged together.
//!
//! A lighting without a press was a lapse, or its press would have come late and was not made. With
//! m the share of lapses, g that of late presses not made and S the chance of a late press, a lighting
//! of which no press is seen has the chance m + (1 − m)gS. How many of them were of the second kind is
//! summed over, weighed by what the law says of late presses; given that number, m and g are beta.

use crate::advice::draws::{LAPSES, Seen, share};
use crate::advice::presses::Pressing;
use crate::rng::Stream;
use crate::stats::Sample;
use crate::stats::latency::ExGaussian;

/// With fewer late presses to be expected nobody can say whether they are made (common practice, no source).
const ENOUGH_LATE: f64 = 5.0;

/// Lapses beforehand where late presses may be missing, as Beta(a, b). That of the advice has a peak at
/// none at all, and would take every lapse for a late press not made.
const AMONG_LATE: [f64; 2] = [1.0, 9.75];

/// What came of the lightings, in seconds.
pub(super) struct Answers {
    /// Right and late presses.
    pub latencies: Sample,
    /// Late presses among them.
    pub late: usize,
    /// Windows of the lightings that were pressed, and of those without a press.
    pub pressed: Vec<f64>,
    pub omitted: Vec<f64>,
}

/// One guess.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Answer {
    pub law: ExGaussian,
    pub miss: f64,
    pub gives_up_late: f64,
}

impl Answers {
    /// `count` guesses; whether late presses not made could be told from lapses.
    ///
    /// `None` without a positive mean latency.
    pub fn guesses(&self, count: usize) -> Option<(Vec<Answer>, bool)> {
        let both = self.drawn(count, self.omitted.len())?;
        let expected = both.iter().map(|guess| self.late_presses(&guess.law)).sum::<f64>() / both.len().max(1) as f64;
        if expected >= ENOUGH_LATE {
            return Some((both, true));
        }
        let lapses = self.drawn(count, 0)?;
        Some((lapses.into_iter().map(|guess| Answer { gives_up_late: 0.0, ..guess }).collect(), false))
    }

    /// Late presses to be expected of so many lightings, made or not.
    fn late_presses(&self, law: &ExGaussian) -> f64 {
        self.pressed.iter().chain(&self.omitted).map(|window| law.survival(*window)).sum()
    }

    /// Guesses where at most `most` of the lightings without a press were late presses not made.
    fn drawn(&self, count: usize, most: usize) -> Option<Vec<Answer>> {
        // A press astray would be no trait of the client: all that came late is its tail.
        let seen = Seen { latencies: &self.latencies, withheld: &[], lapses: 0, strays: 0.0, unwanted: 0.0 };
        let prior = if most == 0 { LAPSES } else { AMONG_LATE };
        let ways: Vec<f64> = (0..=most).map(|withheld| self.log_ways(withheld, prior)).collect();
        let more = |law: &Pressing| log_sum(&self.weighed(&ways, &law.latency));
        let mut stream = Stream::named(0, "answers");
        let laws = seen.laws(count, more)?;
        Some(laws.iter().map(|law| self.answer(law.latency, &ways, prior, &mut stream)).collect())
    }

    /// Of a law: for each number of late presses not made the logarithm of its weight.
    fn weighed(&self, ways: &[f64], law: &ExGaussian) -> Vec<f64> {
        let late: f64 = self.omitted.iter().map(|window| law.survival(*window)).sum();
        let log_late = libm::log((late / self.omitted.len().max(1) as f64).max(1e-300));
        ways.iter().enumerate().map(|(withheld, log_ways)| log_ways + withheld as f64 * log_late).collect()
    }

    /// The binomial coefficient and the integrals over m and g.
    fn log_ways(&self, withheld: usize, prior: [f64; 2]) -> f64 {
        let [lapsed, pressed] = self.lapsing(withheld, prior);
        let [not_made, made] = self.giving_up(withheld);
        let all = self.omitted.len() as f64;
        let chosen = log_factorial(all) - log_factorial(withheld as f64) - log_factorial(all - withheld as f64);
        chosen + log_beta(lapsed, pressed) + log_beta(not_made, made)
    }

    /// The beta distribution of m.
    fn lapsing(&self, withheld: usize, [missed, pressed]: [f64; 2]) -> [f64; 2] {
        let lapsed = self.omitted.len() - withheld;
        [missed + lapsed as f64, pressed + (self.latencies.len() + withheld) as f64]
    }

    /// The beta distribution of g; beforehand every share is as likely as another.
    fn giving_up(&self, withheld: usize) -> [f64; 2] {
        [1.0 + withheld as f64, 1.0 + self.late as f64]
    }

    fn answer(&self, law: ExGaussian, ways: &[f64], prior: [f64; 2], stream: &mut Stream) -> Answer {
        let withheld = pick(&self.weighed(ways, &law), stream);
        let [lapsed, pressed] = self.lapsing(withheld, prior);
        let [not_made, made] = self.giving_up(withheld);
        Answer { law, miss: share(lapsed, pressed, stream), gives_up_late: share(not_made, made, stream) }
    }
}

/// One of these, by the logarithms of their weights.
fn pick(log_weights: &[f64], stream: &mut Stream) -> usize {
    let total = log_sum(log_weights);
    let mut left = stream.unit();
    for (place, log_weight) in log_weights.iter().enumerate() {
        left -= libm::exp(log_weight - total);
        if left < 0.0 {
            return place;
        }
    }
    0
}

fn log_sum(logs: &[f64]) -> f64 {
    let largest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    largest + libm::log(logs.iter().map(|log| libm::exp(log - largest)).sum())
}

fn log_factorial(count: f64) -> f64 {
    libm::lgamma(count + 1.0)
}

fn log_beta(a: f64, b: f64) -> f64 {
    libm::lgamma(a) + libm::lgamma(b) - libm::lgamma(a + b)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAW: ExGaussian = ExGaussian { mu: 0.6, sigma: 0.08, tau: 0.3 };

    /// Lightings of a client with this law: what is late is not made `gives_up` of the time.
    fn answers(lightings: usize, window: f64, miss: f64, gives_up: f64, seed: u64) -> Answers {
        let mut stream = Stream::named(seed, "answers test");
        let (mut latencies, mut late, mut omitted) = (Vec::new(), 0, Vec::new());
        for _ in 0..lightings {
            let latency = LAW.draw(&mut stream);
            let [lapses, gives_up] = [miss, gives_up].map(|share| stream.unit() < share);
            if lapses || (latency > window && gives_up) {
                omitted.push(window);
            } else {
                late += usize::from(latency > window);
                latencies.push(latency);
            }
        }
        let pressed = vec![window; latencies.len()];
        Answers { latencies: Sample::new(latencies).unwrap(), late, pressed, omitted }
    }

    fn mean(guesses: &[Answer], of: impl Fn(&Answer) -> f64) -> f64 {
        guesses.iter().map(of).sum::<f64>() / guesses.len() as f64
    }

    #[test]
    fn lapses_and_late_presses_not_made_are_told_apart() {
        // At 1 s one press in five is late; two thirds of these are not made, and 5 % of lightings lapse. Of
        // ten 90 % intervals at least seven hold the truth (P < 0.02 below, binomial).
        let mut covered = [0; 3];
        for seed in 0..10 {
            let (found, told) = answers(600, 1.0, 0.05, 0.67, seed).guesses(200).unwrap();
            assert!(told);
            let of: [fn(&Answer) -> f64; 3] = [|one| one.miss, |one| one.gives_up_late, |one| one.law.mean()];
            for (count, (of, truth)) in covered.iter_mut().zip(of.into_iter().zip([0.05, 0.67, 0.9])) {
                let sample = Sample::new(found.iter().map(of).collect()).unwrap();
                *count += u32::from((sample.quantile(0.05)..=sample.quantile(0.95)).contains(&truth));
            }
        }
        assert!(covered.iter().all(|count| *count >= 7), "{covered:?}");
    }

    #[test]
    fn a_wide_window_tells_nothing_of_late_presses() {
        let (found, told) = answers(200, 3.0, 0.1, 0.5, 2).guesses(200).unwrap();
        assert!(!told && found.iter().all(|one| one.gives_up_late == 0.0));
        assert!((mean(&found, |one| one.miss) - 0.1).abs() < 0.06);
    }

    #[test]
    fn without_late_presses_the_shares_of_lapses_are_those_of_a_beta_distribution() {
        // Mean (0.25 + omitted)/(10 + lightings).
        let answers = answers(100, 3.0, 0.2, 0.0, 3);
        let (found, _) = answers.guesses(2_000).unwrap();
        let wanted = (0.25 + answers.omitted.len() as f64) / 110.0;
        assert!((mean(&found, |one| one.miss) - wanted).abs() < 0.004);
    }

    #[test]
    fn sums_of_logarithms_do_not_overflow_and_picks_follow_their_weights() {
        assert!((log_sum(&[-1_000.0, -1_000.0]) - (-1_000.0 + 2.0_f64.ln())).abs() < 1e-9);
        let mut stream = Stream::named(1, "pick");
        let logs = [0.2_f64.ln(), 0.8_f64.ln()];
        let ones: usize = (0..10_000).map(|_| pick(&logs, &mut stream)).sum();
        assert!((7_800..8_200).contains(&ones), "{ones}");
    }
}
