//! Whether values rise or fall in the order they came in (Mann 1945, Econometrica 13:245–259;
//! Kendall 1975, Rank Correlation Methods; from memory).
//!
//! Values that follow each other closely depend on one another and make chance look like a trend:
//! hand in the means of blocks, not single presses.

use super::normal;

/// Up to this many values the exact law is used, where no values are equal.
const EXACT_UP_TO: usize = 50;

/// What the test for a trend finds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trend {
    /// Pairs that rise less pairs that fall.
    pub score: i64,
    /// The score's variance if there is no trend, with equal values corrected for.
    pub variance: f64,
    /// The score in standard deviations, one pair nearer zero for continuity.
    pub z: f64,
    /// Two-sided probability of a score as far from zero if there is no trend, by the Normal law.
    pub p_normal: f64,
    /// The same probability exactly; `None` where values are equal or there are more than 50.
    pub p_exact: Option<f64>,
}

/// Tests finite values in the order they came in, one step apart.
///
/// `None` for fewer than two values, or where one is infinite or not a number. With fewer than
/// four values no trend can be told from chance at 90 %.
#[must_use]
pub fn mann_kendall(values: &[f64]) -> Option<Trend> {
    if values.len() < 2 || values.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let score = score(values);
    let (variance, tied) = variance(values);
    let z = if variance > 0.0 { (score - score.signum()) as f64 / libm::sqrt(variance) } else { 0.0 };
    let p_exact = (!tied && values.len() <= EXACT_UP_TO).then(|| exact_p(values.len(), score));
    Some(Trend { score, variance, z, p_normal: 2.0 * normal::cumulative(-z.abs()), p_exact })
}

fn score(values: &[f64]) -> i64 {
    let sign = |from: f64, to: f64| i64::from(to > from) - i64::from(to < from);
    let after = |(place, from): (usize, &f64)| values[place + 1..].iter().map(|to| sign(*from, *to)).sum::<i64>();
    values.iter().enumerate().map(after).sum()
}

/// The score's variance, and whether any values are equal.
fn variance(values: &[f64]) -> (f64, bool) {
    let term = |count: usize| (count * (count - 1) * (2 * count + 5)) as f64;
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let ties: f64 = sorted.chunk_by(|one, next| one == next).map(|group| term(group.len())).sum();
    ((term(values.len()) - ties) / 18.0, ties > 0.0)
}

fn exact_p(count: usize, score: i64) -> f64 {
    let pairs = (count * (count - 1) / 2) as u64;
    let rarer = ((pairs - score.unsigned_abs()) / 2) as usize;
    (2.0 * law(count)[..=rarer].iter().sum::<f64>()).min(1.0)
}

/// The probability of each number of falling pairs among `count` values, when every order is
/// equally likely: the value put in last falls below 0 to n − 1 others with equal chance.
pub(super) fn law(count: usize) -> Vec<f64> {
    let mut law = vec![1.0];
    for n in 2..=count {
        let mut next = vec![0.0; law.len() + n - 1];
        for (falls, p) in law.iter().enumerate() {
            for more in 0..n {
                next[falls + more] += p / n as f64;
            }
        }
        law = next;
    }
    law
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::stats::close;

    /// Mean latencies of ten blocks, in seconds.
    pub const BLOCKS: [f64; 10] = [0.62, 0.60, 0.65, 0.66, 0.64, 0.70, 0.69, 0.73, 0.71, 0.76];

    #[test]
    fn a_rising_series_agrees_with_the_formula_and_with_scipy() {
        let found = mann_kendall(&BLOCKS).unwrap();
        assert_eq!((found.score, found.variance), (35, 125.0));
        assert!(close(found.z, 3.041052449399714, 1e-13));
        assert!(close(found.p_normal, 0.00235752759579549, 1e-11));
        // The exact law of Kendall's tau by scipy.
        assert!(close(found.p_exact.unwrap(), 0.0009463183421516755, 1e-12));
    }

    #[test]
    fn equal_values_shrink_the_variance() {
        let found = mann_kendall(&[1.0, 2.0, 2.0, 3.0, 3.0, 3.0, 4.0]).unwrap();
        assert_eq!((found.score, found.p_exact), (17, None));
        assert!(close(found.variance, 39.666666666666664, 1e-13));
        assert!(close(found.z, 2.540429395319823, 1e-13));
    }

    #[test]
    fn a_falling_series_mirrors_a_rising_one() {
        let (rising, mut turned) = (mann_kendall(&BLOCKS).unwrap(), BLOCKS);
        turned.reverse();
        let falling = mann_kendall(&turned).unwrap();
        assert_eq!((falling.score, falling.z, falling.p_exact), (-35, -rising.z, rising.p_exact));
    }

    #[test]
    fn nothing_to_compare_is_no_trend() {
        assert_eq!(mann_kendall(&[1.0]), None);
        assert_eq!(mann_kendall(&[1.0, f64::NAN]), None);
        let flat = mann_kendall(&[2.0; 5]).unwrap();
        assert_eq!((flat.score, flat.z, flat.p_normal), (0, 0.0, 1.0));
    }

    #[test]
    fn four_values_in_a_row_have_one_chance_in_twelve() {
        // All rising or all falling: 2 of the 24 orders.
        assert!(close(mann_kendall(&[1.0, 2.0, 3.0, 4.0]).unwrap().p_exact.unwrap(), 2.0 / 24.0, 1e-13));
    }
}
