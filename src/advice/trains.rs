//! Trains of unwanted presses, as tremor makes them, and which lockout stops them.
//!
//! A plain lockout counts from the last accepted press and so only thins a train; one that every
//! ignored press restarts stops it, if it is longer than the train's period.

use super::gaps;
use crate::analysis::evidence::{Aim, Evidence};
use crate::stats::Sample;

/// Presses further apart than this are no train (the slowest tremor in the tables is near 2.5 Hz:
/// Holmes 2.5 to 5 Hz; essential 4 to 12 Hz, parkinsonian 3 to 8 Hz).
const LONGEST_PERIOD_S: f64 = 0.45;
/// Presses that make a train (common practice, no source).
const FEWEST: usize = 4;

/// What the trains have in common.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trains {
    /// How many there were.
    pub count: u32,
    /// Median time from press to press, in seconds.
    pub period_s: f64,
    /// From the first press to the last of the longest, in seconds.
    pub longest_s: f64,
}

impl Trains {
    /// The trains in the evidence; `None` when there are none.
    #[must_use]
    pub fn find(evidence: &Evidence) -> Option<Trains> {
        let trains = runs(evidence);
        let longest_s = trains.iter().map(|periods| periods.iter().sum::<f64>()).fold(0.0, f64::max);
        let count = trains.len() as u32;
        let period_s = Sample::new(trains.into_iter().flatten().collect()).ok()?.median();
        Some(Trains { count, period_s, longest_s })
    }

    /// Presses a second.
    #[must_use]
    pub fn frequency_hz(&self) -> f64 {
        1.0 / self.period_s
    }

    /// Whether a plain lockout lets presses of the train through.
    #[must_use]
    pub fn outlast(&self, lockout_s: f64) -> bool {
        self.longest_s > lockout_s
    }
}

/// How often a press of a train comes through a plain lockout that counts from the press.
#[must_use]
pub fn thinned_to_s(lockout_s: f64, period_s: f64) -> f64 {
    libm::ceil(lockout_s / period_s - 1e-9).max(1.0) * period_s
}

/// Whether a lockout that every ignored press restarts, counted from the press, stops a train.
#[must_use]
pub fn restarting_stops(lockout_s: f64, period_s: f64) -> bool {
    lockout_s > period_s
}

/// The periods of each train.
fn runs(evidence: &Evidence) -> Vec<Vec<f64>> {
    let mut runs = vec![Vec::new()];
    for pair in gaps::pairs(evidence) {
        let close = pair.second.aim == Aim::Unwanted && pair.period_s() <= LONGEST_PERIOD_S;
        match runs.last_mut() {
            Some(run) if close => run.push(pair.period_s()),
            _ => runs.push(Vec::new()),
        }
    }
    runs.retain(|periods| periods.len() + 1 >= FEWEST);
    runs
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, press};
    use super::*;

    #[test]
    fn a_plain_lockout_thins_and_a_restarting_one_stops() {
        // Periods are 1/f: 5 Hz is 0.2 s; 0.35 s lets every second press through, at 0.4 s.
        assert!((thinned_to_s(0.35, 1.0 / 5.0) - 0.4).abs() < 1e-12);
        assert!((3..=12).all(|hz| restarting_stops(0.35, 1.0 / f64::from(hz))));
        assert!(!restarting_stops(0.35, 1.0 / 2.5) && restarting_stops(0.42, 1.0 / 2.5));
    }

    #[test]
    fn a_train_is_told_by_its_period() {
        let mut evidence = evidence();
        press(&mut evidence, Aim::Wanted, 1.0, 0.05);
        (0..9).for_each(|_| press(&mut evidence, Aim::Unwanted, 0.15, 0.05));
        let found = Trains::find(&evidence).unwrap();
        assert!((found.frequency_hz() - 5.0).abs() < 1e-6 && (found.longest_s - 1.8).abs() < 1e-6);
        assert!(found.count == 1 && found.outlast(0.5) && !found.outlast(2.0));
    }

    #[test]
    fn single_repeats_and_nothing_are_no_train() {
        let mut evidence = evidence();
        assert_eq!(Trains::find(&evidence), None);
        (0..9).for_each(|i| press(&mut evidence, Aim::Unwanted, if i % 2 == 0 { 3.0 } else { 0.1 }, 0.05));
        assert_eq!(Trains::find(&evidence), None);
    }
}
