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

impl Pressing {
    /// Share of presses that come after an entry which is lit for `seconds` has gone.
    #[must_use]
    pub fn late(&self, seconds: f64) -> f64 {
        self.latency.survival(seconds)
    }
}

impl Presses for Pressing {
    fn within(&self, seconds: f64) -> f64 {
        1.0 - self.latency.survival(seconds)
    }

    fn mean(&self) -> f64 {
        self.latency.mean()
    }

    fn lapses(&self) -> f64 {
        self.lapses
    }

    /// Exact: the cumulants of a Normal and of an exponential add up.
    fn cumulant(&self, rate: f64) -> f64 {
        let ExGaussian { mu, sigma, tau } = self.latency;
        rate * mu - rate * rate * sigma * sigma / 2.0 + libm::log1p(rate * tau)
    }
}

/// The same presses with unwanted activations among them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disturbed<P> {
    /// What is wanted.
    pub presses: P,
    /// Unwanted activations a second while the scan runs, at every moment alike.
    pub unwanted: f64,
}

impl<P: Presses> Presses for Disturbed<P> {
    fn within(&self, seconds: f64) -> f64 {
        self.presses.within(seconds)
    }

    fn mean(&self) -> f64 {
        self.presses.mean()
    }

    fn lapses(&self) -> f64 {
        self.presses.lapses()
    }

    fn unwanted(&self) -> f64 {
        self.unwanted
    }

    fn cumulant(&self, rate: f64) -> f64 {
        self.presses.cumulant(rate)
    }
}
