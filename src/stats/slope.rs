//! How steeply values rise, whatever single ones do (Theil 1950; Sen 1968, Journal of the American
//! Statistical Association 63:1379–1389; from memory).

use super::shift::leave_out;
use super::{Interval, Level, Sample, normal, trend};

/// Up to this many values the ends of the interval have exact ranks.
const EXACT_UP_TO: usize = 50;

/// A robust straight line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// The median slope of all pairs, in units of value per unit of place.
    pub slope: f64,
    /// The slope's interval; `None` where so few values cannot give one at the level asked for.
    pub slope_interval: Option<Interval>,
    /// The value at place 0: median value − slope × median place.
    pub intercept: f64,
}

/// The line through `values` at `places` (block numbers, minutes, …), which must rise strictly.
///
/// With at most 50 values the interval covers at least its level, and more where values are equal;
/// otherwise its ranks are by the Normal law. `None` for fewer than two values, for lists of
/// different length, for numbers that are not finite and for places that do not rise.
#[must_use]
pub fn theil_sen(places: &[f64], values: &[f64], level: Level) -> Option<Line> {
    if places.len() < 2 || places.len() != values.len() || !places.is_sorted_by(|one, next| one < next) {
        return None;
    }
    let (middle_place, middle) =
        (Sample::new(places.to_vec()).ok()?.median(), Sample::new(values.to_vec()).ok()?.median());
    let slopes = Sample::new(slopes(places, values)).ok()?;
    let (slope, sorted) = (slopes.median(), slopes.sorted());
    let slope_interval = left_out(values, level)
        .map(|left_out| Interval { low: sorted[left_out], high: sorted[sorted.len() - 1 - left_out] });
    Some(Line { slope, slope_interval, intercept: middle - slope * middle_place })
}

fn slopes(places: &[f64], values: &[f64]) -> Vec<f64> {
    let pairs = (0..values.len()).flat_map(|from| (from + 1..values.len()).map(move |to| (from, to)));
    pairs.map(|(from, to)| (values[to] - values[from]) / (places[to] - places[from])).collect()
}

/// How many slopes lie outside the interval on either side.
fn left_out(values: &[f64], level: Level) -> Option<usize> {
    if values.len() <= EXACT_UP_TO {
        return leave_out(&trend::law(values.len()), level.tail());
    }
    let half = (values.len() * (values.len() - 1)) as f64 / 4.0;
    let sd = libm::sqrt(trend::mann_kendall(values)?.variance);
    let rank = libm::floor(half + normal::quantile(level.tail()) * sd / 2.0);
    (rank >= 1.0).then_some(rank as usize - 1)
}

#[cfg(test)]
mod tests {
    use super::super::trend::tests::BLOCKS;
    use super::*;
    use crate::stats::close;

    fn numbered(count: usize) -> Vec<f64> {
        (1..=count).map(|place| place as f64).collect()
    }

    #[test]
    fn the_line_and_its_ends_agree_with_scipy() {
        let line = theil_sen(&numbered(10), &BLOCKS, Level::NINETY_FIVE).unwrap();
        assert!(close(line.slope, 0.015714285714285712, 1e-12));
        assert!(close(line.intercept, 0.5885714285714286, 1e-12));
        let interval = line.slope_interval.unwrap();
        assert!(close(interval.low, 0.01, 1e-11) && close(interval.high, 0.02, 1e-11), "{interval:?}");
    }

    #[test]
    fn many_values_have_the_ends_of_scipy_by_the_normal_law() {
        let values: Vec<f64> = (0..60).map(|i| 0.1 * f64::from(i) + f64::from(37 * i % 61) / 7.0).collect();
        let line = theil_sen(&numbered(60), &values, Level::NINETY_FIVE).unwrap();
        let interval = line.slope_interval.unwrap();
        assert!(close(line.slope, 0.12425876010781672, 1e-12));
        assert!(close(interval.low, 0.08136645962732918, 1e-11), "{interval:?}");
        assert!(close(interval.high, 0.15714285714285714, 1e-11), "{interval:?}");
    }

    #[test]
    fn one_wild_value_does_not_tilt_the_line() {
        let mut values: Vec<f64> = numbered(60).iter().map(|place| 2.0 * place + 5.0).collect();
        values[59] = 1e6;
        let line = theil_sen(&numbered(60), &values, Level::NINETY_FIVE).unwrap();
        assert_eq!((line.slope, line.intercept), (2.0, 5.0));
        assert_eq!(line.slope_interval, Some(Interval { low: 2.0, high: 2.0 }));
    }

    #[test]
    fn four_values_give_no_interval_and_six_give_one() {
        // The least and greatest slope of n values cover 1 − 2/n!: 0.917 for four, 0.997 for six.
        let interval =
            |count| theil_sen(&numbered(count), &BLOCKS[..count], Level::NINETY_FIVE).unwrap().slope_interval;
        assert_eq!(interval(4), None);
        assert!(interval(6).is_some());
    }

    #[test]
    fn what_makes_no_line_is_refused() {
        let line = |places: &[f64], values: &[f64]| theil_sen(places, values, Level::NINETY_FIVE);
        assert_eq!(line(&[1.0], &[1.0]), None);
        assert_eq!(line(&[], &[]), None);
        assert_eq!(line(&[1.0, 2.0], &[1.0]), None);
        assert_eq!(line(&[2.0, 2.0], &[1.0, 3.0]), None);
        assert_eq!(line(&[1.0, 2.0], &[1.0, f64::NAN]), None);
    }
}
