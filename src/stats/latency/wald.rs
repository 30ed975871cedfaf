//! The shifted Wald (inverse Gaussian): the first time at which a drifting random walk passes a threshold.

use super::jet::Jet;
use super::law::valid;
use super::scaled_tail::{Lower, log_lower, scaled_log_lower};
use super::shifted::Shifted;
use crate::rng::Stream;
use std::f64::consts::TAU;

/// From here on the Normal tail is taken from its asymptotic series.
const FAR: f64 = 20.0;

/// A shift plus the time that a walk of unit variance per unit of time needs to pass `threshold` with a mean
/// `drift` per unit of time; both are above 0. In another unit of time, the threshold changes by the root of the
/// factor and the drift by one over it.
///
/// [`Law::fit`](super::Law::fit) keeps `shift` below the least value seen by at least the mean excess over it
/// divided by n², since with many equal least values the likelihood would grow without bound; and at the Normal
/// edge it takes a far shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wald {
    /// The value below which nothing lies.
    pub shift: f64,
    /// How far the walk has to go, in roots of the unit.
    pub threshold: f64,
    /// How fast it goes, per root of the unit.
    pub drift: f64,
}

impl Shifted for Wald {
    const NAME: &'static str = "wald";
    const PARAMETERS: [&'static str; 3] = ["shift", "threshold", "drift"];

    fn standard_log_density(t: Jet, k: Jet) -> Jet {
        let distance = t * k;
        distance.ln_1p() * -1.5 - t * t * 0.5 / (distance + 1.0) + -0.5 * libm::log(TAU)
    }

    /// ln(Φ(−w) − exp(−w²/2) R(v)) with R(v) = Φ(−v) exp(v²/2), v² = w² + 4/k².
    fn standard_log_survival(t: Jet, k: Jet) -> Jet {
        let root = (t * k + 1.0).sqrt();
        let w = t / root;
        let far = log_scaled_tail_of_reciprocal(k * root / (t * k + 2.0));
        let (near, share) = if w.value > 0.0 {
            let scaled = log_scaled_tail(w);
            (scaled - w * w * 0.5, far - scaled)
        } else {
            let near = log_tail(w);
            (near, far - w * w * 0.5 - near)
        };
        near + log_of_rest(share)
    }

    fn parameters(&self) -> [f64; 3] {
        [self.shift, self.threshold, self.drift]
    }

    fn of_parameters(parameters: [f64; 3]) -> Option<Wald> {
        valid(parameters, 1).map(|[shift, threshold, drift]| Wald { shift, threshold, drift })
    }

    fn shift(&self) -> f64 {
        self.shift
    }

    fn mean(&self) -> f64 {
        self.shift + self.threshold / self.drift
    }

    fn standard_deviation(&self) -> f64 {
        libm::sqrt(self.threshold / self.drift) / self.drift
    }

    /// By Michael, Schucany & Haas, American Statistician 30 (1976) 88–90, the smaller root written without a
    /// difference.
    fn draw(&self, stream: &mut Stream) -> f64 {
        let (mean, z) = (self.threshold / self.drift, stream.fast_normal());
        let half = z * z / (2.0 * self.threshold * self.drift);
        let root = 1.0 / (1.0 + half + libm::sqrt(half * (2.0 + half)));
        let smaller = stream.unit() * (1.0 + root) <= 1.0;
        self.shift + mean * if smaller { root } else { 1.0 / root }
    }

    /// The centre is the mean, the scale the standard deviation, the shape a third of the skewness.
    fn standard(&self) -> [f64; 3] {
        let shape = 1.0 / libm::sqrt(self.threshold * self.drift);
        let mean = self.threshold / self.drift;
        [self.shift + mean, mean * shape, shape]
    }

    fn of_standard([centre, scale, shape]: [f64; 3]) -> Wald {
        let root = libm::sqrt(scale / shape);
        Wald { shift: centre - scale / shape, threshold: root / shape, drift: 1.0 / (root * shape) }
    }

    fn changes(&self) -> [[f64; 3]; 3] {
        let [_, scale, shape] = self.standard();
        let (threshold, drift) = (self.threshold, self.drift);
        [
            [scale, -scale / shape, scale / (shape * shape)],
            [0.0, threshold / 2.0, -1.5 * threshold / shape],
            [0.0, -drift / 2.0, -drift / (2.0 * shape)],
        ]
    }

    fn with_shift(shift: f64, distances: impl Iterator<Item = f64> + Clone) -> Wald {
        let count = distances.clone().count() as f64;
        let mean = distances.clone().sum::<f64>() / count;
        let spread = distances.map(|distance| (distance - mean).powi(2) / (distance * mean * mean)).sum::<f64>();
        let threshold = libm::sqrt(count / spread);
        Wald { shift, threshold, drift: threshold / mean }
    }
}

/// ln Φ(−w).
fn log_tail(w: Jet) -> Jet {
    let slope = Lower::at(-w.value).slope;
    w.through(log_lower(-w.value), -slope, -slope * (slope - w.value))
}

/// ln R(w) for w of at least 0.
fn log_scaled_tail(w: Jet) -> Jet {
    let slope = Lower::at(-w.value).slope;
    w.through(scaled_log_lower(-w.value), w.value - slope, 1.0 - slope * (slope - w.value))
}

/// ln R(1/p) for p above 0; by its series where v = 1/p is large, since the plain form loses its curvature there.
fn log_scaled_tail_of_reciprocal(p: Jet) -> Jet {
    if p.value > 1.0 / FAR {
        return log_scaled_tail(p.recip());
    }
    let square = p * p;
    // 1 − p² (1 − 3 p² (1 − 5 p² …)), from the inside.
    let series = [15.0, 13.0, 11.0, 9.0, 7.0, 5.0, 3.0, 1.0]
        .iter()
        .fold(Jet::constant(1.0), |inner, odd| -(square * inner * *odd) + 1.0);
    p.ln() + series.ln() + -0.5 * libm::log(TAU)
}

/// ln(1 − exp(share)) for a share below 0; one that rounding has raised to 0 counts as just below.
fn log_of_rest(share: Jet) -> Jet {
    let value = share.value.min(-f64::EPSILON);
    let rest = -libm::expm1(value);
    let odds = libm::exp(value) / rest;
    share.through(libm::log(rest), -odds, -odds / rest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::latency::shifted::tests::{agrees, draws_follow, fits_agree, quantiles_agree};
    use crate::stats::{close, latency::Law};

    // All values were printed by tests/reference/latency_models.py.
    const WORKED: Wald = Wald { shift: 0.2, threshold: 2.0, drift: 5.0 };
    const LONG_TAILED: Wald = Wald { shift: 0.2, threshold: 0.5, drift: 0.1 };

    #[test]
    fn density_and_cumulative_agree_with_scipy() {
        agrees(
            WORKED,
            &[
                [0.25, -26.3571929423, -33.03910689, -4.4802081388e-15],
                [0.4, -0.311634483994, -4.04822240312, -0.0176074779838],
                [0.6, 1.14864474517, -0.576953015301, -0.824639442298],
                [1.2, -4.72579135264, -0.000729243362005, -7.22386765128],
            ],
        );
        agrees(
            LONG_TAILED,
            &[
                [0.201, -116.200457795, -127.94048754, -2.72993464069e-56],
                [0.3, 0.641291925726, -2.12324342276, -0.127427710469],
                [2.0, -2.52221015556, -0.295619697291, -1.36285266206],
                [900.0, -16.2644834081, -1.34073377474e-5, -11.2197151115],
            ],
        );
        let moments = (Law::mean(&WORKED), Law::standard_deviation(&WORKED));
        assert!(close(moments.0, 0.6, 1e-12) && close(moments.1, 0.1264911064067352, 1e-12));
    }

    #[test]
    fn quantiles_agree_with_scipy() {
        quantiles_agree(
            WORKED,
            &[
                [0.01, 0.387690880794],
                [0.25, 0.508924636412],
                [0.5, 0.581087833187],
                [0.9, 0.767895383401],
                [0.999, 1.17394632487],
            ],
        );
        quantiles_agree(LONG_TAILED, &[[0.01, 0.237181631123], [0.5, 0.692347217089], [0.999, 303.113007192]]);
    }

    #[test]
    fn fits_agree_with_scipy() {
        fits_agree::<Wald>([
            ([321.2512, 36.39721, 0.09648704], -261.3666958),
            ([317.4979, 37.36579, 0.0986131], -242.3680134),
            ([323.1293, 35.83341, 0.09428718], -231.7066689),
            ([370.4901, 30.13859, 0.09021435], -252.8017224),
            ([388.1883, 26.09609, 0.07572887], -223.1850643),
            ([370.0859, 30.27426, 0.09073928], -233.8090247),
        ]);
    }

    #[test]
    fn draws_follow_the_law() {
        draws_follow(WORKED);
        draws_follow(Wald { shift: -1.0, threshold: 0.8, drift: 0.8 });
    }

    #[test]
    fn the_tail_stays_a_number_from_the_normal_to_the_longest_tail() {
        for shape in [1e-6, 1e-3, 0.1, 1.0, 30.0, 1e4] {
            for t in [-0.9 / shape, -0.01 / shape, 0.0, 0.5, 3.0, 100.0, 1e6] {
                let (t, k) = Jet::variables(t, shape);
                let found = Wald::standard_log_survival(t, k);
                assert!(
                    found.value <= 0.0 && found.value.is_finite() && found.t.is_finite(),
                    "{shape} {t:?} {found:?}"
                );
            }
        }
    }
}
