//! Whether two means differ by more than chance, by dealing the same values out anew (Pitman 1937,
//! Supplement to the Journal of the Royal Statistical Society 4:119–130; from memory).

use super::Sample;
use crate::rng::Stream;

/// Up to this many ways to deal, all are tried.
const ALL_UP_TO: f64 = 100_000.0;

/// Deals drawn at random where there are more ways.
const DRAWN: u32 = 20_000;

/// What dealing anew found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Permutation {
    /// Mean of the second sample less mean of the first, in their unit.
    pub difference: f64,
    /// Two-sided probability of a difference at least as great, if the conditions do not matter.
    pub p: f64,
    /// Whether all ways were tried. Otherwise `p` is from 20,000 random ones and this one itself
    /// (Phipson and Smyth 2010, Statistical Applications in Genetics and Molecular Biology 9:39;
    /// from memory), so never 0.
    pub exact: bool,
}

/// Compares the means of two samples; draws from `stream` only where there are too many ways to
/// try them all.
#[must_use]
pub fn mean_difference(first: &Sample, second: &Sample, stream: &mut Stream) -> Permutation {
    let (fewer, more) = if first.len() <= second.len() { (first, second) } else { (second, first) };
    let values = [fewer.sorted(), more.sorted()].concat();
    let deal = Deal::new(&values, fewer.len());
    let exact = ways(values.len(), fewer.len()) <= ALL_UP_TO;
    let p = if exact { deal.share_of_all() } else { deal.share_of_drawn(stream) };
    Permutation { difference: second.mean() - first.mean(), p, exact }
}

/// Ways to choose `taken` of `count`.
fn ways(count: usize, taken: usize) -> f64 {
    (1..=taken).map(|place| (count - taken + place) as f64 / place as f64).product::<f64>().round()
}

/// Values to be dealt to two conditions, those of the smaller first. The sum of the first decides the
/// difference, so only it is kept.
struct Deal<'a> {
    values: &'a [f64],
    taken: usize,
    /// What the first sum would be if the means were the same.
    even: f64,
    /// A sum this far from even is as far as the one observed, but for rounding.
    limit: f64,
}

impl Deal<'_> {
    fn new(values: &[f64], taken: usize) -> Deal<'_> {
        let even = values.iter().sum::<f64>() / values.len() as f64 * taken as f64;
        let rounding = 1e-12 * values.iter().map(|value| value.abs()).sum::<f64>();
        let limit = (values[..taken].iter().sum::<f64>() - even).abs() - rounding;
        Deal { values, taken, even, limit }
    }

    fn is_as_far(&self, sum: f64) -> bool {
        (sum - self.even).abs() >= self.limit
    }

    fn share_of_all(&self) -> f64 {
        let (mut far, mut all) = (0_u32, 0_u32);
        self.each_sum(0, self.taken, 0.0, &mut |sum| {
            all += 1;
            far += u32::from(self.is_as_far(sum));
        });
        f64::from(far) / f64::from(all)
    }

    /// Hands out the sum of every choice of `more` values from `from` on, added to `sum`.
    fn each_sum(&self, from: usize, more: usize, sum: f64, take: &mut impl FnMut(f64)) {
        if more == 0 {
            return take(sum);
        }
        for place in from..=self.values.len() - more {
            self.each_sum(place + 1, more - 1, sum + self.values[place], take);
        }
    }

    fn share_of_drawn(&self, stream: &mut Stream) -> f64 {
        let mut dealt = self.values.to_vec();
        let far = (0..DRAWN).filter(|_| {
            stream.shuffle(&mut dealt);
            self.is_as_far(dealt[..self.taken].iter().sum())
        });
        (far.count() + 1) as f64 / f64::from(DRAWN + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::super::rank_sum::tests::two_conditions;
    use super::super::sample::tests::forty;
    use super::*;
    use crate::stats::close;

    fn stream() -> Stream {
        Stream::named(3, "permutation")
    }

    #[test]
    fn five_of_all_462_ways_are_as_far() {
        let (first, second) = two_conditions();
        let found = mean_difference(&first, &second, &mut stream());
        assert!(found.exact && close(found.p, 5.0 / 462.0, 1e-13));
        assert!(close(found.difference, 0.15733333333333333, 1e-12));
        assert!(close(mean_difference(&second, &first, &mut stream()).p, 5.0 / 462.0, 1e-13));
    }

    #[test]
    fn drawn_deals_come_near_all_of_them() {
        let (first, second) = two_conditions();
        let values = [first.sorted(), second.sorted()].concat();
        let p = Deal::new(&values, 5).share_of_drawn(&mut stream());
        // Four standard errors of 20,000 draws.
        assert!((p - 5.0 / 462.0).abs() < 4.0 * (0.0108 / 20_000.0_f64).sqrt(), "{p}");
    }

    #[test]
    fn many_values_are_drawn_and_never_impossible() {
        let far = Sample::new(forty().sorted().iter().map(|value| value + 5_000.0).collect()).unwrap();
        let found = mean_difference(&forty(), &far, &mut stream());
        assert!(!found.exact && close(found.p, 1.0 / 20_001.0, 1e-13));
    }

    #[test]
    fn one_value_against_very_many_tries_every_place() {
        let many = Sample::new((0..999).map(f64::from).collect()).unwrap();
        let found = mean_difference(&many, &Sample::new(vec![5_000.0]).unwrap(), &mut stream());
        assert!(found.exact && close(found.p, 1.0 / 1_000.0, 1e-13));
    }

    #[test]
    fn equal_values_differ_by_nothing() {
        let flat = Sample::new(vec![0.1; 5]).unwrap();
        let found = mean_difference(&flat, &flat, &mut stream());
        assert_eq!((found.difference, found.p, found.exact), (0.0, 1.0, true));
    }
}
