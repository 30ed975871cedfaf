//! Equally likely draws from a density of three coordinates that can be asked for at any point.
//!
//! Points are proposed from a wide bell, weighed by density over proposal, and the bell is moved to
//! where the weight is, until much of it is of use; from a last, larger set as many as are wanted are taken by
//! systematic resampling (adaptive importance sampling: Cappé, Guillin, Marin and Robert 2004,
//! Journal of Computational and Graphical Statistics 13:907–929; systematic resampling: Kitagawa
//! 1996, the same journal 5:1–25; both from memory). Unlike a chain, the points do not wait for one
//! another, so that their densities can be worked out on all cores; the draws do not depend on how
//! many there are.

use super::parallel;
use crate::rng::Stream;

/// A point of three coordinates.
pub(super) type Point = [f64; 3];

/// Proposals of each round that finds the bell, and for each draw of the last one.
const FINDING: usize = 320;
const PER_DRAW: usize = 2;
/// The bell is good when its proposals are worth so many independent draws; it is moved no more often.
const ENOUGH: f64 = 160.0;
const MOST_ROUNDS: usize = 8;
/// Degrees of freedom of the bell: tails heavier than those of any posterior here.
const FREEDOM: f64 = 5.0;
/// The bell is made so much wider than the weight that it was fitted to.
const WIDER: f64 = 1.15;

/// A t distribution: its centre, and the lower triangle that stretches independent coordinates.
struct Bell {
    centre: Point,
    triangle: [[f64; 3]; 3],
}

/// A proposal and the logarithm of its weight.
struct Weighed {
    at: Point,
    log_weight: f64,
}

/// `count` draws from the density whose logarithm is `log_density`, up to a constant. `centre` and
/// `widths` say about where it lies. Minus infinity is a density of nothing.
pub(super) fn draws(
    log_density: impl Fn(&Point) -> f64 + Sync,
    centre: Point,
    widths: Point,
    count: usize,
    stream: &mut Stream,
) -> Vec<Point> {
    let mut bell = Bell { centre, triangle: diagonal(widths) };
    for _ in 0..MOST_ROUNDS {
        let found = bell.propose(&log_density, FINDING, stream);
        let worth = worth(&weights(&found));
        bell = bell.moved_to(&found);
        if worth > ENOUGH {
            break;
        }
    }
    let found = bell.propose(&log_density, PER_DRAW * count, stream);
    resample(&found, count, stream)
}

fn diagonal(widths: Point) -> [[f64; 3]; 3] {
    let mut triangle = [[0.0; 3]; 3];
    (0..3).for_each(|axis| triangle[axis][axis] = widths[axis]);
    triangle
}

impl Bell {
    fn propose(
        &self,
        log_density: &(impl Fn(&Point) -> f64 + Sync),
        count: usize,
        stream: &mut Stream,
    ) -> Vec<Weighed> {
        let standard: Vec<Point> = (0..count).map(|_| standard(stream)).collect();
        parallel::map(&standard, |standard| {
            let at = self.stretch(standard);
            let square: f64 = standard.iter().map(|part| part * part).sum();
            let log_proposal = -0.5 * (FREEDOM + 3.0) * libm::log1p(square / FREEDOM);
            Weighed { at, log_weight: log_density(&at) - log_proposal }
        })
    }

    fn stretch(&self, standard: &Point) -> Point {
        let part = |axis: usize| (0..=axis).map(|other| self.triangle[axis][other] * standard[other]).sum::<f64>();
        [0, 1, 2].map(|axis| self.centre[axis] + part(axis))
    }

    /// The bell of the weight found. Where it rests on hardly any point it stays as wide as it was.
    fn moved_to(self, found: &[Weighed]) -> Bell {
        let weights = weights(found);
        let total: f64 = weights.iter().sum();
        if total <= 0.0 {
            return self;
        }
        let mean = |value: &dyn Fn(&Point) -> f64| {
            found.iter().zip(&weights).map(|(one, weight)| weight * value(&one.at)).sum::<f64>() / total
        };
        let centre = [0, 1, 2].map(|axis| mean(&|at| at[axis]));
        if worth(&weights) < ENOUGH / 16.0 {
            return Bell { centre, ..self };
        }
        let spread = |a: usize, b: usize| mean(&|at| (at[a] - centre[a]) * (at[b] - centre[b]));
        let covariance = [0, 1, 2].map(|a| [0, 1, 2].map(|b| WIDER * WIDER * spread(a, b)));
        Bell { centre, triangle: root(&covariance).unwrap_or(self.triangle) }
    }
}

