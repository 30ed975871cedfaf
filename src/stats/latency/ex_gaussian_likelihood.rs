//! The log-likelihood of the ex-Gaussian with slope and curvature, over (mu, ln sigma, ln tau).
//!
//! Slopes along mu are per sigma, so that all three coordinates are free of the unit.

use super::ex_gaussian::ExGaussian;
use super::local::{Local, Three};
use super::newton::Surface;
use super::observations::Observations;
use super::scaled_tail::Lower;

/// Below this sigma over tau the family cannot be told from a shifted exponential.
const LEAST_RATIO: f64 = 1e-6;
/// From this sigma over tau on it cannot be told from a Normal.
pub(super) const NORMAL_RATIO: f64 = 100.0;

/// The likelihood of a set of observations.
pub(super) struct Likelihood<'a> {
    pub observations: Observations<'a>,
    /// The sigma over tau from which on every climb leads to the Normal.
    pub normal_from: f64,
}

impl<'a> Likelihood<'a> {
    #[cfg(test)]
    pub(super) fn of(observations: Observations<'a>) -> Likelihood<'a> {
        Likelihood { observations, normal_from: NORMAL_RATIO }
    }
}

impl ExGaussian {
    pub(super) fn of_point(point: &Three) -> ExGaussian {
        ExGaussian { mu: point[0], sigma: libm::exp(point[1]), tau: libm::exp(point[2]) }
    }

    pub(super) fn point(&self) -> Three {
        [self.mu, libm::log(self.sigma), libm::log(self.tau)]
    }
}

impl Surface for Likelihood<'_> {
    fn at(&self, point: &Three) -> Local {
        let model = ExGaussian::of_point(point);
        let mut sum = Sums::of(&model, self.observations.seen).local(&model);
        for limit in self.observations.censored {
            sum.add(1.0, &survival(&model, *limit));
        }
        if let Some(truncation) = self.observations.truncation(|limit| survival(&model, limit)) {
            sum.add(1.0, &truncation);
        }
        if !sum.height.is_finite() {
            sum.height = f64::NEG_INFINITY;
        }
        sum
    }

    fn lost(&self, point: &Three) -> bool {
        !(LEAST_RATIO..self.normal_from).contains(&libm::exp(point[1] - point[2]))
    }

    fn moved(&self, point: &Three, step: &Three) -> Three {
        [point[0] + step[0] * libm::exp(point[1]), point[1] + step[1], point[2] + step[2]]
    }
}

/// Sums over the values seen, from which height, slope and curvature follow. With z the standardised
/// value, b = z − sigma/tau the bend, s the slope and c the curvature of ln Φ at b.
#[derive(Default)]
struct Sums {
    count: f64,
    logs: f64,
    z: f64,
    slope: f64,
    slope_z: f64,
    bend: f64,
    bend_z: f64,
    bend_zz: f64,
}

impl Sums {
    fn of(model: &ExGaussian, seen: &[f64]) -> Sums {
        let (per_sigma, ratio) = (1.0 / model.sigma, model.sigma / model.tau);
        let mut sums = Sums { count: seen.len() as f64, ..Sums::default() };
        // Shares are multiplied and their logarithm taken once for many.
        let mut product = 1.0_f64;
        for x in seen {
            let z = (x - model.mu) * per_sigma;
            let bend = z - ratio;
            let lower = Lower::at(bend);
            sums.logs += if bend <= 0.0 { -0.5 * z * z } else { ratio * (0.5 * ratio - z) };
            product *= lower.share;
            if product < 1e-200 {
                sums.logs += libm::log(product);
                product = 1.0;
            }
            sums.add(z, lower.slope, -lower.slope * (lower.slope + bend));
        }
        sums.logs += libm::log(product);
        sums
    }

    #[inline]
    fn add(&mut self, z: f64, slope: f64, bend: f64) {
        self.z += z;
        self.slope += slope;
        self.slope_z += slope * z;
        self.bend += bend;
        self.bend_z += bend * z;
        self.bend_zz += bend * z * z;
    }

