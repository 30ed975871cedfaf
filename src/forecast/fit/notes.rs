//! What was measured and what was assumed, as it is written down.

use crate::sim::latency::Latency;
use crate::sim::profile::fitted::{Assumed, Measured};
use crate::stats::Sample;

/// The list in the making.
#[derive(Debug, Default)]
pub(super) struct Notes {
    pub measured: Vec<Measured>,
    pub assumed: Vec<Assumed>,
}

impl Notes {
    /// A trait with its 90 % interval.
    pub fn measured(&mut self, name: &str, unit: &str, value: f64, [low, high]: [f64; 2], count: usize) {
        let [value, low, high] = [value, low, high].map(round);
        self.measured.push(Measured { name: name.into(), unit: unit.into(), value, low, high, count: count as u32 });
    }

    /// A trait by its guesses: their mean, and the middle 90 %.
    pub fn guessed(&mut self, name: &str, unit: &str, guesses: impl Iterator<Item = f64>, count: usize) {
        let Ok(sample) = Sample::new(guesses.collect()) else { return };
        self.measured(name, unit, sample.mean(), [sample.quantile(0.05), sample.quantile(0.95)], count);
    }

    /// A trait that the logs cannot tell.
    pub fn assumed(&mut self, name: &str, value: &str, why: &str) {
        self.assumed.push(Assumed { name: name.into(), value: value.into(), why: why.into() });
    }

    /// What no session measures so far.
    pub fn never_measured(&mut self) {
        self.assumed("lapses in the course of a session", "neither more nor fewer", "too few lapses in one session");
        self.assumed("bursts of involuntary presses", "none: each comes by itself", "a quiet watch is too short");
        self.assumed("contact", "clean", "its bounces and failures are seen by `replay --set`, not by this client");
        self.assumed("recovery", "takes the exit of a wrong group, corrects every error", "no block measures it");
    }
}

/// Six decimals: a microsecond is shorter than anything measured.
pub(super) fn round(value: f64) -> f64 {
    libm::round(value * 1e6) / 1e6
}

/// A law in rounded figures.
pub(super) fn short(law: &Latency) -> Latency {
    match law {
        Latency::ExGaussian { mu_s, sigma_s, tau_s } => {
            Latency::ExGaussian { mu_s: round(*mu_s), sigma_s: round(*sigma_s), tau_s: round(*tau_s) }
        }
        Latency::Quantiles { seconds } => Latency::Quantiles { seconds: seconds.iter().copied().map(round).collect() },
        other => other.clone(),
    }
}
