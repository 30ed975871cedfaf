//! The regularised incomplete beta function.

use super::gamma::nonzero;
use super::invert;

/// I_x(a, b): the share of a beta distribution at or below `x`.
///
/// By the continued fraction of the NIST Digital Library of Mathematical Functions 8.17.22 (from
/// memory). Not a number unless `a` and `b` are finite and above 0, and `0 <= x <= 1`.
#[must_use]
pub fn cumulative(a: f64, b: f64, x: f64) -> f64 {
    if !(a > 0.0 && b > 0.0 && a.is_finite() && b.is_finite() && (0.0..=1.0).contains(&x)) {
        f64::NAN
    } else if x == 0.0 || x == 1.0 {
        x
    } else if x <= (a + 1.0) / (a + b + 2.0) {
        front(a, b, x) * fraction(a, b, x) / a
    } else {
        1.0 - front(b, a, 1.0 - x) * fraction(b, a, 1.0 - x) / b
    }
}

/// The value below which the share `p` of a beta distribution lies; not a number unless `a` and `b` are finite and
/// above 0, and `0 <= p <= 1`.
#[must_use]
pub fn quantile(a: f64, b: f64, p: f64) -> f64 {
    if !(a > 0.0 && b > 0.0 && a.is_finite() && b.is_finite() && (0.0..=1.0).contains(&p)) {
        return f64::NAN;
    }
    invert::increasing(|x| cumulative(a, b, x), 0.0, 1.0, p)
}

/// x^a (1 − x)^b / B(a, b).
fn front(a: f64, b: f64, x: f64) -> f64 {
    let log_beta = libm::lgamma(a) + libm::lgamma(b) - libm::lgamma(a + b);
    libm::exp(a * libm::log(x) + b * libm::log1p(-x) - log_beta)
}

/// The fraction by Lentz's method as Thompson and Barnett changed it.
fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let mut c = 1.0;
    let mut d = 1.0 / nonzero(1.0 - (a + b) * x / (a + 1.0), TINY);
    let mut value = d;
    for n in 1..10_000 {
        let n = f64::from(n);
        let even = n * (b - n) * x / ((a + 2.0 * n - 1.0) * (a + 2.0 * n));
        let odd = -(a + n) * (a + b + n) * x / ((a + 2.0 * n) * (a + 2.0 * n + 1.0));
        for step in [even, odd] {
            d = 1.0 / nonzero(1.0 + step * d, TINY);
            c = nonzero(1.0 + step / c, TINY);
            value *= c * d;
        }
        if (c * d - 1.0).abs() < 1e-16 {
            break;
        }
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    #[test]
    fn agrees_with_scipy() {
        for (a, b, x, share) in [
            (0.5, 0.5, 0.3, 0.36901011956554536),
            (2.0, 3.0, 0.4, 0.5248),
            (18.0, 3.0, 0.7, 0.035483132298468646),
            (1.0, 30.0, 0.05, 0.7853612360570624),
            (50.0, 60.0, 0.5, 0.8309072939016693),
            (300.0, 2.0, 0.99, 0.19616357628514303),
        ] {
            assert!(close(cumulative(a, b, x), share, 1e-12), "I_{x}({a}, {b}) = {}", cumulative(a, b, x));
            assert!(close(quantile(a, b, share), x, 1e-12), "quantile({a}, {b}, {share})");
        }
    }

    #[test]
    fn the_ends_and_nonsense() {
        assert_eq!((cumulative(2.0, 3.0, 0.0), cumulative(2.0, 3.0, 1.0)), (0.0, 1.0));
        assert!(cumulative(0.0, 1.0, 0.5).is_nan() && quantile(1.0, 1.0, 2.0).is_nan());
        assert!(cumulative(f64::INFINITY, 1.0, 0.5).is_nan() && quantile(f64::INFINITY, 1.0, 0.5).is_nan());
    }
}
