//! A figure with its 90 % interval, from the guesses of a profile and many simulated runs of each.

use serde::Serialize;

use crate::stats::{Interval, Level, Sample, normal};

/// A mean and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// The mean over all guesses.
    pub value: f64,
    /// Lower end of the 90 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Figure {
    /// From the runs of each guess; every guess has at least one.
    ///
    /// The means of the guesses scatter because the profile is unsure, and because so many runs are no
    /// more than so many. What the second adds is taken off, by drawing the means together, but for one
    /// standard error of what is left: few runs make the interval wider, not narrower. With a single
    /// guess chance is all there is, and makes the interval. `None` without a run.
    #[must_use]
    pub fn of(guesses: &[Vec<f64>]) -> Option<Figure> {
        let runs: Vec<Sample> = guesses.iter().filter_map(|runs| Sample::new(runs.clone()).ok()).collect();
        let means = Sample::new(runs.iter().map(Sample::mean).collect()).ok()?;
        let chance = runs.iter().map(chance).sum::<f64>() / runs.len() as f64;
        let value = means.mean();
        let Interval { low, high } = match means.sd() {
            Some(sd) => between(&means, sd, chance),
            None => {
                let half = normal::quantile(1.0 - Level::NINETY.tail()) * libm::sqrt(chance);
                Interval { low: value - half, high: value + half }
            }
        };
        Some(Figure { value, low, high })
    }

    /// The same, `factor` times as large.
    #[must_use]
    pub fn times(self, factor: f64) -> Figure {
        let [value, low, high] = [self.value, self.low, self.high].map(|value| value * factor);
        Figure { value, low, high }
    }

    /// The same within these bounds.
    #[must_use]
    pub fn within(self, least: f64, greatest: f64) -> Figure {
        let [value, low, high] = [self.value, self.low, self.high].map(|value| value.clamp(least, greatest));
        Figure { value, low, high }
    }
}

/// Whether more than half of these are.
pub(super) fn most(of: impl Iterator<Item = bool>) -> bool {
    let (are, all) = of.fold((0, 0), |(are, all), one| (are + usize::from(one), all + 1));
    2 * are > all
}

/// Variance of a mean of runs.
fn chance(runs: &Sample) -> f64 {
    runs.sd().map_or(0.0, |sd| sd * sd / runs.len() as f64)
}

/// The middle 90 % of the means, once what chance adds to their scatter is taken off.
fn between(means: &Sample, sd: f64, chance: f64) -> Interval {
    // Of Normal means the variance has a standard error of √(2/n) times itself.
    let unsure = libm::sqrt(2.0 / means.len() as f64);
    let kept = if sd > 0.0 { libm::sqrt(((1.0 - chance / (sd * sd)).max(0.0) + unsure).min(1.0)) } else { 0.0 };
    let drawn = |p: f64| means.mean() + kept * (means.quantile(p) - means.mean());
    // Even with every guess alike the mean is known no better than by all runs together.
    let least = normal::quantile(1.0 - Level::NINETY.tail()) * libm::sqrt(chance / means.len() as f64);
    Interval { low: drawn(0.05).min(means.mean() - least), high: drawn(0.95).max(means.mean() + least) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    /// Guesses around 10 with a standard deviation of `unsure`, and runs around each with one of `chance`.
    fn guesses(count: usize, runs: usize, unsure: f64, chance: f64) -> Vec<Vec<f64>> {
        let mut stream = Stream::named(3, "figure");
        let guess = |_| {
            let middle = 10.0 + unsure * stream.normal();
            (0..runs).map(|_| middle + chance * stream.normal()).collect()
        };
        (0..count).map(guess).collect()
    }

    #[test]
    fn the_interval_is_that_of_the_guesses_and_not_of_the_runs() {
        let figure = Figure::of(&guesses(2_000, 10, 1.0, 4.0)).unwrap();
        // Normal: 1.645 standard deviations either side.
        assert!((figure.value - 10.0).abs() < 0.15);
        assert!((figure.high - figure.low - 3.29).abs() < 0.35, "{figure:?}");
    }

    #[test]
    fn a_single_guess_is_as_sure_as_its_runs() {
        let figure = Figure::of(&guesses(1, 400, 0.0, 2.0)).unwrap();
        // 2 · 1.645 · 2/√400.
        assert!((figure.high - figure.low - 0.329).abs() < 0.04, "{figure:?}");
        assert_eq!(Figure::of(&[]), None);
    }

    #[test]
    fn equal_runs_leave_nothing_open() {
        let figure = Figure::of(&vec![vec![3.0; 5]; 7]).unwrap();
        assert_eq!(figure, Figure { value: 3.0, low: 3.0, high: 3.0 });
        assert_eq!(figure.within(0.0, 1.0).value, 1.0);
    }
}
