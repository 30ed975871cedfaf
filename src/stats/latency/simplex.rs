//! Climbs a height that has no slope at hand, by the simplex method of Nelder and Mead, Computer Journal 7 (1965)
//! 308–313; it draws nothing, so that the same start leads to the same end.

/// The largest change of the height within the simplex at which a climb ends.
const FINE: f64 = 1e-9;
/// Enough for four dimensions.
const MOST_STEPS: usize = 3_000;
/// A simplex that has settled is opened again so often, since it can settle on a slope.
const OPENED: usize = 3;

/// The highest point found from `start`. A height of minus infinity stands where none may be.
pub(super) fn highest<const N: usize>(start: [f64; N], height: impl Fn(&[f64; N]) -> f64) -> [f64; N] {
    let mut best = start;
    for _ in 0..OPENED {
        best = settle(opened(best, &height), &height);
    }
    best
}

type Corner<const N: usize> = ([f64; N], f64);

fn opened<const N: usize>(start: [f64; N], height: &impl Fn(&[f64; N]) -> f64) -> Vec<Corner<N>> {
    let moved = (0..N).map(|axis| {
        let mut point = start;
        point[axis] += if point[axis] == 0.0 { 0.01 } else { 0.1 * point[axis] };
        point
    });
    std::iter::once(start).chain(moved).map(|point| (point, height(&point))).collect()
}

fn settle<const N: usize>(mut corners: Vec<Corner<N>>, height: &impl Fn(&[f64; N]) -> f64) -> [f64; N] {
    for _ in 0..MOST_STEPS {
        corners.sort_by(|a, b| b.1.total_cmp(&a.1));
        if corners[0].1 - corners[N].1 < FINE {
            break;
        }
        let at = |factor: f64| {
            let point = along(&corners, factor);
            (point, height(&point))
        };
        let mirrored = at(1.0);
        let next = if mirrored.1 > corners[0].1 {
            Some(at(2.0)).filter(|further| further.1 > mirrored.1).or(Some(mirrored))
        } else if mirrored.1 > corners[N - 1].1 {
            Some(mirrored)
        } else {
            let nearer = at(if mirrored.1 > corners[N].1 { 0.5 } else { -0.5 });
            Some(nearer).filter(|nearer| nearer.1 > corners[N].1.max(mirrored.1))
        };
        match next {
            Some(corner) => corners[N] = corner,
            None => shrink(&mut corners, height),
        }
    }
    corners.sort_by(|a, b| b.1.total_cmp(&a.1));
    corners[0].0
}

/// From the lowest corner through the middle of the others, so much further.
fn along<const N: usize>(corners: &[Corner<N>], factor: f64) -> [f64; N] {
    std::array::from_fn(|axis| {
        let middle = corners[..N].iter().map(|corner| corner.0[axis]).sum::<f64>() / N as f64;
        middle + factor * (middle - corners[N].0[axis])
    })
}

fn shrink<const N: usize>(corners: &mut [Corner<N>], height: &impl Fn(&[f64; N]) -> f64) {
    let best = corners[0].0;
    for corner in &mut corners[1..] {
        let point = std::array::from_fn(|axis| (corner.0[axis] + best[axis]) / 2.0);
        *corner = (point, height(&point));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_top_of_a_bent_ridge_is_found() {
        // Rosenbrock, Computer Journal 3 (1960) 175–184: the top lies at (1, 1).
        let found = highest([-1.2, 1.0], |[x, y]| -100.0 * (y - x * x).powi(2) - (1.0 - x).powi(2));
        assert!(found.iter().all(|part| (part - 1.0).abs() < 1e-3), "{found:?}");
    }

    #[test]
    fn a_forbidden_side_is_never_entered() {
        let found = highest([0.5, 3.0], |[x, y]| if *x < 0.0 { f64::NEG_INFINITY } else { -x - (y - 1.0).powi(2) });
        assert!(found[0] >= 0.0 && found[0] < 1e-3 && (found[1] - 1.0).abs() < 1e-3, "{found:?}");
    }
}