    fn local(&self, model: &ExGaussian) -> Local {
        let (n, r) = (self.count, model.sigma / model.tau);
        let mixed = self.bend_z + r * self.bend;
        let squared = self.bend_zz + 2.0 * r * self.bend_z + r * r * self.bend;
        let (mu_sigma, mu_tau) = (self.slope + mixed, -r * (n + self.bend));
        let sigma_tau = r * (self.slope - 2.0 * r * n - mixed);
        let sigma_sigma = 2.0 * r * r * n + squared + self.slope_z - r * self.slope;
        let tau_tau = r * (2.0 * r * n - self.z - self.slope + r * self.bend);
        Local {
            height: self.logs - n * libm::log(model.tau),
            slope: [
                r * n - self.slope,
                r * r * n - self.slope_z - r * self.slope,
                -n - r * r * n + r * (self.z + self.slope),
            ],
            curvature: [
                [self.bend, mu_sigma, mu_tau],
                [mu_sigma, sigma_sigma, sigma_tau],
                [mu_tau, sigma_tau, tau_tau],
            ],
        }
    }
}

/// ln of the chance of a value above `limit`.
fn survival(model: &ExGaussian, limit: f64) -> Local {
    let (z, r) = ((limit - model.mu) / model.sigma, model.sigma / model.tau);
    let bend = z - r;
    let s = Lower::at(bend).slope;
    let c = -s * (s + bend);
    let height = model.log_survival(limit);
    // The share of the survival that the exponential part carries.
    let w = libm::exp(model.log_density(limit) + libm::log(model.tau) - height);
    let share_slope = [r - s, r * r - s * (z + r), r * (bend + s)];
    let slope = [w * r, w * r * (r - s), w * r * (bend + s)];
    let change = [share_slope[0] - slope[0], share_slope[1] - slope[1], share_slope[2] - slope[2]];
    let mu_sigma = slope[0] * change[1];
    let mu_tau = slope[0] * (change[2] - 1.0);
    let sigma_tau = slope[1] * change[2] - w * r * (r - s + r * (1.0 + c));
    let sigma_sigma = slope[1] * change[1] + w * r * (2.0 * r - s + c * (z + r));
    let tau_tau = slope[2] * change[2] + w * r * (r * (1.0 + c) - (bend + s));
    let mu_mu = slope[0] * change[0];
    Local {
        height,
        slope,
        curvature: [[mu_mu, mu_sigma, mu_tau], [mu_sigma, sigma_sigma, sigma_tau], [mu_tau, sigma_tau, tau_tau]],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::latency::newton::tests::slopes_agree;
    use crate::stats::latency::observations::tests::of_every_kind;

    const SEEN: [f64; 6] = [0.31, 0.42, 0.47, 0.55, 0.78, 1.2];

    #[test]
    fn slope_and_curvature_are_those_of_the_height() {
        let models = [(0.4, 0.08, 0.2), (0.55, 0.2, 0.03), (0.3, 0.01, 0.3), (0.7, 0.3, 0.3)];
        for (mu, sigma, tau) in models {
            let model = ExGaussian { mu, sigma, tau };
            for observations in of_every_kind(&SEEN, &[0.5, 1.0, 1.5], [0.3, 1.3]) {
                slopes_agree(&Likelihood::of(observations), model.point());
            }
        }
    }

    #[test]
    fn the_height_is_the_sum_of_the_log_densities() {
        let model = ExGaussian { mu: 0.4, sigma: 0.08, tau: 0.2 };
        let many: Vec<f64> = (0..5_000).map(|index| 0.2 + f64::from(index) * 1e-3).collect();
        let found = Likelihood::of(Observations { seen: &many, ..Observations::default() });
        let wanted: f64 = many.iter().map(|x| model.log_density(*x)).sum();
        assert!((found.at(&model.point()).height / wanted - 1.0).abs() < 1e-12);
    }
}
