//! Guesses at the truth that the presses of a client leave open: draws from a posterior.
//!
//! The latencies are taken for ex-Gaussian. What is known beforehand enters as a prior: the mean may
//! be anything; the coefficient of variation lies around the one at which the published ratio is
//! right (0.269, Simpson, Koester and LoPresti 2006), give or take a factor of 1.5; how much of the
//! spread is exponential is open. So a few presses lead to about what the
//! ratio says, and many to what they say themselves. Averaging over the draws rather than fitting
//! once keeps one lucky set of presses from advising a scan that is too fast.

use super::presses::Pressing;
use crate::analysis::suggestion::CV_LIMIT;
use crate::rng::Stream;
use crate::stats::latency::ExGaussian;
use crate::stats::{Sample, beta};

/// Standard deviation of the logarithm of the coefficient of variation, beforehand: a factor of 1.5.
const LOG_CV_SD: f64 = 0.4;
/// Lapses beforehand, as Beta(a, b): about 1 in 40, weighing as much as 10 opportunities.
const LAPSES: [f64; 2] = [0.25, 9.75];
/// Steps of the chain before it counts, and between two draws.
const WARM_UP: usize = 300;
const BETWEEN: usize = 6;
/// First step sizes of the chain, in its own coordinates; they are fitted while it warms up.
const STEPS: [f64; 3] = [0.05, 0.15, 0.5];

/// The point at which the chain stands: ln mean, ln coefficient of variation, and the logit of the
/// share of the variance that is exponential.
type Point = [f64; 3];

/// Draws `count` guesses from what `latencies` (seconds) and `omitted` of all opportunities leave
/// open. The same data give the same draws.
///
/// `None` without a positive mean latency: what is left then is no reaction.
#[must_use]
pub fn draws(latencies: &Sample, omitted: usize, count: usize) -> Option<Vec<Pressing>> {
    let mut chain = Chain::new(latencies)?;
    for step in 0..WARM_UP {
        chain.step();
        if step % 50 == 49 {
            chain.fit_steps();
        }
    }
    let mut lapses = Stream::named(0, "lapses");
    let (a, b) = (LAPSES[0] + omitted as f64, LAPSES[1] + latencies.len() as f64);
    let draw = |_| {
        for _ in 0..BETWEEN {
            chain.step();
        }
        Pressing { latency: model(chain.at), lapses: beta::quantile(a, b, lapses.unit()).min(0.999) }
    };
    Some((0..count).map(draw).collect())
}

struct Chain<'a> {
    seconds: &'a [f64],
    stream: Stream,
    at: Point,
    log_posterior: f64,
    steps: [f64; 3],
    taken: [u32; 3],
    tried: u32,
}

impl Chain<'_> {
    fn new(latencies: &Sample) -> Option<Chain<'_>> {
        let mean = latencies.mean();
        if mean <= 0.0 {
            return None;
        }
        let spread = latencies.cv().unwrap_or(CV_LIMIT).clamp(0.05, 1.0);
        let at = [libm::log(mean), 0.5 * (libm::log(spread) + libm::log(CV_LIMIT)), 0.0];
        let seconds = latencies.sorted();
        let stream = Stream::named(0, "latencies");
        Some(Chain {
            seconds,
            stream,
            at,
            log_posterior: log_posterior(at, seconds),
            steps: STEPS,
            taken: [0; 3],
            tried: 0,
        })
    }

    /// One coordinate after the other (Metropolis).
    fn step(&mut self) {
        for axis in 0..3 {
            let mut next = self.at;
            next[axis] += self.steps[axis] * self.stream.normal();
            let log_posterior = log_posterior(next, self.seconds);
            if libm::log(1.0 - self.stream.unit()) < log_posterior - self.log_posterior {
                (self.at, self.log_posterior) = (next, log_posterior);
                self.taken[axis] += 1;
            }
        }
        self.tried += 1;
    }

    /// Longer steps where most are taken, shorter ones where few are (0.44 is best in one
    /// dimension: Gelman, Roberts and Gilks 1996, from memory).
    fn fit_steps(&mut self) {
        for (step, taken) in self.steps.iter_mut().zip(&mut self.taken) {
            *step *= libm::exp(2.0 * (f64::from(*taken) / f64::from(self.tried) - 0.44));
            *taken = 0;
        }
        self.tried = 0;
    }
}

fn log_posterior(at: Point, seconds: &[f64]) -> f64 {
    let model = model(at);
    let from_cv = (at[1] - libm::log(CV_LIMIT)) / LOG_CV_SD;
    // Every share of the variance is as likely as another; this is that, seen from its logit.
    let share = 1.0 / (1.0 + libm::exp(-at[2]));
    let from_share = libm::log(share.max(1e-300)) + libm::log((1.0 - share).max(1e-300));
    let likelihood: f64 = seconds.iter().map(|seconds| model.log_density(*seconds)).sum();
    let all = likelihood + from_share - from_cv * from_cv / 2.0;
    if all.is_finite() { all } else { f64::NEG_INFINITY }
}

fn model([log_mean, log_cv, logit]: Point) -> ExGaussian {
    let mean = libm::exp(log_mean);
    let variance = libm::pow(mean * libm::exp(log_cv), 2.0);
    let share = (1.0 / (1.0 + libm::exp(-logit))).clamp(1e-6, 1.0 - 1e-6);
    let tau = libm::sqrt(variance * share);
    ExGaussian { mu: mean - tau, sigma: libm::sqrt(variance * (1.0 - share)), tau }
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
    fn the_same_data_give_the_same_draws_and_nothing_is_not_a_number() {
        assert_eq!(draws(&sample(30, 2), 1, 20), draws(&sample(30, 2), 1, 20));
        let equal = draws(&Sample::new(vec![0.7; 40]).unwrap(), 0, 50).unwrap();
        assert!(equal.iter().all(|one| one.latency.mean().is_finite() && one.latency.sigma > 0.0));
        assert_eq!(draws(&Sample::new(vec![-0.1, 0.05]).unwrap(), 0, 5), None);
    }
}
