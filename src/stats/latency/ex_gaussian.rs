//! The ex-Gaussian: a Normal plus an independent exponential.

use std::f64::consts::FRAC_1_SQRT_2;

use super::law::{Fit, Law, valid};
use super::observations::{FitError, Observations};
use super::scaled_tail::{Lower, log_lower, scaled_erfc, scaled_log_lower};
use crate::rng::Stream;
use crate::stats::normal;

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
        self.log_exponential_share(x) - libm::log(self.tau)
    }

    /// Density at `x`, per unit; 0 where it is below the least number. Twice as fast as its logarithm.
    pub fn density(&self, x: f64) -> f64 {
        let (z, ratio) = ((x - self.mu) / self.sigma, self.sigma / self.tau);
        let bend = z - ratio;
        let exponent = if bend <= 0.0 { -0.5 * z * z } else { ratio * (0.5 * ratio - z) };
        libm::exp(exponent) * Lower::at(bend).share / self.tau
    }

    /// Natural logarithm of the chance of a value above `x`.
    pub fn log_survival(&self, x: f64) -> f64 {
        let (normal, rest) = (log_lower((self.mu - x) / self.sigma), self.log_exponential_share(x));
        let larger = normal.max(rest);
        (larger + libm::log1p(libm::exp(normal.min(rest) - larger))).min(0.0)
    }

    /// Chance of a value above `x`; absolute error below 1e-15, three times as fast as its logarithm.
    pub fn survival(&self, x: f64) -> f64 {
        let (z, ratio) = ((x - self.mu) / self.sigma, self.sigma / self.tau);
        let bend = z - ratio;
        // Both tails of the Normal have this factor.
        let tail = libm::exp(-0.5 * z * z) / 2.0;
        let [normal, share] = [z, bend].map(|at| tail * scaled_erfc(at.abs() * FRAC_1_SQRT_2));
        let normal = if z >= 0.0 { normal } else { 1.0 - normal };
        let share = if bend <= 0.0 { share } else { libm::exp(ratio * (0.5 * ratio - z)) - share };
        (normal + share).clamp(0.0, 1.0)
    }

    /// [`ExGaussian::density`] and [`ExGaussian::survival`] in one: what of a value above `x` is not the Normal's is `tau`
    /// times the density.
    pub fn density_and_survival(&self, x: f64) -> (f64, f64) {
        let density = self.density(x);
        let normal = normal::cumulative((self.mu - x) / self.sigma);
        (density, (normal + self.tau * density).min(1.0))
    }

    /// Chance of a value at or below `x`; absolute error below 1e-15.
    pub fn cumulative(&self, x: f64) -> f64 {
        let above = self.log_survival(x);
        if above < -0.5 {
            return -libm::expm1(above);
        }
        let below = normal::cumulative((x - self.mu) / self.sigma) - libm::exp(self.log_exponential_share(x));
        below.clamp(0.0, 1.0)
    }

    /// The value below which the share `p` lies. 0 and 1 give the infinities, anything outside not a number.
    pub fn quantile(&self, p: f64) -> f64 {
        Law::quantile(self, p)
    }

    /// One value, drawn.
    #[inline]
    pub fn draw(&self, stream: &mut Stream) -> f64 {
        self.mu + self.sigma * stream.fast_normal() + self.tau * stream.fast_exponential()
    }

    /// Mean.
    pub fn mean(&self) -> f64 {
        self.mu + self.tau
    }

    /// Standard deviation.
    pub fn standard_deviation(&self) -> f64 {
        libm::hypot(self.sigma, self.tau)
    }

    /// ln of tau times the density; below the bend the large exponents cancel on paper, so nothing overflows.
    fn log_exponential_share(&self, x: f64) -> f64 {
        let (z, ratio) = ((x - self.mu) / self.sigma, self.sigma / self.tau);
        let bend = z - ratio;
        if bend <= 0.0 { scaled_log_lower(bend) - z * z / 2.0 } else { ratio * (ratio / 2.0 - z) + log_lower(bend) }
    }
}

