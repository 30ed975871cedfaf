//! The interval of a quantile from two of the observations themselves, whatever their law (David
//! and Nagaraja, Order Statistics, section 7.1; from memory).

use super::{Interval, Level, Sample, beta};

/// An interval between two observations and how often such an interval holds the quantile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct QuantileInterval {
    /// The two observations.
    pub interval: Interval,
    /// The exact probability that it covers the quantile; at least the level asked for. More still
    /// where values are equal.
    pub coverage: f64,
}

/// The interval of the quantile at `p`, with at most half of what the level leaves on either side.
///
/// `None` unless `0 < p < 1`, and where so few observations cannot give one: at 95 % the median
/// needs 6, the quantile at 0.95 needs 72.
#[must_use]
pub fn quantile_interval(sample: &Sample, p: f64, level: Level) -> Option<QuantileInterval> {
    let count = sample.len();
    let (low, high) = ranks(count, p, level.tail())?;
    let interval = Interval { low: sample.sorted()[low - 1], high: sample.sorted()[high - 1] };
    Some(QuantileInterval { interval, coverage: at_most(high - 1, count, p) - at_most(low - 1, count, p) })
}

/// The ranks of the two observations, from 1.
fn ranks(count: usize, p: f64, tail: f64) -> Option<(usize, usize)> {
    if !(p > 0.0 && p < 1.0) {
        return None;
    }
    let low = (1..=count).take_while(|rank| at_most(rank - 1, count, p) <= tail).last()?;
    // Of those above, seen from the top: 1 − P(at most rank − 1) is P(at most count − rank) of misses.
    let high = (1..=count).rev().take_while(|rank| at_most(count - rank, count, 1.0 - p) <= tail).last()?;
    Some((low, high))
}

/// The probability that at most `hits` of `count` observations lie below a quantile at `p`.
fn at_most(hits: usize, count: usize, p: f64) -> f64 {
    if hits >= count { 1.0 } else { beta::cumulative((count - hits) as f64, hits as f64 + 1.0, 1.0 - p) }
}

#[cfg(test)]
mod tests {
    use super::super::sample::tests::forty;
    use super::*;
    use crate::stats::close;

    #[test]
    fn ranks_and_coverage_agree_with_the_binomial_by_scipy() {
        for (count, p, low, high, coverage) in [
            (10, 0.5, 2, 9, 0.978515625),
            (20, 0.5, 6, 15, 0.9586105346679688),
            (40, 0.5, 14, 27, 0.9615226917157997),
            (40, 0.9, 32, 40, 0.9697238116441209),
            (100, 0.95, 90, 100, 0.9826070607121812),
        ] {
            let numbered = Sample::new((1..=count).map(f64::from).collect()).unwrap();
            let found = quantile_interval(&numbered, p, Level::NINETY_FIVE).unwrap();
            assert_eq!(found.interval, Interval { low: f64::from(low), high: f64::from(high) }, "{count} {p}");
            assert!(close(found.coverage, coverage, 1e-12), "{count} {p}: {}", found.coverage);
        }
    }

    #[test]
    fn the_fewest_observations_are_as_the_closed_form_says() {
        // All n below the quantile: p^n must not pass 0.025, so n ≥ ln 0.025 / ln p.
        let has_one = |count: u32, p| {
            let numbered = Sample::new((1..=count).map(f64::from).collect()).unwrap();
            quantile_interval(&numbered, p, Level::NINETY_FIVE).is_some()
        };
        assert_eq!((has_one(5, 0.5), has_one(6, 0.5)), (false, true));
        assert_eq!((has_one(71, 0.95), has_one(72, 0.95)), (false, true));
    }

    #[test]
    fn the_ends_are_observations_in_the_samples_unit() {
        let found = quantile_interval(&forty(), 0.5, Level::NINETY_FIVE).unwrap();
        assert_eq!(found.interval, Interval { low: 588.0, high: 726.0 });
        assert_eq!(quantile_interval(&forty(), 1.0, Level::NINETY_FIVE), None);
        assert_eq!(quantile_interval(&forty(), f64::NAN, Level::NINETY_FIVE), None);
    }
}
