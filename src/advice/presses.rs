//! How a client presses, as one set of guesses: a distribution of latencies and a share of lapses.

use super::expected_time::Presses;
use crate::stats::latency::ExGaussian;

/// One guess at the truth, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressing {
    /// Latencies of the presses that come.
    pub latency: ExGaussian,
    /// Share of lightings without a press, from 0 to below 1.
    pub lapses: f64,
}

impl Presses for Pressing {
    fn within(&self, seconds: f64) -> f64 {
        self.latency.cumulative(seconds)
    }

    fn mean(&self) -> f64 {
        self.latency.mean()
    }

    fn lapses(&self) -> f64 {
        self.lapses
    }
}
