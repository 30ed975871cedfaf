//! Climbs a likelihood of three parameters by damped Newton steps; it allocates nothing.

use super::local::{Local, Three};

/// Enough for any surface that has a summit; a ridge without one is left here.
const MOST_STEPS: usize = 100;
/// A step that promises less than this, relative to the height, ends the climb.
const FINE: f64 = 1e-11;
/// So does one that fails though it promises less than this: the rest is rounding.
const ROUNDING: f64 = 1e-8;

/// A surface to climb.
pub(super) trait Surface {
    /// What it is like at a point.
    fn at(&self, point: &Three) -> Local;
    /// Whether a climb has run off along a ridge that has no summit.
    fn lost(&self, point: &Three) -> bool;
    /// The point that a step in the coordinates of the slope leads to.
    fn moved(&self, point: &Three, step: &Three) -> Three;
}

/// The highest point that the climb from `start` reaches, and what it is like there.
pub(super) fn climb(surface: &impl Surface, start: Three) -> (Three, Local) {
    let mut point = start;
    let mut here = surface.at(&point);
    let mut damping = 0.0;
    for _ in 0..MOST_STEPS {
        let Some(step) = uphill(&here, damping) else { break };
        let promise = dot(&step, &here.slope);
        let next = surface.moved(&point, &step);
        let there = surface.at(&next);
        let height = here.height.abs().max(1.0);
        if there.height > here.height {
            (point, here) = (next, there);
            damping = if damping > 1e-4 { damping * 0.1 } else { 0.0 };
        } else if promise <= ROUNDING * height || damping > 1e12 {
            break;
        } else {
            damping = f64::max(damping * 10.0, 1e-3);
        }
        if promise <= FINE * height || surface.lost(&point) {
            break;
        }
    }
    (point, here)
}

/// The damped Newton step, its parts limited so that no start is thrown off the map.
fn uphill(here: &Local, damping: f64) -> Option<Three> {
    let mut damping = damping;
    loop {
        if let Some(step) = solve(here, damping) {
            let longest = step.iter().fold(0.0_f64, |most, part| most.max(part.abs()));
            return Some(step.map(|part| part / longest.max(1.0)));
        }
        damping = damping.max(1e-6) * 10.0;
        if damping > 1e12 || !damping.is_finite() {
            return None;
        }
    }
}

/// Solves (−curvature + damping · its own diagonal) step = slope, or nothing where that matrix does not bend
/// downwards.
fn solve(here: &Local, damping: f64) -> Option<Three> {
    let factor = factor(&here.curvature, damping)?;
    let forward = forward(&factor, &here.slope);
    let step = backward(&factor, &forward);
    step.iter().all(|part| part.is_finite()).then_some(step)
}

/// The Cholesky factor of −curvature + damping · its diagonal without signs.
fn factor(curvature: &[Three; 3], damping: f64) -> Option<[Three; 3]> {
    let mut lower = [[0.0; 3]; 3];
    for row in 0..3 {
        for column in 0..=row {
            let known: f64 = (0..column).map(|k| lower[row][k] * lower[column][k]).sum();
            let entry = -curvature[row][column] - known;
            if row != column {
                lower[row][column] = entry / lower[column][column];
                continue;
            }
            let size = curvature[row][row].abs();
            let pivot = entry + damping * size;
            if pivot.is_nan() || pivot <= 1e-14 * size {
                return None;
            }
            lower[row][row] = pivot.sqrt();
        }
    }
    Some(lower)
}

fn forward(lower: &[Three; 3], right: &Three) -> Three {
    let mut found = [0.0; 3];
    for row in 0..3 {
        let known: f64 = (0..row).map(|k| lower[row][k] * found[k]).sum();
        found[row] = (right[row] - known) / lower[row][row];
    }
    found
}

fn backward(lower: &[Three; 3], right: &Three) -> Three {
    let mut found = [0.0; 3];
    for row in (0..3).rev() {
        let known: f64 = (row + 1..3).map(|k| lower[k][row] * found[k]).sum();
        found[row] = (right[row] - known) / lower[row][row];
    }
    found
}

fn dot(a: &Three, b: &Three) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Standard errors of quantities that change along the surface's coordinates as `changes` says, where it bends
/// downwards in every direction.
pub(super) fn errors_of(here: &Local, changes: &[Three; 3]) -> Option<Three> {
    let factor = factor(&here.curvature, 0.0)?;
    let errors = changes.map(|change| {
        let half = forward(&factor, &change);
        dot(&half, &half).sqrt()
    });
    errors.iter().all(|error| error.is_finite()).then_some(errors)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// −½ (p − centre)ᵀ A (p − centre) with a correlated A.
    struct Hill;

    const CENTRE: Three = [1.0, -2.0, 3.0];
    const BEND: [Three; 3] = [[-4.0, -1.0, 0.0], [-1.0, -2.0, 0.5], [0.0, 0.5, -1.0]];

    impl Surface for Hill {
        fn at(&self, point: &Three) -> Local {
            let away = [point[0] - CENTRE[0], point[1] - CENTRE[1], point[2] - CENTRE[2]];
            let slope = BEND.map(|row| dot(&row, &away));
            Local { height: dot(&away, &slope) / 2.0, slope, curvature: BEND }
        }

        fn lost(&self, _: &Three) -> bool {
            false
        }

        fn moved(&self, point: &Three, step: &Three) -> Three {
            [point[0] + step[0], point[1] + step[1], point[2] + step[2]]
        }
    }

    /// Whether slope and curvature of a likelihood are the differences of its height; its first coordinate is
    /// counted in the exponential of its second.
    pub(in super::super) fn slopes_agree(surface: &impl Surface, point: Three) {
        let here = surface.at(&point);
        for axis in 0..3 {
            let at = |size: f64| {
                let mut step = [0.0; 3];
                step[axis] = size;
                surface.at(&surface.moved(&point, &step))
            };
            let (up, down) = (at(1e-5), at(-1e-5));
            let slope = (up.height - down.height) / 2e-5;
            assert!((slope - here.slope[axis]).abs() < 1e-6 * (1.0 + slope.abs()), "{axis}: {slope} {here:?}");
            // A change of the second coordinate changes the count of the first one's slope too.
            let scale = |local: &Local, size: f64, other: usize| {
                if other == 0 && axis == 1 { local.slope[0] / f64::exp(size) } else { local.slope[other] }
            };
            for other in 0..3 {
                let bend = (scale(&up, 1e-5, other) - scale(&down, -1e-5, other)) / 2e-5;
                let found = here.curvature[axis][other];
                assert!((bend - found).abs() < 1e-5 * (1.0 + bend.abs()), "{axis} {other}: {bend} {found}");
            }
        }
    }

    #[test]
    fn a_hill_is_climbed_to_its_top() {
        let (point, here) = climb(&Hill, [9.0, 9.0, -9.0]);
        assert!(here.height > -1e-12, "{here:?}");
        assert!(point.iter().zip(CENTRE).all(|(found, wanted)| (found - wanted).abs() < 1e-5));
    }

    #[test]
    fn errors_are_the_roots_of_the_inverse_of_the_bend() {
        // numpy.linalg.inv of the matrix above: diagonal 1.75/6, 4/6, 7/6.
        let errors = errors_of(&Hill.at(&CENTRE), &[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]).unwrap();
        for (error, square) in errors.iter().zip([1.75 / 6.0, 4.0 / 6.0, 7.0 / 6.0]) {
            assert!((error * error - square).abs() < 1e-12);
        }
    }
}
