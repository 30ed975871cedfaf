//! At what steps a device is polled, from the driver's own stamps.

use std::time::{Duration, SystemTime};

/// Gaps that are wanted before a step is told.
const WANTED: usize = 24;
/// A longer gap says nothing of the step.
const LONGEST: Duration = Duration::from_millis(40);
/// Gaps that are remembered.
const KEPT: usize = 256;

/// The gaps between the driver's stamps.
#[derive(Clone, Debug, Default)]
pub struct Polling {
    last: Option<SystemTime>,
    gaps_us: Vec<u64>,
}

impl Polling {
    /// The driver stamped something at `at`.
    pub fn stamp(&mut self, at: SystemTime) {
        let gap = self.last.replace(at).and_then(|last| at.duration_since(last).ok());
        if let Some(gap) = gap.filter(|gap| !gap.is_zero() && *gap <= LONGEST && self.gaps_us.len() < KEPT) {
            self.gaps_us.push(gap.as_micros() as u64);
        }
    }

    /// The polling step in microseconds: the tenth part of the gaps that is shortest ends here. `None`
    /// while there are too few; moving an axis for a second is enough.
    #[must_use]
    pub fn step_us(&self) -> Option<u64> {
        let mut gaps = self.gaps_us.clone();
        gaps.sort_unstable();
        (gaps.len() >= WANTED).then(|| gaps[gaps.len() / 10])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_step_is_found_among_gaps_of_several_steps() {
        let (mut polling, mut at) = (Polling::default(), SystemTime::UNIX_EPOCH);
        for (place, steps) in [1_u64, 2, 1, 3, 1, 1, 2, 1].into_iter().cycle().take(40).enumerate() {
            at += Duration::from_micros(8_000 * steps + place as u64 % 3);
            polling.stamp(at);
        }
        assert!(polling.step_us().is_some_and(|step| step.abs_diff(8_000) < 5), "{:?}", polling.step_us());
    }

    #[test]
    fn few_gaps_or_a_clock_that_was_set_back_tell_nothing() {
        let mut polling = Polling::default();
        (0..30).for_each(|back| polling.stamp(SystemTime::UNIX_EPOCH + Duration::from_secs(1_000 - back)));
        assert_eq!(polling.step_us(), None);
    }
}
