//! The standard Normal distribution.

use super::invert;

/// Density at `z`.
#[must_use]
pub fn density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z) / libm::sqrt(2.0 * std::f64::consts::PI)
}

/// Probability of a value at or below `z`; accurate in both tails.
#[must_use]
pub fn cumulative(z: f64) -> f64 {
    libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2) / 2.0
}

/// The value below which the share `p` lies. 0 and 1 give the infinities, anything outside not a number.
#[must_use]
pub fn quantile(p: f64) -> f64 {
    match p {
        0.0 => f64::NEG_INFINITY,
        // The lower tail is where the cumulative keeps all its digits.
        _ if p > 0.0 && p < 0.5 => -invert::increasing(|z| -cumulative(-z), 0.0, 40.0, -p),
        0.5 => 0.0,
        _ if p > 0.5 && p < 1.0 => -quantile(1.0 - p),
        1.0 => f64::INFINITY,
        _ => f64::NAN,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    #[test]
    fn quantiles_agree_with_scipy() {
        let wanted = [
            (1e-300, -37.0470962993612),
            (1e-10, -6.361340902404056),
            (0.001, -3.090232306167813),
            (0.025, -1.9599639845400545),
            (0.3, -0.5244005127080409),
            (0.95, 1.6448536269514722),
            (0.975, 1.959963984540054),
            (0.999999, 4.753424308817087),
        ];
        for (p, z) in wanted {
            assert!(close(quantile(p), z, 1e-12), "{p}: {}", quantile(p));
        }
        assert!(quantile(0.0).is_infinite() && quantile(-0.1).is_nan() && quantile(f64::NAN).is_nan());
    }

    #[test]
    fn the_cumulative_agrees_with_scipy() {
        for (z, p) in [
            (-30.0, 4.906713927147908e-198),
            (-5.0, 2.866515718791933e-7),
            (-1.0, 0.15865525393145707),
            (0.0, 0.5),
            (4.0, 0.9999683287581669),
        ] {
            assert!(close(cumulative(z), p, 1e-12), "{z}");
        }
    }

    #[test]
    fn late_presses_under_the_published_ratio() {
        // Share of Normal latencies above mean/0.65, by coefficient of variation (computed with scipy):
        // z = 0.538462/CV.
        for (cv, late) in [(0.20, 0.003548), (0.25, 0.015626), (0.40, 0.089126), (0.50, 0.140757)] {
            let z = (1.0 / 0.65 - 1.0) / cv;
            assert!((cumulative(-z) - late).abs() < 1e-6, "{cv}");
        }
    }
}
