//! Ways of scanning against each other, on the same guesses at how the client presses.
//!
//! Each stands at its own comfortable scan interval. Differences are taken guess by guess, so that
//! what all ways share (a slow client is slow everywhere) drops out of them.

use super::curve::ninety;
use super::expected_time::{Pace, Ways};
use super::optimum::{Search, between};
use super::timed::Timed;
use crate::analysis::words::{decimals, percent, seconds};

/// Less time a selection that is worth learning another way for (common practice, no source).
pub const WORTH: f64 = 0.10;
/// How likely it has to be that there is a gain at all (common practice, no source).
pub const LIKELY: f64 = 0.9;

/// Seconds that each further press of a selection has to save (common practice, no source).
pub const SAVED_S: f64 = 2.0;

/// A way of scanning at its comfortable interval.
#[derive(Clone, Debug, PartialEq)]
pub struct Entrant {
    /// The interval, in seconds.
    pub interval: f64,
    /// Seconds of a selection, errors and recovery included: one value a guess.
    pub seconds: Vec<f64>,
    /// Switch hits of a selection, errors, recovery and unwanted ones included: the mean over the guesses.
    pub hits: f64,
}

/// What one way saves against another, as a share of the other's time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gain {
    /// Of the mean times; negative where it costs more.
    pub share: f64,
    /// 90 % interval over the guesses.
    pub interval: [f64; 2],
    /// Share of the guesses in which it saves anything.
    pub chance: f64,
    /// Mean seconds saved with each further press; infinite where it asks for none.
    pub saved_by_a_press: f64,
}

impl Entrant {
    /// The way at its comfortable interval; `pace` gives everything else. `None` where more goes
    /// wrong than can be put right, at any interval.
    #[must_use]
    pub fn new(timed: &Timed, ways: &Ways, pace: &Pace) -> Option<Entrant> {
        let Timed { latencies, guesses, recovery, .. } = timed;
        let at = |guess: usize, interval| ways.seconds_with(&guesses[guess], &Pace { interval, ..*pace }, recovery);
        let (guesses, between) = (guesses.len(), between(latencies));
        let search = Search { guesses, seconds: at, late: |_, _| 0.0, between, late_limit: None };
        let interval = search.optimum()?.comfortable;
        let pace = Pace { interval, ..*pace };
        let takes = timed.guesses.iter().map(|guess| ways.takes(guess, &pace, recovery));
        let (seconds, hits): (Vec<f64>, Vec<f64>) = takes.map(|takes| (takes.seconds, takes.hits)).unzip();
        seconds.iter().all(|seconds| seconds.is_finite()).then_some(Entrant { interval, seconds, hits: mean(&hits) })
    }

    /// Mean seconds of a selection.
    #[must_use]
    pub fn mean(&self) -> f64 {
        mean(&self.seconds)
    }

    /// 90 % interval of the seconds of a selection.
    #[must_use]
    pub fn range(&self) -> Option<[f64; 2]> {
        ninety(self.seconds.clone())
    }
}

impl Gain {
    /// What `to` saves against `from`; `None` without guesses.
    #[must_use]
    pub fn of(from: &Entrant, to: &Entrant) -> Option<Gain> {
        let shares: Vec<f64> = from.seconds.iter().zip(&to.seconds).map(|(from, to)| 1.0 - to / from).collect();
        let saved = shares.iter().filter(|share| **share > 0.0).count();
        let chance = saved as f64 / shares.len() as f64;
        let further = to.hits - from.hits;
        let saved_by_a_press = if further > 0.0 { (from.mean() - to.mean()) / further } else { f64::INFINITY };
        Some(Gain { share: 1.0 - to.mean() / from.mean(), interval: ninety(shares)?, chance, saved_by_a_press })
    }

    /// In words, with the names of the two ways: as it is now, and the other.
    #[must_use]
    pub fn told(&self, (from, now): (&str, &Entrant), (to, other): (&str, &Entrant)) -> String {
        let time = |one: &Entrant| format!("{} and {} switch hits", seconds(one.mean()), decimals(one.hits, 1));
        let [low, high] = self.interval;
        let [share, low, high, word] = match self.share {
            share if share >= 0.0 => [percent(share), percent(low), percent(high), "less".into()],
            share => [percent(-share), percent(-high), percent(-low), "more".into()],
        };
        format!(
            "A selection on this menu takes {} as it is now ({from}), {} as {to}: {share} {word} time (90 %: {low} to \
             {high}).{}",
            time(now),
            time(other),
            self.effort()
        )
    }

