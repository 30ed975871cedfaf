//! How one person's practice levels off: value = level + gain·e^(−rate·n) at block n = 0, 1, 2, …
//!
//! For one person an exponential curve fits better than the power law that averages over people
//! suggest (Heathcote, Brown and Mewhort 2000, Psychonomic Bulletin & Review 7:185–207). The fit is by
//! least squares and follows a wild value: hand in medians of blocks.

/// The fewest blocks a curve is fitted to: two more than it has unknowns.
const FEWEST_BLOCKS: usize = 5;

/// The steepest rate per block: all but 1 % of the gain in a single one.
const STEEPEST: f64 = 4.6;

/// Rates tried before the best is refined.
const RATES: usize = 60;

/// A curve that falls towards a level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// What practice leads to, in the unit of the values.
    pub level: f64,
    /// How far above that the first block lies; greater than 0.
    pub gain: f64,
    /// The share of what is left that goes with each block is 1 − e^(−rate).
    pub rate: f64,
    /// The sum of squared distances of the values from the curve.
    pub squares: f64,
}

impl Curve {
    /// The value the curve gives at `block`, the first being 0.
    #[must_use]
    pub fn at(&self, block: f64) -> f64 {
        self.level + self.gain * libm::exp(-self.rate * block)
    }
}

/// Fits a curve to one value a block, in order, smaller being better.
///
/// `None` for fewer than five values, for values that are not finite, and where no levelling off can
/// be seen: they do not fall, fall at once, or less than 40 % of the fall lies within the blocks.
#[must_use]
pub fn fit(values: &[f64]) -> Option<Curve> {
    if values.len() < FEWEST_BLOCKS || values.iter().any(|value| !value.is_finite()) {
        return None;
    }
    let (least, most) = (libm::log(0.5 / (values.len() - 1) as f64), libm::log(STEEPEST));
    let log_rate = |place: usize| least + (most - least) * place as f64 / (RATES - 1) as f64;
    let misfit = |log_rate: f64| at_rate(values, libm::exp(log_rate)).squares;
    let best = (0..RATES).min_by(|one, other| misfit(log_rate(*one)).total_cmp(&misfit(log_rate(*other))))?;
    // At the edge the best curve may lie anywhere beyond it.
    if best == 0 || best == RATES - 1 {
        return None;
    }
    let refined = super::least(misfit, log_rate(best - 1), log_rate(best + 1), 1e-9);
    Some(at_rate(values, libm::exp(refined))).filter(|curve| curve.gain > 0.0)
}

/// The best curve with a given rate: a straight line over e^(−rate·n).
fn at_rate(values: &[f64], rate: f64) -> Curve {
    let count = values.len() as f64;
    let left: Vec<f64> = (0..values.len()).map(|block| libm::exp(-rate * block as f64)).collect();
    let (middle_left, middle) = (left.iter().sum::<f64>() / count, values.iter().sum::<f64>() / count);
    let pairs = || left.iter().zip(values).map(|(left, value)| (left - middle_left, value - middle));
    let gain =
        pairs().map(|(left, value)| left * value).sum::<f64>() / pairs().map(|(left, _)| left * left).sum::<f64>();
    let squares = pairs().map(|(left, value)| (value - gain * left).powi(2)).sum();
    Curve { level: middle - gain * middle_left, gain, rate, squares }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    #[test]
    fn a_perfect_curve_is_found_again() {
        // 1 + e^(−0.2·n), worked by hand at five blocks.
        let values: Vec<f64> = (0..20).map(|block| 1.0 + (-0.2 * f64::from(block)).exp()).collect();
        let curve = fit(&values).unwrap();
        assert!(close(curve.level, 1.0, 1e-7) && close(curve.gain, 1.0, 1e-7) && close(curve.rate, 0.2, 1e-7));
        for (block, value) in [(0.0, 2.0), (1.0, 1.818731), (4.0, 1.449329), (9.0, 1.165299), (19.0, 1.022371)] {
            assert!((curve.at(block) - value).abs() < 1e-6, "{block}: {}", curve.at(block));
        }
    }

    #[test]
    fn a_noisy_curve_is_the_one_of_scipy() {
        let curve = fit(&[2.02, 1.79, 1.70, 1.52, 1.47, 1.35, 1.33, 1.22, 1.23, 1.15, 1.16, 1.09]).unwrap();
        assert!(close(curve.level, 1.0047375487985777, 1e-6), "{curve:?}");
        assert!(close(curve.gain, 1.000697288334925, 1e-6), "{curve:?}");
        assert!(close(curve.rate, 0.20281725051429997, 1e-6), "{curve:?}");
        assert!(close(curve.squares, 0.007241203710487723, 1e-10), "{curve:?}");
    }

    #[test]
    fn where_nothing_levels_off_there_is_no_curve() {
        assert_eq!(fit(&[2.0, 1.5, 1.2, 1.1]), None);
        assert_eq!(fit(&[2.0, 1.5, 1.2, f64::NAN, 1.0]), None);
        assert_eq!(fit(&[1.0; 8]), None);
        assert_eq!(fit(&[8.0, 7.0, 6.0, 5.0, 4.0, 3.0, 2.0]), None);
        assert_eq!(fit(&[2.0, 1.0, 1.0, 1.0, 1.0, 1.0]), None);
        let worse: Vec<f64> = (0..20).map(|block| 1.0 - (-0.2 * f64::from(block)).exp()).collect();
        assert_eq!(fit(&worse), None);
    }
}
