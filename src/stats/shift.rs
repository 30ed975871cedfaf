//! By how much the values under one condition lie above those under another (Hodges and Lehmann
//! 1963, Annals of Mathematical Statistics 34:598–611; interval after Hollander and Wolfe,
//! Nonparametric Statistical Methods, chapter 4; both from memory).

use super::{Interval, Level, Sample, normal, rank_sum};

/// Up to this many values in each sample the interval has exact ranks.
const EXACT_UP_TO: usize = 30;

/// How far the second sample lies above the first, in the unit of the samples.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shift {
    /// The median of all differences second − first.
    pub estimate: f64,
    /// Its interval; `None` where so few values cannot give one at the level asked for.
    pub interval: Option<Interval>,
}

/// The shift from `first` to `second`, if the two laws have one shape.
///
/// With at most 30 values in each sample the interval covers at least its level, and more where
/// values are equal; otherwise its ranks are by the Normal law. The n·m differences are never listed.
#[must_use]
pub fn hodges_lehmann(first: &Sample, second: &Sample, level: Level) -> Shift {
    let count = first.len() * second.len();
    let ranked = |rank| ranked_difference(first.sorted(), second.sorted(), rank);
    let middle = ranked(count / 2);
    let estimate = if count % 2 == 1 { middle } else { (ranked(count / 2 - 1) + middle) / 2.0 };
    let interval = left_out(first, second, level)
        .map(|left_out| Interval { low: ranked(left_out), high: ranked(count - 1 - left_out) });
    Shift { estimate, interval }
}

/// The difference second − first with `rank` smaller ones before it, of sorted finite values: the
/// least number that more than `rank` differences do not exceed, by bisection over all numbers.
fn ranked_difference(first: &[f64], second: &[f64], rank: usize) -> f64 {
    let (mut below, mut found) = (key(f64::NEG_INFINITY), key(f64::INFINITY));
    while found - below > 1 {
        let middle = below + (found - below) / 2;
        if differences_up_to(first, second, number(middle)) > rank { found = middle } else { below = middle }
    }
    // A negative zero is none that a difference comes to.
    number(found) + 0.0
}

/// How many differences are at most `limit`. What is subtracted falls from one value of `second` to
/// the next, so that one pass over both is enough.
fn differences_up_to(first: &[f64], second: &[f64], limit: f64) -> usize {
    let mut beyond = 0;
    let count = |above: &f64| {
        beyond += first[beyond..].iter().take_while(|below| above - **below > limit).count();
        first.len() - beyond
    };
    second.iter().map(count).sum()
}

/// A place for each number, in the order of numbers.
fn key(number: f64) -> u64 {
    let bits = number.to_bits();
    if number.is_sign_negative() { !bits } else { bits | SIGN }
}

/// The number at a place.
fn number(key: u64) -> f64 {
    f64::from_bits(if key & SIGN == 0 { !key } else { key & !SIGN })
}

const SIGN: u64 = 1 << 63;

/// How many differences lie outside the interval on either side.
fn left_out(first: &Sample, second: &Sample, level: Level) -> Option<usize> {
    if first.len().max(second.len()) <= EXACT_UP_TO {
        leave_out(&rank_sum::law(first.len(), second.len()), level.tail())
    } else {
        let half = (first.len() * second.len()) as f64 / 2.0;
        let rank = libm::floor(half + normal::quantile(level.tail()) * rank_sum::sd(first, second));
        (rank >= 1.0).then_some(rank as usize - 1)
    }
}

/// The greatest count whose probability, with all below it, is no more than `tail`.
pub(super) fn leave_out(law: &[f64], tail: f64) -> Option<usize> {
    let mut below = 0.0;
    let fit = law.iter().take_while(|p| {
        below += **p;
        below <= tail
    });
    fit.count().checked_sub(1)
}

#[cfg(test)]
mod tests {
    use super::super::rank_sum::tests::two_conditions;
    use super::*;
    use crate::stats::close;

    #[test]
    fn the_shift_and_its_ends_agree_with_every_arrangement_listed() {
        let (first, second) = two_conditions();
        let found = hodges_lehmann(&first, &second, Level::NINETY_FIVE);
        assert!(close(found.estimate, 0.155, 1e-12));
        let interval = found.interval.unwrap();
        assert!(close(interval.low, 0.04, 1e-12) && close(interval.high, 0.27, 1e-12), "{interval:?}");
    }

    #[test]
    fn each_rank_is_that_of_all_differences_sorted() {
        let values = |step: i32| -> Vec<f64> { (0..9).map(|i| f64::from(i * step % 5) / 10.0 - 0.2).collect() };
        let [first, second] = [values(3), values(7)].map(|values| Sample::new(values).unwrap());
        let pairs = second.sorted().iter().flat_map(|above| first.sorted().iter().map(move |below| above - below));
        let mut all: Vec<f64> = pairs.collect();
        all.sort_by(f64::total_cmp);
        let ranked = |rank| ranked_difference(first.sorted(), second.sorted(), rank);
        assert_eq!((0..all.len()).map(ranked).collect::<Vec<_>>(), all);
    }

    #[test]
    fn too_few_values_have_no_interval() {
        let pair = |a, b| Sample::new(vec![a, b]).unwrap();
        let found = hodges_lehmann(&pair(1.0, 2.0), &pair(5.0, 7.0), Level::NINETY_FIVE);
        assert_eq!((found.estimate, found.interval), (4.5, None));
    }

    #[test]
    fn many_values_have_the_ends_that_numpy_finds_by_the_normal_law() {
        let roots = Sample::new((1..=40).map(|i| f64::from(i).sqrt()).collect()).unwrap();
        let logs = Sample::new((2..=46).map(|i| f64::from(i).ln() + 1.5).collect()).unwrap();
        let found = hodges_lehmann(&roots, &logs, Level::NINETY_FIVE);
        let interval = found.interval.unwrap();
        assert!(close(found.estimate, -0.013727639843742034, 1e-11));
        assert!(close(interval.low, -0.54140383821386, 1e-11), "{interval:?}");
        assert!(close(interval.high, 0.5915559572822748, 1e-11), "{interval:?}");
    }
}
