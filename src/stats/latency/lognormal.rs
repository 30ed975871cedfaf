//! The shifted lognormal: above the shift, the logarithm is Normal.

use super::jet::Jet;
use super::law::valid;
use super::scaled_tail::{Lower, log_lower};
use super::shifted::Shifted;
use crate::rng::Stream;
use std::f64::consts::TAU;

/// A shift plus a value whose natural logarithm is Normal (`mu`, `sigma`); `sigma` is above 0.
///
/// [`Law::fit`](super::Law::fit) keeps `shift` below the least value seen by at least the mean excess over it
/// divided by n², since nearer the likelihood grows without bound; and at the Normal edge it takes a `sigma` of
/// about 1e-6 with a far shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lognormal {
    /// The value below which nothing lies.
    pub shift: f64,
    /// Mean of the logarithm of what lies above the shift.
    pub mu: f64,
    /// Standard deviation of that logarithm.
    pub sigma: f64,
}

impl Shifted for Lognormal {
    const NAME: &'static str = "lognormal";
    const PARAMETERS: [&'static str; 3] = ["shift", "mu", "sigma"];

    fn standard_log_density(t: Jet, k: Jet) -> Jet {
        let log = (t * k).ln_1p();
        let z = log / k;
        z * z * -0.5 - log + -0.5 * libm::log(TAU)
    }

    fn standard_log_survival(t: Jet, k: Jet) -> Jet {
        let below = -((t * k).ln_1p() / k);
        let slope = Lower::at(below.value).slope;
        below.through(log_lower(below.value), slope, -slope * (slope + below.value))
    }

    fn parameters(&self) -> [f64; 3] {
        [self.shift, self.mu, self.sigma]
    }

    fn of_parameters(parameters: [f64; 3]) -> Option<Lognormal> {
        valid(parameters, 2).map(|[shift, mu, sigma]| Lognormal { shift, mu, sigma })
    }

    fn shift(&self) -> f64 {
        self.shift
    }

    fn mean(&self) -> f64 {
        self.shift + libm::exp(self.mu + self.sigma * self.sigma / 2.0)
    }

    fn standard_deviation(&self) -> f64 {
        let square = self.sigma * self.sigma;
        libm::exp(self.mu + square / 2.0) * libm::sqrt(libm::expm1(square))
    }

    fn draw(&self, stream: &mut Stream) -> f64 {
        self.shift + libm::exp(self.mu + self.sigma * stream.fast_normal())
    }

    /// The centre is the median, the scale the deviation that a vanishing sigma leaves.
    fn standard(&self) -> [f64; 3] {
        let median = libm::exp(self.mu);
        [self.shift + median, self.sigma * median, self.sigma]
    }

    fn of_standard([centre, scale, shape]: [f64; 3]) -> Lognormal {
        Lognormal { shift: centre - scale / shape, mu: libm::log(scale / shape), sigma: shape }
    }

    fn changes(&self) -> [[f64; 3]; 3] {
        let [_, scale, shape] = self.standard();
        [[scale, -scale / shape, scale / (shape * shape)], [0.0, 1.0, -1.0 / shape], [0.0, 0.0, 1.0]]
    }

    fn with_shift(shift: f64, distances: impl Iterator<Item = f64> + Clone) -> Lognormal {
        let count = distances.clone().count() as f64;
        let mu = distances.clone().map(libm::log).sum::<f64>() / count;
        let square = distances.map(|distance| (libm::log(distance) - mu).powi(2)).sum::<f64>() / count;
        Lognormal { shift, mu, sigma: libm::sqrt(square) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::latency::shifted::tests::{agrees, draws_follow, fits_agree, quantiles_agree};
    use crate::stats::{close, latency::Law};

    // All values were printed by tests/reference/latency_models.py.
    const WORKED: Lognormal = Lognormal { shift: 200.0, mu: 6.0, sigma: 0.4 };

    #[test]
    fn density_and_cumulative_agree_with_scipy() {
        agrees(
            WORKED,
            &[
                [250.0, -17.5385705876, -16.2291461946, -8.94893556663e-8],
                [400.0, -6.8395855369, -3.22646561036, -0.0405070001444],
                [600.0, -5.99434001705, -0.71031823616, -0.676265999657],
                [1200.0, -9.48546447569, -0.011690432242, -4.45482405052],
            ],
        );
        let moments = (Law::mean(&WORKED), Law::standard_deviation(&WORKED));
        assert!(close(moments.0, 637.0291947183914, 1e-12) && close(moments.1, 182.0429207786235, 1e-12));
        assert!(WORKED.log_survival(150.0) == 0.0 && WORKED.cumulative(150.0) == 0.0);
    }

    #[test]
    fn quantiles_agree_with_scipy() {
        quantiles_agree(
            WORKED,
            &[
                [0.01, 359.088531696],
                [0.25, 508.032131296],
                [0.5, 603.428793493],
                [0.9, 873.589332476],
                [0.999, 1588.65776439],
            ],
        );
    }

    #[test]
    fn fits_agree_with_scipy() {
        fits_agree::<Lognormal>([
            ([336.5484, 5.752554, 0.5290473], -261.3926119),
            ([336.9161, 5.749792, 0.5285803], -242.3643198),
            ([348.6052, 5.731372, 0.5731614], -231.6886479),
            ([378.1683, 5.618446, 0.5841819], -252.8749394),
            ([413.438, 5.542022, 0.7478576], -223.1730715),
            ([384.5023, 5.592416, 0.6001329], -233.8299277),
        ]);
    }

    #[test]
    fn draws_follow_the_law() {
        draws_follow(WORKED);
    }
}
