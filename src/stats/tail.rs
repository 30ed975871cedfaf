//! The long upper tail of a distribution, from an hdrhistogram.

use hdrhistogram::Histogram;

/// Upper percentiles of whole numbers, each good to three significant digits of its distance from
/// the least value (or from zero, where all are positive).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tail {
    /// Values it was made from.
    pub count: u64,
    /// At least 90 % of the values are at or below this one.
    pub p90: i64,
    /// At least 95 % of the values are at or below this one.
    pub p95: i64,
    /// At least 99 % of the values are at or below this one.
    pub p99: i64,
}

impl Tail {
    /// The tail of these values; `None` for an empty list.
    ///
    /// A histogram holds no negative numbers, so a list with some is moved up by the least of them
    /// and the result moved back.
    #[must_use]
    pub fn of(values: &[i64]) -> Option<Tail> {
        let moved = (*values.iter().min()?).min(0);
        let mut histogram = Histogram::<u64>::new(3).ok()?;
        for value in values {
            histogram.record(value.abs_diff(moved)).ok()?;
        }
        let at = |quantile| moved.saturating_add_unsigned(histogram.value_at_quantile(quantile));
        Some(Tail { count: histogram.len(), p90: at(0.90), p95: at(0.95), p99: at(0.99) })
    }
}

#[cfg(test)]
mod tests {
    use super::Tail;

    fn near(found: i64, wanted: i64) -> bool {
        (found - wanted).abs() <= wanted.abs() / 1_000 + 1
    }

    #[test]
    fn a_thousand_steps_have_their_percentiles() {
        let values: Vec<i64> = (1..=1_000).map(|step| step * 1_000).collect();
        let tail = Tail::of(&values).unwrap();
        assert_eq!(tail.count, 1_000);
        assert!(near(tail.p90, 900_000) && near(tail.p95, 950_000) && near(tail.p99, 990_000), "{tail:?}");
    }

    #[test]
    fn negative_values_stay_negative() {
        let tail = Tail::of(&[-500, -400, -300]).unwrap();
        assert_eq!((tail.p90, tail.p99), (-300, -300));
        assert_eq!(Tail::of(&[]), None);
    }

    #[test]
    fn the_extremes_do_not_overflow() {
        assert_eq!(Tail::of(&[i64::MIN, i64::MAX]).map(|tail| tail.count), Some(2));
    }
}
