//! Normal tails on a logarithmic scale, where the plain ones would vanish.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// exp(x²) erfc(x) for x of at least 0; never overflows.
fn scaled_erfc(x: f64) -> f64 {
    if x < 10.0 { (x * x).exp() * libm::erfc(x) } else { asymptotic(x) }
}

/// The asymptotic series (Abramowitz and Stegun 7.1.23, from memory); its least term is far below rounding from 10 on.
fn asymptotic(x: f64) -> f64 {
    let step = -0.5 / (x * x);
    let (mut term, mut sum, mut odd) = (1.0_f64, 1.0, 1.0);
    while term.abs() > 1e-17 {
        term *= odd * step;
        sum += term;
        odd += 2.0;
    }
    sum / (x * PI.sqrt())
}

/// ln Φ(z) + z²/2 for z of at most 0.
pub(super) fn scaled_log_lower(z: f64) -> f64 {
    (scaled_erfc(-z * FRAC_1_SQRT_2) / 2.0).ln()
}

/// ln Φ(z) for any finite z.
pub(super) fn log_lower(z: f64) -> f64 {
    if z <= 0.0 { scaled_log_lower(z) - z * z / 2.0 } else { (-libm::erfc(z * FRAC_1_SQRT_2) / 2.0).ln_1p() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_forms_agree_where_they_meet() {
        let product = 100.0_f64.exp() * libm::erfc(10.0);
        assert!((asymptotic(10.0) / product - 1.0).abs() < 1e-13);
    }

    #[test]
    fn a_far_tail_stays_finite() {
        assert!(log_lower(-1e6).is_finite());
        assert!((log_lower(0.0) - 0.5_f64.ln()).abs() < 1e-15);
    }
}
