//! The ex-Gaussian: a Normal plus an independent exponential.

use super::scaled_tail::{log_lower, scaled_log_lower};

/// A Normal (`mu`, `sigma`) plus an exponential of mean `tau`, all in one unit; `sigma` and `tau` are above 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExGaussian {
    /// Mean of the Normal part.
    pub mu: f64,
    /// Standard deviation of the Normal part.
    pub sigma: f64,
    /// Mean of the exponential part.
    pub tau: f64,
}

impl ExGaussian {
    /// Natural logarithm of the density at `x`, per unit.
    pub fn log_density(&self, x: f64) -> f64 {
        self.log_exponential_share(x) - self.tau.ln()
    }

    /// Natural logarithm of the chance of a value above `x`.
    pub fn log_survival(&self, x: f64) -> f64 {
        let (normal, rest) = (log_lower((self.mu - x) / self.sigma), self.log_exponential_share(x));
        let larger = normal.max(rest);
        (larger + (normal.min(rest) - larger).exp().ln_1p()).min(0.0)
    }

    /// Mean.
    pub fn mean(&self) -> f64 {
        self.mu + self.tau
    }

    /// Standard deviation.
    pub fn standard_deviation(&self) -> f64 {
        self.sigma.hypot(self.tau)
    }

    /// ln of tau times the density; below the bend the large exponents cancel on paper, so nothing overflows.
    fn log_exponential_share(&self, x: f64) -> f64 {
        let (z, ratio) = ((x - self.mu) / self.sigma, self.sigma / self.tau);
        let bend = z - ratio;
        if bend <= 0.0 { scaled_log_lower(bend) - z * z / 2.0 } else { ratio * (ratio / 2.0 - z) + log_lower(bend) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    const TYPICAL: ExGaussian = ExGaussian { mu: 0.45, sigma: 0.08, tau: 0.15 };

    #[test]
    fn the_density_is_the_slope_of_the_survival() {
        for x in [0.3, 0.45, 0.6, 1.2] {
            let slope = (TYPICAL.log_survival(x - 1e-5).exp() - TYPICAL.log_survival(x + 1e-5).exp()) / 2e-5;
            assert!((slope / TYPICAL.log_density(x).exp() - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn a_vanishing_tau_leaves_the_normal() {
        let model = ExGaussian { mu: 0.0, sigma: 1.0, tau: 1e-9 };
        assert!((model.log_density(1.0) + 0.5 + (2.0 * PI).sqrt().ln()).abs() < 1e-7);
    }

    #[test]
    fn a_vanishing_sigma_leaves_the_exponential() {
        let model = ExGaussian { mu: 0.0, sigma: 1e-9, tau: 1.0 };
        assert!((model.log_density(2.0) + 2.0).abs() < 1e-8);
    }
}
