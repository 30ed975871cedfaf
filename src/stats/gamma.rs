//! The gamma distribution: its share below a value, and draws from it.

use crate::rng::Stream;

/// P(a, x): the share of a gamma distribution of shape `a` and scale 1 at or below `x`.
///
/// By the power series below a + 1 and the continued fraction above (NIST Digital Library of
/// Mathematical Functions 8.11.4 and 8.9.2; from memory). Not a number unless `a` is finite and above 0, and
/// `x >= 0`.
#[must_use]
pub fn lower(a: f64, x: f64) -> f64 {
    if !(a > 0.0 && a.is_finite() && x >= 0.0) {
        f64::NAN
    } else if x == 0.0 {
        0.0
    } else if x.is_infinite() {
        1.0
    } else if x < a + 1.0 {
        front(a, x) * series(a, x)
    } else {
        1.0 - front(a, x) * fraction(a, x)
    }
}

/// A draw from the gamma distribution of this shape (above 0) and scale 1.
///
/// By the squeeze on a cubed Normal (Marsaglia and Tsang 2000, ACM Transactions on Mathematical
/// Software 26:363–372; from memory).
#[must_use]
pub fn draw(shape: f64, stream: &mut Stream) -> f64 {
    if shape < 1.0 {
        // 1 − unit is never 0.
        return draw(shape + 1.0, stream) * libm::pow(1.0 - stream.unit(), 1.0 / shape);
    }
    let d = shape - 1.0 / 3.0;
    loop {
        let normal = stream.normal();
        let cube = libm::pow(1.0 + normal / libm::sqrt(9.0 * d), 3.0);
        let log_chance = normal * normal / 2.0 + d * (1.0 - cube + libm::log(cube));
        if cube > 0.0 && libm::log(1.0 - stream.unit()) < log_chance {
            return d * cube;
        }
    }
}

/// x^a e^(−x) / Γ(a).
fn front(a: f64, x: f64) -> f64 {
    libm::exp(a * libm::log(x) - x - libm::lgamma(a))
}

fn series(a: f64, x: f64) -> f64 {
    let (mut sum, mut term, mut n) = (1.0 / a, 1.0 / a, a);
    while term > sum * 1e-17 {
        n += 1.0;
        term *= x / n;
        sum += term;
    }
    sum
}

/// The fraction by Lentz's method as Thompson and Barnett changed it.
fn fraction(a: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let mut b = x + 1.0 - a;
    let (mut c, mut d) = (1.0 / TINY, 1.0 / b);
    let mut value = d;
    for n in 1..10_000 {
        let step = -f64::from(n) * (f64::from(n) - a);
        b += 2.0;
        d = 1.0 / nonzero(step * d + b, TINY);
        c = nonzero(b + step / c, TINY);
        value *= c * d;
        if (c * d - 1.0).abs() < 1e-16 {
            break;
        }
    }
    value
}

/// `value`, or `tiny` where it is too small to divide by.
pub(super) fn nonzero(value: f64, tiny: f64) -> f64 {
    if value.abs() < tiny { tiny } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    #[test]
    fn agrees_with_scipy() {
        for (a, x, p) in [
            (0.5, 0.1, 0.34527915398142317),
            (1.0, 1.0, 0.6321205588285577),
            (5.0, 2.0, 0.052653017343711125),
            (5.0, 20.0, 0.9999830552560699),
            (100.0, 90.0, 0.15822098918643007),
            (100.0, 130.0, 0.9972495916326934),
        ] {
            assert!(close(lower(a, x), p, 1e-12), "P({a}, {x}) = {}", lower(a, x));
        }
    }

    #[test]
    fn draws_follow_the_law() {
        for (shape, x) in [(0.25, 0.05), (0.25, 0.6), (1.0, 1.0), (9.75, 8.0), (200.0, 210.0)] {
            let mut stream = Stream::named(5, "gamma");
            let below = (0..20_000).filter(|_| draw(shape, &mut stream) <= x).count() as f64 / 20_000.0;
            // Four standard errors.
            assert!((below - lower(shape, x)).abs() < 4.0 * (0.25_f64 / 20_000.0).sqrt(), "{shape}: {below}");
        }
    }

    #[test]
    fn the_ends_and_nonsense() {
        assert_eq!((lower(2.0, 0.0), lower(2.0, f64::INFINITY)), (0.0, 1.0));
        assert!(lower(0.0, 1.0).is_nan() && lower(1.0, -1.0).is_nan() && lower(f64::NAN, 1.0).is_nan());
    }
}
