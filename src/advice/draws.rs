//! Guesses at the truth that the presses of a client leave open: draws from a posterior.
//!
//! The latencies are taken for ex-Gaussian. What is known beforehand enters as a prior: the mean may
//! be anything; the coefficient of variation lies around the one at which the published ratio is
//! right (0.269, Simpson, Koester and LoPresti 2006), give or take a factor of 1.5; how much of the
//! spread is exponential is open. A few presses in a hundred may come at any time: without them one stray
//! press would pass for a long tail. So a few presses lead to about what the
//! ratio says, and many to what they say themselves. Averaging over the draws rather than fitting
//! once keeps one lucky set of presses from advising a scan that is too fast.

use super::presses::Pressing;
use super::resampling::{self, Point};
use crate::analysis::suggestion::CV_LIMIT;
use crate::rng::Stream;
use crate::stats::latency::ExGaussian;
use crate::stats::{Sample, gamma};

/// Standard deviation of the logarithm of the coefficient of variation, beforehand: a factor of 1.5.
const LOG_CV_SD: f64 = 0.4;
/// Share of presses that come at any time (common practice, no source; of 0, 1 and 3 % it served virtual
/// clients of many kinds best, those without such presses among them: `benches/quality`).
pub(crate) const STRAYS: f64 = 0.03;
/// Lapses beforehand, as Beta(a, b): about 1 in 40, weighing as much as 10 opportunities.
pub(crate) const LAPSES: [f64; 2] = [0.25, 9.75];

/// What was seen of a client, in seconds.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a> {
    /// Latencies of right and late presses.
    pub latencies: &'a Sample,
    /// For each press that would have come later than a limit and was withheld, that limit.
    pub withheld: &'a [f64],
    /// Lightings that were let go by.
    pub lapses: usize,
    /// Share of presses that come at any time.
    pub strays: f64,
    /// Unwanted activations a second: one that comes before the press that was meant passes for it, and so does one
    /// that comes where none was meant.
    pub unwanted: f64,
}

/// Draws `count` guesses from what `latencies` (seconds) and `omitted` of all opportunities leave
/// open. The same data give the same draws.
///
/// `None` without a positive mean latency: what is left then is no reaction.
#[must_use]
pub fn draws(latencies: &Sample, omitted: usize, count: usize) -> Option<Vec<Pressing>> {
    Seen::of(latencies, omitted, 0.0).draws(count)
}

