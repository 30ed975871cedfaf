//! The dip: how far a sample is from having a single hump.
//!
//! It is the greatest distance between the sample's distribution function and the nearest one that
//! bends upwards up to some point and downwards from there (Hartigan and Hartigan 1985, Annals of
//! Statistics 13:70–84; the algorithm of P. M. Hartigan 1985, Applied Statistics 34:320–325, with the
//! later corrections; from memory). The hull below the function and the hull above it are drawn; where
//! they are furthest apart the search goes on between the points that they touch there.

use super::Sample;

/// The dip of a sample, a share of its values: 1/(2n) where nothing speaks against one hump, at most 1/4. 0 for fewer
/// than four values, which always have one hump, and where all are equal.
#[must_use]
pub fn dip(sample: &Sample) -> f64 {
    let x = sample.sorted();
    let last = x.len() - 1;
    if x.len() < 4 || x[0] == x[last] {
        return 0.0;
    }
    let points = Points { x, below: chain_below(x), above: chain_above(x) };
    let (mut low, mut high, mut found) = (0, last, 1.0_f64);
    loop {
        let below = points.hull(&points.below, high, |at| at > low);
        let above = points.hull(&points.above, low, |at| at < high);
        let (gap, [left, right]) = points.widest(&below, &above);
        if gap < found {
            break;
        }
        let under = below[left..].windows(2).map(|pair| points.bulge(pair[1], pair[0], 1.0));
        let over = above[right..].windows(2).map(|pair| points.bulge(pair[0], pair[1], -1.0));
        found = under.chain(over).fold(found, f64::max);
        if (low, high) == (below[left], above[right]) {
            break;
        }
        (low, high) = (below[left], above[right]);
    }
    found / (2 * x.len()) as f64
}

/// The sorted values, and for each the one before it (after it) on the hull that ends (begins) there.
struct Points<'a> {
    x: &'a [f64],
    below: Vec<usize>,
    above: Vec<usize>,
}

/// For each value the one before it on the greatest convex function below.
fn chain_below(x: &[f64]) -> Vec<usize> {
    let mut before = vec![0; x.len()];
    for at in 1..x.len() {
        let mut found = at - 1;
        while found != 0 {
            let next = before[found];
            let (steps, rest) = ((found - next) as f64, (at - found) as f64);
            if (x[at] - x[found]) * steps < (x[found] - x[next]) * rest {
                break;
            }
            found = next;
        }
        before[at] = found;
    }
    before
}

/// For each value the one after it on the least concave function above.
fn chain_above(x: &[f64]) -> Vec<usize> {
    let last = x.len() - 1;
    let mut after = vec![last; x.len()];
    for at in (0..last).rev() {
        let mut found = at + 1;
        while found != last {
            let next = after[found];
            let (steps, rest) = ((next - found) as f64, (found - at) as f64);
            if (x[found] - x[at]) * steps < (x[next] - x[found]) * rest {
                break;
            }
            found = next;
        }
        after[at] = found;
    }
    after
}

impl Points<'_> {
    /// The points of a hull, from `start` along its chain for as long as `more` holds.
    fn hull(&self, chain: &[usize], start: usize, more: impl Fn(usize) -> bool) -> Vec<usize> {
        let mut hull = vec![start];
        while let Some(at) = hull.last().copied().filter(|at| more(*at)) {
            hull.push(chain[at]);
        }
        hull
    }

    /// Steps by which the hull above exceeds the one below where they are furthest apart, and the
    /// places in both hulls between which the search goes on. `below` runs downwards, `above` upwards.
    fn widest(&self, below: &[usize], above: &[usize]) -> (f64, [usize; 2]) {
        if below.len() == 2 && above.len() == 2 {
            return (1.0, [1, 1]);
        }
        let (mut lower, mut upper) = (below.len() - 2, 1);
        let (mut gap, mut found) = (0.0, [below.len() - 1, above.len() - 1]);
        loop {
            let (under, over) = (below[lower], above[upper]);
            let (here, places) = if under > over {
                let from = below[lower + 1];
                let here = (over - from + 1) as f64 - self.line(from, under, over);
                upper += 1;
                (here, [lower + 1, upper - 1])
            } else {
                let from = above[upper - 1];
                let here = self.line(from, over, under) - (under as f64 - from as f64 - 1.0);
                let places = [lower, upper];
                lower = lower.saturating_sub(1);
                (here, places)
            };
            if here >= gap {
                (gap, found) = (here, places);
            }
            upper = upper.min(above.len() - 1);
            if below[lower] == above[upper] {
                return (gap, found);
            }
        }
    }

    /// Steps from `from` up to `at` on the straight line to `to`.
    fn line(&self, from: usize, to: usize, at: usize) -> f64 {
        (self.x[at] - self.x[from]) * (to - from) as f64 / (self.x[to] - self.x[from])
    }

    /// How far the function bulges over (`side` 1) or under (−1) the straight piece of a hull; 1 at least.
    fn bulge(&self, from: usize, to: usize, side: f64) -> f64 {
        if to - from <= 1 || self.x[from] == self.x[to] {
            return 1.0;
        }
        (from..=to).map(|at| side * ((at - from) as f64 - self.line(from, to, at)) + 1.0).fold(1.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    fn of(values: &[f64]) -> f64 {
        dip(&Sample::new(values.to_vec()).unwrap())
    }

    #[test]
    fn agrees_with_the_published_algorithm() {
        // Computed with `diptest` 0.12.0 and numpy 2.4.6 by `tests/reference/dip.py`.
        let low = [0.50, 0.52, 0.55, 0.57, 0.58, 0.60, 0.61, 0.63, 0.66, 0.70];
        let two: Vec<f64> = low.iter().chain(&low.map(|x| x + 1.0)).copied().collect();
        assert!(close(of(&two), 0.2, 1e-12));
        assert!(close(of(&[1.0, 1.0, 1.0, 2.0, 2.0, 5.0, 5.0, 5.0, 5.0, 9.0]), 0.1875, 1e-12));
        assert!(close(of(&[0.0, 1.0, 1.1, 1.2, 5.0, 5.1, 5.2, 5.25, 9.0]), 0.168_888_888_888_888_9, 1e-12));
        assert!(close(of(&[1.0, 2.0, 4.0, 8.0, 16.0, 32.0]), 1.0 / 12.0, 1e-12));
        assert!(close(dip(&crate::stats::sample::tests::forty()), 0.013_235_294_117_647_062, 1e-12));
    }

    #[test]
    fn neither_unit_nor_direction_matters() {
        let values = [0.3, 0.31, 0.35, 0.36, 0.9, 0.92, 0.93, 1.4];
        let turned = values.map(|x| 1000.0 * (2.0 - x));
        assert!(close(of(&values), of(&turned), 1e-9));
    }

    #[test]
    fn equal_values_and_few_have_none() {
        assert_eq!([of(&[0.7; 40]), of(&[1.0, 2.0, 9.0])], [0.0, 0.0]);
    }
}
