//! The chi-square distribution.

use super::{gamma, invert};

/// The value below which the share `p` lies, with `freedom` degrees of freedom.
///
/// 1 gives infinity; not a number unless `0 <= p <= 1` and `freedom > 0`.
#[must_use]
pub fn quantile(p: f64, freedom: f64) -> f64 {
    if !(freedom > 0.0 && (0.0..=1.0).contains(&p)) {
        return f64::NAN;
    }
    if p == 1.0 {
        return f64::INFINITY;
    }
    let share = |x: f64| gamma::lower(freedom / 2.0, x / 2.0);
    invert::increasing(share, 0.0, invert::bound(share, freedom, p), p)
}

#[cfg(test)]
mod tests {
    use super::quantile;
    use crate::stats::close;

    #[test]
    fn quantiles_agree_with_scipy() {
        for (p, freedom, x) in [
            (0.95, 2.0, 5.991464547107979),
            (0.975, 2.0, 7.377758908227871),
            (0.025, 2.0, 0.05063561596857975),
            (0.975, 12.0, 23.33666415864534),
            (0.025, 10.0, 3.2469727802368413),
            (0.5, 1.0, 0.454936423119572),
            (0.99, 200.0, 249.4451229814416),
            (0.001, 40.0, 17.91642653525202),
        ] {
            assert!(close(quantile(p, freedom), x, 1e-11), "{p} {freedom}: {}", quantile(p, freedom));
        }
        assert!(quantile(-0.1, 1.0).is_nan() && quantile(1.0, 1.0).is_infinite());
    }
}
