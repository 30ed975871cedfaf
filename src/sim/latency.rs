//! The laws by which a virtual client's latencies are drawn.
//!
//! Each is a way to describe human response times: a Normal part plus an exponential one, or a
//! shift plus a lognormal, Wald or gamma part, or any law at all by its quantiles. Times are in
//! seconds from the highlight's onset. Nothing here fits anything.

use serde::{Deserialize, Serialize};

use crate::rng::Stream;
use crate::stats::gamma;
use crate::stats::latency::{ExGaussian, Law as _, Lognormal, Wald};

/// A law of latencies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "law", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Latency {
    /// A Normal part plus an exponential one.
    ExGaussian {
        /// Mean of the Normal part, in seconds.
        mu_s: f64,
        /// Standard deviation of the Normal part, in seconds.
        sigma_s: f64,
        /// Mean of the exponential part, in seconds.
        tau_s: f64,
    },
    /// A shift plus a part whose logarithm is Normal.
    Lognormal {
        /// The shift, in seconds.
        shift_s: f64,
        /// Median of the variable part, in seconds.
        median_s: f64,
        /// Standard deviation of its natural logarithm.
        log_sd: f64,
    },
    /// A shift plus the time that evidence takes to reach a threshold (inverse Gaussian).
    Wald {
        /// The shift, in seconds.
        shift_s: f64,
        /// Mean of the variable part, in seconds.
        mean_s: f64,
        /// Its shape, in seconds: the variance is mean³ / shape.
        shape_s: f64,
    },
    /// A shift plus a sum of exponential stages.
    Gamma {
        /// The shift, in seconds.
        shift_s: f64,
        /// Number of stages, not necessarily whole.
        shape: f64,
        /// Mean time of a stage, in seconds.
        scale_s: f64,
    },
    /// Any law, by its quantiles.
    Quantiles {
        /// The values below which the shares 0, 1/n, 2/n … 1 lie, in seconds, never falling; straight
        /// between two of them.
        seconds: Vec<f64>,
    },
}

impl Latency {
    /// One latency, drawn, in seconds.
    #[inline]
    pub fn draw(&self, stream: &mut Stream) -> f64 {
        match self {
            Latency::ExGaussian { mu_s, sigma_s, tau_s } => ex_gaussian(*mu_s, *sigma_s, *tau_s).draw(stream),
            Latency::Lognormal { shift_s, median_s, log_sd } => lognormal(*shift_s, *median_s, *log_sd).draw(stream),
            Latency::Wald { shift_s, mean_s, shape_s } => wald(*shift_s, *mean_s, *shape_s).draw(stream),
            Latency::Gamma { shift_s, shape, scale_s } => shift_s + scale_s * gamma::draw(*shape, stream),
            Latency::Quantiles { seconds } => between(seconds, stream.unit()),
        }
    }

    /// Chance of a latency of at most `seconds`.
    #[must_use]
    pub fn within(&self, seconds: f64) -> f64 {
        match self {
            Latency::ExGaussian { mu_s, sigma_s, tau_s } => ex_gaussian(*mu_s, *sigma_s, *tau_s).cumulative(seconds),
            Latency::Lognormal { shift_s, median_s, log_sd } => {
                lognormal(*shift_s, *median_s, *log_sd).cumulative(seconds)
            }
            Latency::Wald { shift_s, mean_s, shape_s } => wald(*shift_s, *mean_s, *shape_s).cumulative(seconds),
            Latency::Gamma { shift_s, shape, scale_s } => {
                gamma::lower(*shape, ((seconds - shift_s) / scale_s).max(0.0))
            }
            Latency::Quantiles { seconds: quantiles } => share_within(quantiles, seconds),
        }
    }

    /// Mean, in seconds.
    #[must_use]
    pub fn mean(&self) -> f64 {
        match self {
            Latency::ExGaussian { mu_s, sigma_s, tau_s } => ex_gaussian(*mu_s, *sigma_s, *tau_s).mean(),
            Latency::Lognormal { shift_s, median_s, log_sd } => lognormal(*shift_s, *median_s, *log_sd).mean(),
            Latency::Wald { shift_s, mean_s, .. } => shift_s + mean_s,
            Latency::Gamma { shift_s, shape, scale_s } => shift_s + shape * scale_s,
            Latency::Quantiles { seconds } => {
                let sum: f64 = seconds.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0).sum();
                sum / (seconds.len().max(2) - 1) as f64
            }
        }
    }
}

fn ex_gaussian(mu: f64, sigma: f64, tau: f64) -> ExGaussian {
    ExGaussian { mu, sigma, tau }
}

fn lognormal(shift: f64, median: f64, sigma: f64) -> Lognormal {
    // A spread of zero is none of the family.
    Lognormal { shift, mu: libm::log(median), sigma: sigma.max(1e-9) }
}

