//! Normal tails on a logarithmic scale, where the plain ones would vanish.

#![expect(clippy::excessive_precision, reason = "coefficients stand as they were published")]

use std::f64::consts::{FRAC_1_SQRT_2, FRAC_2_SQRT_PI, SQRT_2};

/// 1/√(2π), the Normal density at its centre.
pub(super) const CENTRE: f64 = FRAC_2_SQRT_PI * FRAC_1_SQRT_2 / 2.0;
/// From here on a Normal tail is below half a unit in the last place of 1.
const SETTLED: f64 = 8.3;

/// exp(x²) erfc(x) for x of at least 0; never overflows, relative error below 1e-15.
///
/// Rational approximations of W. J. Cody, Math. Comp. 23 (1969) 631–637, coefficients from memory
/// of his CALERF; the tests hold them against `libm::erfc`.
#[inline]
pub(super) fn scaled_erfc(x: f64) -> f64 {
    if x <= 0.46875 {
        libm::exp(x * x) * (1.0 - near(x))
    } else if x <= 4.0 {
        middle(x)
    } else {
        far(x)
    }
}

/// erf(x) near 0.
#[inline]
fn near(x: f64) -> f64 {
    const TOP: [f64; 4] = [3.16112374387056560, 1.13864154151050156e2, 3.77485237685302021e2, 3.20937758913846947e3];
    const BELOW: [f64; 4] =
        [2.36012909523441209e1, 2.44024637934444173e2, 1.28261652607737228e3, 2.84423683343917062e3];
    x * ratio(x * x, 1.85777706184603153e-1, &TOP, &BELOW)
}

#[inline]
fn middle(x: f64) -> f64 {
    const TOP: [f64; 8] = [
        5.64188496988670089e-1,
        8.88314979438837594,
        6.61191906371416295e1,
        2.98635138197400131e2,
        8.81952221241769090e2,
        1.71204761263407058e3,
        2.05107837782607147e3,
        1.23033935479799725e3,
    ];
    const BELOW: [f64; 8] = [
        1.57449261107098347e1,
        1.17693950891312499e2,
        5.37181101862009858e2,
        1.62138957456669019e3,
        3.29079923573345963e3,
        4.36261909014324716e3,
        3.43936767414372164e3,
        1.23033935480374942e3,
    ];
    ratio(x, 2.15311535474403846e-8, &TOP, &BELOW)
}

#[inline]
fn far(x: f64) -> f64 {
    const TOP: [f64; 5] = [
        3.05326634961232344e-1,
        3.60344899949804439e-1,
        1.25781726111229246e-1,
        1.60837851487422766e-2,
        6.58749161529837803e-4,
    ];
    const BELOW: [f64; 5] = [
        2.56852019228982242,
        1.87295284992346725,
        5.27905102951428412e-1,
        6.05183413124413191e-2,
        2.33520497626869185e-3,
    ];
    let y = 1.0 / (x * x);
    (FRAC_2_SQRT_PI / 2.0 - y * ratio(y, 1.63153871373020978e-2, &TOP, &BELOW)) / x
}

/// A quotient of two polynomials, the highest coefficient first (`lead` above, 1 below).
#[inline]
fn ratio<const N: usize>(x: f64, lead: f64, top: &[f64; N], below: &[f64; N]) -> f64 {
    let (mut over, mut under) = (lead, 1.0);
    for (a, b) in top.iter().zip(below) {
        over = over * x + a;
        under = under * x + b;
    }
    over / under
}

/// Φ(z), scaled by exp(z²/2) where z is at most 0, and the slope of ln Φ.
#[derive(Clone, Copy)]
pub(super) struct Lower {
    /// Φ(z) exp(z²/2) for z at most 0, Φ(z) above.
    pub share: f64,
    /// φ(z)/Φ(z).
    pub slope: f64,
}

impl Lower {
    /// At any finite z.
    #[inline]
    pub fn at(z: f64) -> Lower {
        if z <= 0.0 {
            let scaled = scaled_erfc(-z * FRAC_1_SQRT_2);
            Lower { share: scaled / 2.0, slope: SQRT_2 * FRAC_2_SQRT_PI / 2.0 / scaled }
        } else if z < SETTLED {
            let density = libm::exp(-z * z / 2.0);
            let share = 1.0 - density * scaled_erfc(z * FRAC_1_SQRT_2) / 2.0;
            Lower { share, slope: CENTRE * density / share }
        } else {
            Lower { share: 1.0, slope: 0.0 }
        }
    }
}

/// ln Φ(z) + z²/2 for z of at most 0.
pub(super) fn scaled_log_lower(z: f64) -> f64 {
    libm::log(scaled_erfc(-z * FRAC_1_SQRT_2) / 2.0)
}

/// ln Φ(z) for any finite z.
pub(super) fn log_lower(z: f64) -> f64 {
    if z <= 0.0 { scaled_log_lower(z) - z * z / 2.0 } else { libm::log1p(-libm::erfc(z * FRAC_1_SQRT_2) / 2.0) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scaled_tail_agrees_with_the_plain_one() {
        for step in 0..2600 {
            let x = f64::from(step) / 100.0;
            let plain = libm::erfc(x);
            let found = scaled_erfc(x) * (-x * x).exp();
            assert!((found / plain - 1.0).abs() < 1e-15 * (4.0 + 2.0 * x * x), "{x}");
        }
    }

    #[test]
    fn the_slope_is_that_of_the_logarithm() {
        for z in [-30.0, -3.0, -0.4, 0.0, 0.3, 2.0, 7.0] {
            let slope = (log_lower(z + 1e-5) - log_lower(z - 1e-5)) / 2e-5;
            assert!((Lower::at(z).slope - slope).abs() < 1e-7 * slope.max(1.0), "{z}");
        }
    }

    #[test]
    fn a_far_tail_stays_finite() {
        assert!(log_lower(-1e6).is_finite());
        assert!((log_lower(0.0) - 0.5_f64.ln()).abs() < 1e-15);
        assert_eq!(Lower::at(1e6).slope, 0.0);
    }
}