impl Law for ExGaussian {
    const NAME: &'static str = "exgauss";
    const PARAMETERS: [&'static str; 3] = ["mu", "sigma", "tau"];

    fn parameters(&self) -> [f64; 3] {
        [self.mu, self.sigma, self.tau]
    }

    fn of_parameters(parameters: [f64; 3]) -> Option<ExGaussian> {
        valid(parameters, 1).map(|[mu, sigma, tau]| ExGaussian { mu, sigma, tau })
    }

    fn log_density(&self, x: f64) -> f64 {
        ExGaussian::log_density(self, x)
    }

    fn log_survival(&self, x: f64) -> f64 {
        ExGaussian::log_survival(self, x)
    }

    fn cumulative(&self, x: f64) -> f64 {
        ExGaussian::cumulative(self, x)
    }

    fn least(&self) -> f64 {
        f64::NEG_INFINITY
    }

    fn bulk(&self) -> (f64, f64) {
        (self.mean(), self.standard_deviation())
    }

    fn mean(&self) -> f64 {
        ExGaussian::mean(self)
    }

    fn standard_deviation(&self) -> f64 {
        ExGaussian::standard_deviation(self)
    }

    fn draw(&self, stream: &mut Stream) -> f64 {
        ExGaussian::draw(self, stream)
    }

    fn fit(observations: &Observations<'_>) -> Result<Fit<ExGaussian>, FitError> {
        ExGaussian::fit(observations)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;
    use std::f64::consts::PI;

    const TYPICAL: ExGaussian = ExGaussian { mu: 0.45, sigma: 0.08, tau: 0.15 };

    #[test]
    fn the_density_is_the_slope_of_the_survival() {
        for x in [0.3, 0.45, 0.6, 1.2] {
            let slope = (TYPICAL.log_survival(x - 1e-5).exp() - TYPICAL.log_survival(x + 1e-5).exp()) / 2e-5;
            assert!((slope / TYPICAL.log_density(x).exp() - 1.0).abs() < 1e-6);
        }
    }

    /// The worked distribution of `tests/reference/latency_models.py`, in milliseconds.
    const WORKED: ExGaussian = ExGaussian { mu: 500.0, sigma: 60.0, tau: 200.0 };

    #[test]
    fn density_and_cumulative_agree_with_scipy() {
        // Computed with numpy and scipy, as are all values here.
        for (x, density, below) in [
            (600.0, 0.00289985577, 0.37223849),
            (700.0, 0.00192173388, 0.61522416),
            (1000.0, 0.000429315977, 0.91413680),
        ] {
            assert!(close(WORKED.log_density(x).exp(), density, 2e-9));
            assert!((WORKED.cumulative(x) - below).abs() < 6e-9);
        }
        let stress = ExGaussian { tau: 1.0, ..WORKED };
        assert!(close(stress.log_density(500.0).exp(), 0.006647192589, 1e-9));
        assert!(close(stress.log_density(560.0).exp(), 0.004100021568, 1e-9));
        assert!(close(WORKED.standard_deviation(), 208.80613, 1e-7) && WORKED.mean() == 700.0);
    }

    #[test]
    fn the_plain_survival_is_that_of_its_logarithm() {
        for tau in [1e-3, 1.0, 60.0, 200.0, 1e6] {
            let model = ExGaussian { tau, ..WORKED };
            for x in (0..3000).step_by(7).map(f64::from) {
                assert!((model.survival(x) - model.log_survival(x).exp()).abs() < 4e-15, "{tau} {x}");
                let (density, survival) = model.density_and_survival(x);
                assert!(density == model.density(x) && (survival - model.survival(x)).abs() < 4e-15, "{tau} {x}");
            }
        }
    }

    #[test]
    fn the_density_is_what_its_logarithm_says() {
        for sigma in [1.0, 60.0, 3000.0] {
            let model = ExGaussian { sigma, ..WORKED };
            assert!((0..900).map(f64::from).all(|x| close(model.density(x), model.log_density(x).exp(), 1e-12)));
        }
    }

    #[test]
    fn quantiles_agree_with_scipy() {
        for (p, x) in [
            (0.05, 469.165),
            (0.25, 558.660),
            (0.5, 647.326),
            (0.9, 969.517),
            (0.95, 1108.146),
            (0.975, 1246.776),
            (0.99, 1430.034),
        ] {
            assert!((WORKED.quantile(p) - x).abs() < 6e-4, "{p}: {}", WORKED.quantile(p));
        }
        assert!(WORKED.quantile(0.0) == f64::NEG_INFINITY && WORKED.quantile(1.5).is_nan());
    }

    #[test]
    fn quantiles_invert_the_cumulative_from_the_edges_of_the_family_inwards() {
        for (sigma, tau) in [(1.0, 1e-5), (1.0, 0.3), (1.0, 30.0), (1e-9, 1.0)] {
            let model = ExGaussian { mu: 2.0, sigma, tau };
            for p in [1e-9, 1e-3, 0.2, 0.5, 0.9, 1.0 - 1e-12] {
                let x = model.quantile(p);
                assert!(x.is_finite() && (model.cumulative(x) - p).abs() < 1e-7, "{model:?} {p} {x}");
            }
        }
    }

    #[test]
    fn draws_follow_the_law() {
        let mut stream = Stream::named(3, "ex-gaussian");
        let below = |p: f64| {
            let limit = WORKED.quantile(p);
            (0..40_000).filter(|_| WORKED.draw(&mut stream) <= limit).count() as f64 / 40_000.0 - p
        };
        assert!([0.05, 0.3, 0.5, 0.95].map(below).iter().all(|miss| miss.abs() < 4.0 * (0.25_f64 / 40_000.0).sqrt()));
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