/// The law in the terms of its mean and shape instead of its threshold and drift.
fn wald(shift: f64, mean: f64, shape: f64) -> Wald {
    let threshold = libm::sqrt(shape);
    Wald { shift, threshold, drift: threshold / mean }
}

/// The quantile of the share `share`, which lies from 0 to 1.
fn between(quantiles: &[f64], share: f64) -> f64 {
    let Some(steps) = quantiles.len().checked_sub(2) else { return quantiles.first().copied().unwrap_or(0.0) };
    let place = share * (steps + 1) as f64;
    let below = (place as usize).min(steps);
    quantiles[below] + (place - below as f64) * (quantiles[below + 1] - quantiles[below])
}

fn share_within(quantiles: &[f64], seconds: f64) -> f64 {
    let reached = quantiles.partition_point(|quantile| *quantile <= seconds);
    if reached == 0 || reached == quantiles.len() {
        return if reached == 0 { 0.0 } else { 1.0 };
    }
    let (low, high) = (quantiles[reached - 1], quantiles[reached]);
    (reached as f64 - 1.0 + (seconds - low) / (high - low)) / (quantiles.len() - 1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn laws() -> [Latency; 5] {
        [
            Latency::ExGaussian { mu_s: 0.55, sigma_s: 0.07, tau_s: 0.16 },
            Latency::Lognormal { shift_s: 0.2, median_s: 0.45, log_sd: 0.4 },
            Latency::Wald { shift_s: 0.2, mean_s: 0.5, shape_s: 3.0 },
            Latency::Gamma { shift_s: 0.2, shape: 3.0, scale_s: 0.17 },
            Latency::Quantiles { seconds: vec![0.4, 0.6, 0.7, 0.9, 1.6] },
        ]
    }

    #[test]
    fn chances_agree_with_scipy() {
        // scipy 1.17.1: exponnorm(16/7), lognorm(0.4), invgauss(1/6), gamma(3), at 0.5, 0.7, 1.0 and 1.5 s.
        let wanted = [
            [0.049_955_540_654_8, 0.571_990_930_431_4, 0.933_913_902_206_4, 0.997_096_379_507_6],
            [0.155_371_847_303_3, 0.603_879_351_457_3, 0.924_841_172_891_8, 0.996_001_304_097_4],
            [0.137_133_317_638_3, 0.578_395_484_501_9, 0.916_271_737_652_6, 0.996_149_850_673_7],
            [0.259_947_434_124_5, 0.563_502_665_990_9, 0.848_289_512_816_9, 0.981_911_557_937_7],
        ];
        for (law, wanted) in laws().iter().zip(wanted) {
            for (seconds, wanted) in [0.5, 0.7, 1.0, 1.5].into_iter().zip(wanted) {
                assert!((law.within(seconds) - wanted).abs() < 1e-9, "{law:?} at {seconds}");
            }
        }
    }

    #[test]
    fn before_any_press_can_come_the_chance_is_nothing() {
        for (law, seconds) in laws().iter().flat_map(|law| [-1.0, 0.1].map(|seconds| (law, seconds))) {
            assert!((0.0..1e-6).contains(&law.within(seconds)), "{law:?} at {seconds}: {}", law.within(seconds));
        }
    }

    #[test]
    fn a_wald_law_that_is_nearly_sharp_does_not_overflow() {
        // scipy 1.17.1: invgauss(mu=0.5/2000, scale=2000, loc=0.2).
        let sharp = Latency::Wald { shift_s: 0.2, mean_s: 0.5, shape_s: 2000.0 };
        for (seconds, wanted) in [(0.69, 0.102_062_280_8), (0.7, 0.503_153_718_6), (0.71, 0.896_236_163_6)] {
            assert!((sharp.within(seconds) - wanted).abs() < 1e-9, "{seconds}");
        }
    }

    #[test]
    fn draws_follow_their_law_and_have_its_mean() {
        // Kolmogorov–Smirnov: 1.95 / sqrt(n) is exceeded once in a thousand (handbook tables).
        let count = 20_000;
        for law in laws().into_iter().chain([Latency::Gamma { shift_s: 0.1, shape: 0.6, scale_s: 0.5 }]) {
            let mut stream = Stream::named(5, "law");
            let mut drawn: Vec<f64> = (0..count).map(|_| law.draw(&mut stream)).collect();
            drawn.sort_by(f64::total_cmp);
            let n = f64::from(count);
            let gap = |(rank, x): (usize, &f64)| {
                let share = law.within(*x);
                (share - rank as f64 / n).abs().max((share - (rank as f64 + 1.0) / n).abs())
            };
            let distance = drawn.iter().enumerate().map(gap).fold(0.0, f64::max);
            assert!(distance < 1.95 / n.sqrt(), "{law:?}: {distance}");
            let mean = drawn.iter().sum::<f64>() / n;
            assert!((mean - law.mean()).abs() < 0.02, "{law:?}: {mean}");
        }
    }
}
