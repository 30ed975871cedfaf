//! Student's t distribution and the interval of a mean.

use super::{Interval, Level, Sample, beta, invert};

/// The value below which the share `p` lies, with `freedom` degrees of freedom.
///
/// 0 and 1 give the infinities; not a number unless `0 <= p <= 1` and `freedom` is finite and above 0.
#[must_use]
pub fn quantile(p: f64, freedom: f64) -> f64 {
    if !(freedom > 0.0 && freedom.is_finite() && (0.0..=1.0).contains(&p)) {
        f64::NAN
    } else if p == 0.5 {
        0.0
    } else if p > 0.5 {
        -quantile(1.0 - p, freedom)
    } else if p == 0.0 {
        f64::NEG_INFINITY
    } else {
        let negated = |t: f64| -below_minus(t, freedom);
        let high = invert::bound(negated, 1.0, -p);
        -invert::increasing(negated, 0.0, high, -p)
    }
}

/// Probability of a value at or below −`t`, for `t >= 0`.
fn below_minus(t: f64, freedom: f64) -> f64 {
    beta::cumulative(freedom / 2.0, 0.5, freedom / (freedom + t * t)) / 2.0
}

/// The t interval of the mean that `sample` was drawn from; `None` for a single observation.
///
/// Exact for Normal data and good for others from a few dozen observations on.
#[must_use]
pub fn mean_interval(sample: &Sample, level: Level) -> Option<Interval> {
    let count = sample.len() as f64;
    let half = quantile(1.0 - level.tail(), count - 1.0) * sample.sd()? / libm::sqrt(count);
    Some(Interval { low: sample.mean() - half, high: sample.mean() + half })
}

#[cfg(test)]
mod tests {
    use super::super::sample::tests::forty;
    use super::*;
    use crate::stats::close;

    #[test]
    fn quantiles_agree_with_scipy() {
        for (p, freedom, t) in [
            (0.975, 1.0, 12.706204736174694),
            (0.975, 2.0, 4.302652729749462),
            (0.95, 8.0, 1.8595480375308973),
            (0.975, 11.0, 2.200985160091639),
            (0.975, 39.0, 2.022690920036761),
            (0.025, 11.0, -2.2009851600916392),
            (0.9995, 3.0, 12.923978636687961),
            (0.6, 200.0, 0.25368437919014747),
        ] {
            assert!(close(quantile(p, freedom), t, 1e-11), "{p} {freedom}: {}", quantile(p, freedom));
        }
        assert!(quantile(0.3, f64::INFINITY).is_nan());
        assert!(quantile(0.5, 0.0).is_nan() && quantile(1.0, 3.0).is_infinite());
    }

    #[test]
    fn the_interval_of_a_mean_agrees_with_scipy() {
        let interval = mean_interval(&forty(), Level::NINETY_FIVE).unwrap();
        assert!(close(interval.low, 633.6381268169702, 1e-11));
        assert!(close(interval.high, 763.3118731830299, 1e-11));
        assert_eq!(mean_interval(&Sample::new(vec![1.0]).unwrap(), Level::NINETY_FIVE), None);
    }
}