/// A draw from the standard t distribution of three coordinates.
fn standard(stream: &mut Stream) -> Point {
    let normal = [0; 3].map(|_| stream.normal());
    // A chi-square of an odd number of degrees of freedom: exponentials in pairs, and a Normal.
    let square = 2.0 * (stream.exponential() + stream.exponential()) + libm::pow(stream.normal(), 2.0);
    let stretched = libm::sqrt(FREEDOM / square);
    normal.map(|part| part * stretched)
}

/// Weights up to a common factor, the largest 1.
fn weights(found: &[Weighed]) -> Vec<f64> {
    let largest = found.iter().map(|one| one.log_weight).fold(f64::NEG_INFINITY, f64::max);
    let weight = |one: &Weighed| if largest.is_finite() { libm::exp(one.log_weight - largest) } else { 0.0 };
    found.iter().map(weight).collect()
}

/// How many independent draws weighted ones are worth (Kish): from 1, where one has all the weight, to their number.
fn worth(weights: &[f64]) -> f64 {
    let total: f64 = weights.iter().sum();
    total * total / weights.iter().map(|weight| weight * weight).sum::<f64>()
}

/// The lower triangle whose square is the matrix (Cholesky); `None` where there is none.
fn root(matrix: &[[f64; 3]; 3]) -> Option<[[f64; 3]; 3]> {
    let mut triangle = [[0.0; 3]; 3];
    for row in 0..3 {
        for column in 0..=row {
            let rest = matrix[row][column] - (0..column).map(|k| triangle[row][k] * triangle[column][k]).sum::<f64>();
            triangle[row][column] = if row == column { libm::sqrt(rest) } else { rest / triangle[column][column] };
        }
    }
    (0..3).all(|axis| triangle[axis][axis] > 0.0 && triangle[axis][axis].is_finite()).then_some(triangle)
}

/// Steps of equal length through the summed weights.
fn resample(found: &[Weighed], count: usize, stream: &mut Stream) -> Vec<Point> {
    let weights = weights(found);
    let step = weights.iter().sum::<f64>() / count as f64;
    let mut next = step * stream.unit();
    let (mut passed, mut taken) = (0.0, Vec::with_capacity(count));
    for (one, weight) in found.iter().zip(&weights) {
        passed += weight;
        while next < passed && taken.len() < count {
            taken.push(one.at);
            next += step;
        }
    }
    taken
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Normal, with means 1, 2, 3, standard deviations 0.1, 1, 10, and a correlation of 0.8 of the first two.
    fn log_density(at: &Point) -> f64 {
        let [x, y, z] = [(at[0] - 1.0) / 0.1, at[1] - 2.0, (at[2] - 3.0) / 10.0];
        -(x * x - 1.6 * x * y + y * y) / (2.0 * 0.36) - z * z / 2.0
    }

    #[test]
    fn the_draws_have_the_moments_of_the_density() {
        let found = draws(log_density, [1.2, 1.0, 0.0], [0.2, 2.0, 5.0], 4000, &mut Stream::named(1, "resampling"));
        assert_eq!(found.len(), 4000);
        let mean = |value: fn(&Point) -> f64| found.iter().map(value).sum::<f64>() / 4000.0;
        // About five standard errors of 4,000 draws.
        assert!((mean(|at| at[0]) - 1.0).abs() < 0.008);
        assert!((mean(|at| at[1]) - 2.0).abs() < 0.08);
        assert!((mean(|at| at[2]) - 3.0).abs() < 0.8);
        assert!((mean(|at| (at[0] - 1.0) * (at[1] - 2.0) / 0.1) - 0.8).abs() < 0.1);
        assert!((mean(|at| (at[2] - 3.0).powi(2)) - 100.0).abs() < 11.0);
    }

    #[test]
    fn a_density_of_nothing_gives_no_draws() {
        assert!(draws(|_| f64::NEG_INFINITY, [0.0; 3], [1.0; 3], 10, &mut Stream::named(1, "none")).is_empty());
    }

    #[test]
    fn the_root_of_a_matrix_that_has_none_is_told() {
        assert_eq!(
            root(&[[4.0, 2.0, 0.0], [2.0, 5.0, 0.0], [0.0, 0.0, 9.0]]),
            Some([[2.0, 0.0, 0.0], [1.0, 2.0, 0.0], [0.0, 0.0, 3.0]])
        );
        assert_eq!(root(&[[1.0, 2.0, 0.0], [2.0, 1.0, 0.0], [0.0, 0.0, 1.0]]), None);
    }
}