impl<'a> Seen<'a> {
    /// All that was let go by was lapses.
    #[must_use]
    pub fn of(latencies: &'a Sample, lapses: usize, unwanted: f64) -> Seen<'a> {
        // Where hardly one of the presses can be unwanted, looking for it only costs time.
        let among = unwanted * latencies.mean() * latencies.len() as f64;
        Seen { latencies, withheld: &[], lapses, strays: STRAYS, unwanted: if among < 0.5 { 0.0 } else { unwanted } }
    }

    /// Draws `count` guesses. The same data give the same draws, on any number of cores.
    ///
    /// `None` without a positive mean latency.
    #[must_use]
    pub fn draws(&self, count: usize) -> Option<Vec<Pressing>> {
        let mut stream = Stream::named(0, "lapses");
        let [missed, pressed] = [LAPSES[0] + self.lapses as f64, LAPSES[1] + self.latencies.len() as f64];
        let guess = |law| Pressing { lapses: share(missed, pressed, &mut stream), ..law };
        Some(self.laws(count, |_| 0.0)?.into_iter().map(guess).collect())
    }

    /// Draws `count` laws, which say nothing of lapses; `more` is the logarithm of what else is known of a law.
    ///
    /// `None` without a positive mean latency.
    #[must_use]
    pub fn laws(&self, count: usize, more: impl Fn(&Pressing) -> f64 + Sync) -> Option<Vec<Pressing>> {
        let (centre, widths) = self.about()?;
        let mut stream = Stream::named(0, "latencies");
        let log_density = |at: &Point| self.log_posterior(at) + more(&model(at, self.strays));
        let found = resampling::draws(log_density, centre, widths, count, &mut stream);
        Some(found.iter().map(|at| model(at, self.strays)).collect())
    }

    /// About where the posterior lies, and how wide it is: ln mean, ln coefficient of variation, and
    /// the logit of the share of the variance that is exponential.
    fn about(&self) -> Option<(Point, Point)> {
        let mean = self.latencies.mean();
        if mean <= 0.0 {
            return None;
        }
        let spread = self.latencies.cv().unwrap_or(CV_LIMIT).clamp(0.01, 1.0);
        // A logarithm of a standard deviation is known to about √(1/n) where the law is skewed.
        let (known, before) = (self.latencies.len() as f64, 1.0 / (LOG_CV_SD * LOG_CV_SD));
        let log_cv = (known * libm::log(spread) + before * libm::log(CV_LIMIT)) / (known + before);
        let centre = [libm::log(mean), log_cv, 0.0];
        Some((centre, [2.0 * libm::exp(log_cv) / libm::sqrt(known), 1.5 / libm::sqrt(known + before), 1.5]))
    }

    /// Of the press that counts, up to a factor that is the same for every law. What is still to come `seconds` after
    /// the highlight is a press that was meant, or none: long after the others, an unwanted one would pass for the tail.
    fn density(&self, model: &Pressing, seconds: f64) -> f64 {
        if self.unwanted == 0.0 {
            return model.density(seconds);
        }
        let (meant, late) = model.density_and_late(seconds);
        meant + self.unwanted * (late + self.let_go())
    }

    /// Lightings that were let go by for each that was pressed, the prior included.
    fn let_go(&self) -> f64 {
        (LAPSES[0] + self.lapses as f64) / (LAPSES[1] + self.latencies.len() as f64)
    }

    fn log_posterior(&self, at: &Point) -> f64 {
        let model = model(at, self.strays);
        let from_cv = (at[1] - libm::log(CV_LIMIT)) / LOG_CV_SD;
        // Every share of the variance is as likely as another; this is that, seen from its logit.
        let share = 1.0 / (1.0 + libm::exp(-at[2]));
        let from_share = libm::log(share.max(1e-300)) + libm::log((1.0 - share).max(1e-300));
        let densities = self.latencies.sorted().iter().map(|seconds| self.density(&model, *seconds));
        let likelihood = log_of_product(densities.chain(self.withheld.iter().map(|limit| model.late(*limit))));
        let all = likelihood + from_share - from_cv * from_cv / 2.0;
        if all.is_finite() { all } else { f64::NEG_INFINITY }
    }
}

/// A share drawn from Beta(`one`, `other`), below 1: that of one gamma draw in two.
pub(crate) fn share(one: f64, other: f64, stream: &mut Stream) -> f64 {
    let [one, other] = [one, other].map(|shape| gamma::draw(shape, stream));
    (one / (one + other)).min(0.999)
}

/// The logarithm of the product of these, taken once for many.
fn log_of_product(factors: impl Iterator<Item = f64>) -> f64 {
    let (mut logs, mut product) = (0.0, 1.0_f64);
    for factor in factors {
        product *= factor;
        if !(1e-200..1e200).contains(&product) {
            logs += libm::log(product);
            product = 1.0;
        }
    }
    logs + libm::log(product)
}

/// What the point stands for; it says nothing of lapses.
fn model([log_mean, log_cv, logit]: &Point, strays: f64) -> Pressing {
    let mean = libm::exp(*log_mean);
    let variance = libm::pow(mean * libm::exp(*log_cv), 2.0);
    let share = (1.0 / (1.0 + libm::exp(-logit))).clamp(1e-6, 1.0 - 1e-6);
    let tau = libm::sqrt(variance * share);
    let latency = ExGaussian { mu: mean - tau, sigma: libm::sqrt(variance * (1.0 - share)), tau };
    Pressing { latency, strays, lapses: 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(count: usize, seed: u64) -> Sample {
        let mut stream = Stream::named(seed, "test");
        Sample::new((0..count).map(|_| 0.5 + 0.06 * stream.normal() + 0.2 * stream.exponential()).collect()).unwrap()
    }

    fn mean_of(values: impl Iterator<Item = f64>) -> f64 {
        Sample::new(values.collect()).unwrap().mean()
    }

    #[test]
    fn many_presses_are_believed() {
        let found = draws(&sample(2000, 1), 40, 200).unwrap();
        // The truth is a mean of 0.7 s, an SD of 0.2088 s and 2 % lapses.
        assert!((mean_of(found.iter().map(|one| one.latency.mean())) - 0.7).abs() < 0.02);
        assert!((mean_of(found.iter().map(|one| one.latency.standard_deviation())) - 0.2088).abs() < 0.02);
        assert!((mean_of(found.iter().map(|one| one.lapses)) - 0.02).abs() < 0.005);
    }

    #[test]
    fn few_presses_are_drawn_towards_the_published_ratio() {
        // Three presses that hardly differ say little of the spread.
        let found = draws(&Sample::new(vec![0.69, 0.70, 0.71]).unwrap(), 0, 200).unwrap();
        let cv = mean_of(found.iter().map(|one| one.latency.standard_deviation() / one.latency.mean()));
        assert!((0.08..0.35).contains(&cv), "{cv}");
    }

    #[test]
    fn an_unwanted_press_where_none_was_meant_is_no_tail() {
        // Sixty presses of 0.7 s on average, and two at four times that: more than a stray of the law reaches.
        let mut seconds = sample(60, 5).sorted().to_vec();
        seconds.extend([2.7, 2.9]);
        let latencies = Sample::new(seconds).unwrap();
        let spread = |unwanted: f64| {
            let found = Seen::of(&latencies, 1, unwanted).draws(400).unwrap();
            mean_of(found.iter().map(|one| one.latency.standard_deviation()))
        };
        let (quiet, busy) = (spread(0.0), spread(0.05));
        // Drawn from an SD of 0.209 s.
        assert!(busy < 0.25 && quiet > 1.3 * busy, "{quiet} {busy}");
    }

    #[test]
    fn withheld_presses_lengthen_the_tail() {
        // Forty latencies cut off at 1 s: three are known to be longer. By scipy the censored fit has a mean
        // of 0.698 s; the fit without the three has one of 0.657 s.
        let seen = [
            423, 458, 478, 493, 506, 517, 527, 537, 546, 554, 563, 571, 580, 588, 597, 605, 614, 623, 633, 642, 652,
            663, 674, 686, 699, 712, 726, 742, 758, 777, 797, 819, 844, 872, 906, 946, 996,
        ];
        let latencies = Sample::new(seen.map(|ms| f64::from(ms) / 1e3).to_vec()).unwrap();
        let mean = |withheld: &[f64]| {
            let found = Seen { withheld, ..Seen::of(&latencies, 0, 0.0) }.draws(400).unwrap();
            mean_of(found.iter().map(|one| one.latency.mean()))
        };
        assert!((mean(&[1.0; 3]) - 0.698).abs() < 0.02 && (mean(&[]) - 0.657).abs() < 0.02);
    }

    #[test]
    fn the_same_data_give_the_same_draws_and_nothing_is_not_a_number() {
        assert_eq!(draws(&sample(30, 2), 1, 20), draws(&sample(30, 2), 1, 20));
        let equal = draws(&Sample::new(vec![0.7; 40]).unwrap(), 0, 50).unwrap();
        assert!(equal.iter().all(|one| one.latency.mean().is_finite() && one.latency.sigma > 0.0));
        assert_eq!(draws(&Sample::new(vec![-0.1, 0.05]).unwrap(), 0, 5), None);
    }
}