    /// Why what saves time is not worth it.
    fn effort(&self) -> String {
        if !self.saves() || self.worth_it() {
            return String::new();
        }
        let saved = seconds(self.saved_by_a_press);
        format!(" Each further press saves {saved}; {} are wanted, unless pressing comes easily.", seconds(SAVED_S))
    }

    fn saves(&self) -> bool {
        self.share >= WORTH && self.chance >= LIKELY
    }

    /// It is worth learning another way for, and worth its further presses.
    #[must_use]
    pub fn worth_it(&self) -> bool {
        self.saves() && self.saved_by_a_press >= SAVED_S
    }
}

/// For each way the share of guesses in which it is the fastest; the first of equals is.
#[must_use]
pub fn chances(entrants: &[&Entrant]) -> Vec<f64> {
    let guesses = entrants.iter().map(|entrant| entrant.seconds.len()).min().unwrap_or(0);
    let mut won = vec![0.0; entrants.len()];
    for guess in 0..guesses {
        let fastest = (0..entrants.len())
            .min_by(|one, two| entrants[*one].seconds[guess].total_cmp(&entrants[*two].seconds[guess]));
        if let Some(fastest) = fastest {
            won[fastest] += 1.0 / guesses as f64;
        }
    }
    won
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::expected_time::Recovery;
    use crate::advice::presses::Pressing;
    use crate::advice::timed::Guess;
    use crate::stats::Sample;
    use crate::stats::latency::ExGaussian;

    const BARE: Pace = Pace { interval: 1.0, first_at_top: 0.0, first_inside: 0.0, pause: 0.0, loops_inside: 2 };

    fn guess() -> Guess {
        let latency = ExGaussian { mu: 0.5, sigma: 0.06, tau: 0.2 };
        Guess { presses: Pressing { latency, strays: 0.0, lapses: 0.0 }, unwanted: 0.0 }
    }

    fn entrant(seconds: &[f64]) -> Entrant {
        Entrant { interval: 1.0, seconds: seconds.to_vec(), hits: 1.0 }
    }

    #[test]
    fn a_gain_is_judged_guess_by_guess() {
        let (from, to) = (entrant(&[10.0, 12.0, 8.0, 10.0]), entrant(&[8.0, 9.0, 8.8, 8.0]));
        let gain = Gain::of(&from, &to).unwrap();
        // 1 − 33.8/40 and three of four: by hand.
        assert!((gain.share - 0.155).abs() < 1e-12 && (gain.chance - 0.75).abs() < 1e-12);
        assert!(!gain.worth_it());
        assert!(Gain { chance: 0.9, ..gain }.worth_it());
        assert!(!Gain { share: 0.09, chance: 1.0, ..gain }.worth_it());
        let tiring = Gain { chance: 0.9, saved_by_a_press: 1.9, ..gain };
        assert!(!tiring.worth_it() && tiring.effort().contains("1.90 s"));
        assert_eq!(chances(&[&from, &to]), [0.25, 0.75]);
    }

    #[test]
    fn what_a_further_press_saves_is_told_apart() {
        // Ten seconds less six, for two more presses: 2 s each, by hand.
        let (from, to) = (entrant(&[10.0; 3]), Entrant { hits: 3.0, ..entrant(&[6.0; 3]) });
        assert!((Gain::of(&from, &to).unwrap().saved_by_a_press - 2.0).abs() < 1e-12);
        assert_eq!(Gain::of(&to, &from).unwrap().saved_by_a_press, f64::INFINITY);
    }

    #[test]
    fn equal_ways_gain_nothing() {
        let one = entrant(&[5.0; 3]);
        let gain = Gain::of(&one, &one).unwrap();
        assert_eq!((gain.share, gain.chance), (0.0, 0.0));
    }

    #[test]
    fn the_interval_is_the_comfortable_one() {
        let latencies = Sample::new(vec![0.7; 20]).unwrap();
        let timed = Timed { latencies, trials: 20, guesses: vec![guess()], recovery: Recovery::default() };
        let found = Entrant::new(&timed, &Ways::linear(8).unwrap(), &BARE).unwrap();
        // The optimum of this client is 1.0428 s with 5.0499 s a selection (scipy); 5 % more is 5.302 s.
        assert!(found.interval > 1.0428 && found.mean() <= 1.05 * 5.05, "{found:?}");
    }
}
