//! Whether values under one condition tend to lie above those under another (Mann and Whitney 1947,
//! Annals of Mathematical Statistics 18:50–60; from memory).
//!
//! It assumes that the values do not depend on one another; a trend within a condition breaks that.

use super::{Sample, normal};

/// Up to this many values in each sample the exact law of U is used, where no values are equal.
const EXACT_UP_TO: usize = 30;

/// What the rank sum test finds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RankSum {
    /// U of the first sample: pairs in which its value is the greater, an equal pair counting half.
    pub u_first: f64,
    /// Share of pairs in which the second value is the greater, an equal pair counting half.
    pub second_above: f64,
    /// Two-sided probability of a U as far from even, if both samples came from one law.
    pub p: f64,
    /// Whether `p` is exact; otherwise it is by the Normal law, with ties and continuity corrected.
    pub exact: bool,
}

/// Compares two samples.
#[must_use]
pub fn compare(first: &Sample, second: &Sample) -> RankSum {
    let pairs = (first.len() * second.len()) as f64;
    let u_first = wins(first, second);
    let exact = first.len().max(second.len()) <= EXACT_UP_TO && ties(first, second) == 0.0;
    let p = if exact { exact_p(first, second, u_first) } else { asymptotic_p(first, second, u_first) };
    RankSum { u_first, second_above: 1.0 - u_first / pairs, p, exact }
}

fn wins(first: &Sample, second: &Sample) -> f64 {
    let below = |value: f64| {
        let less = second.sorted().partition_point(|other| *other < value);
        let not_more = second.sorted().partition_point(|other| *other <= value);
        (less + not_more) as f64 / 2.0
    };
    first.sorted().iter().map(|value| below(*value)).sum()
}

/// Σ (t³ − t) over the groups of t equal values in both samples together.
fn ties(first: &Sample, second: &Sample) -> f64 {
    let mut all = [first.sorted(), second.sorted()].concat();
    all.sort_by(f64::total_cmp);
    let cube_less_one = |count: usize| (count as f64).powi(3) - count as f64;
    all.chunk_by(|one, next| one == next).map(|group| cube_less_one(group.len())).sum()
}

fn exact_p(first: &Sample, second: &Sample, u: f64) -> f64 {
    let pairs = first.len() * second.len();
    let nearer_end = (u as usize).min(pairs - u as usize);
    let below: f64 = law(first.len(), second.len())[..=nearer_end].iter().sum();
    (2.0 * below).min(1.0)
}

/// The probability of each U from 0 to `first`·`second`, when every order is equally likely.
///
/// The greatest value of all belongs to either sample; taking it away leaves a smaller problem.
/// Only positive numbers are added, so no digits are lost.
pub(super) fn law(first: usize, second: usize) -> Vec<f64> {
    let mut row: Vec<Vec<f64>> = vec![vec![1.0]; second + 1];
    for n in 1..=first {
        row[0] = vec![1.0];
        for m in 1..=second {
            let total = (n + m) as f64;
            let mut next = vec![0.0; n * m + 1];
            for (u, p) in row[m].iter().enumerate() {
                next[u + m] += p * n as f64 / total;
            }
            for (u, p) in row[m - 1].iter().enumerate() {
                next[u] += p * m as f64 / total;
            }
            row[m] = next;
        }
    }
    row.swap_remove(second)
}

fn asymptotic_p(first: &Sample, second: &Sample, u: f64) -> f64 {
    let sd = sd(first, second);
    let distance = (u - (first.len() * second.len()) as f64 / 2.0).abs() - 0.5;
    if sd == 0.0 { 1.0 } else { (2.0 * normal::cumulative(-distance / sd)).min(1.0) }
}

/// The standard deviation of U, smaller where values are equal.
pub(super) fn sd(first: &Sample, second: &Sample) -> f64 {
    let (n, m) = (first.len() as f64, second.len() as f64);
    let all = n + m;
    let variance = n * m / 12.0 * (all + 1.0 - ties(first, second) / (all * (all - 1.0)));
    libm::sqrt(variance.max(0.0))
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::stats::close;

    fn sample(values: &[f64]) -> Sample {
        Sample::new(values.to_vec()).unwrap()
    }

    /// Latencies in seconds under two conditions.
    pub fn two_conditions() -> (Sample, Sample) {
        (sample(&[0.61, 0.65, 0.70, 0.72, 0.80]), sample(&[0.74, 0.79, 0.85, 0.88, 0.91, 0.95]))
    }

    #[test]
    fn small_samples_have_the_exact_probability_of_scipy() {
        let (first, second) = two_conditions();
        let found = compare(&first, &second);
        assert!(found.exact && found.u_first == 2.0);
        assert!(close(found.p, 8.0 / 462.0, 1e-13));
        assert!(close(found.second_above, 28.0 / 30.0, 1e-13));
        assert!(close(asymptotic_p(&first, &second, 2.0), 0.022478873366125265, 1e-12));
    }

    #[test]
    fn equal_values_are_corrected_for_as_in_scipy() {
        let found = compare(&sample(&[1.0, 2.0, 2.0, 3.0, 5.0]), &sample(&[2.0, 3.0, 3.0, 4.0, 6.0, 7.0]));
        assert!(!found.exact && found.u_first == 7.0);
        assert!(close(found.p, 0.16304505585423734, 1e-12));
    }

    #[test]
    fn larger_samples_agree_with_scipy_too() {
        let even = Sample::new((0..20).map(|i| 2.0 * f64::from(i)).collect()).unwrap();
        let odd = Sample::new((0..25).map(|i| 2.0 * f64::from(i) + 9.0).collect()).unwrap();
        assert!(close(compare(&even, &odd).p, 0.002495927820404439, 1e-11));
    }

    #[test]
    fn the_law_is_symmetric_and_whole() {
        let law = law(7, 4);
        assert_eq!(law.len(), 29);
        assert!(close(law.iter().sum(), 1.0, 1e-13));
        assert!((0..29).all(|u| close(law[u], law[28 - u], 1e-12)));
    }

    #[test]
    fn all_values_equal_say_nothing() {
        let found = compare(&sample(&[3.0, 3.0]), &sample(&[3.0]));
        assert_eq!((found.p, found.second_above), (1.0, 0.5));
    }
}
