//! The samples of a pointer, no more than are of use: some mice tell thousands a second, which would fill the log.
//!
//! What comes too soon waits; of several that wait the last one counts, so that the pointer never stands elsewhere than
//! where it was last told to be.

use std::time::{Duration, Instant};

/// From one sample to the next at least: eye trackers and head mice with 240 samples a second lose none.
const STEP: Duration = Duration::from_millis(4);

/// A place on the board, or nowhere.
type Place = Option<(i32, i32)>;

/// The samples on their way.
#[derive(Clone, Copy, Debug, Default)]
pub struct Samples {
    /// The next one may come from here on.
    free: Option<Instant>,
    waiting: Option<Place>,
    left_out: bool,
}

impl Samples {
    /// The pointer is at `place` at this instant; gives where it has to be told to be, unless that waits.
    pub fn sample(&mut self, at: Instant, place: Place) -> Option<Place> {
        self.left_out |= self.waiting.replace(place).is_some();
        self.due(at)
    }

    /// Some were left out.
    #[must_use]
    pub fn left_out(&self) -> bool {
        self.left_out
    }

    /// What waits no longer.
    pub fn due(&mut self, now: Instant) -> Option<Place> {
        if self.free.is_some_and(|free| now < free) {
            return None;
        }
        let place = self.waiting.take()?;
        self.free = Some(now + STEP);
        Some(place)
    }

    /// When [`Samples::due`] has to be asked next.
    #[must_use]
    pub fn deadline(&self) -> Option<Instant> {
        self.free.filter(|_| self.waiting.is_some())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is told of samples that come at these microseconds, each at a place of that number.
    fn told(samples: impl Iterator<Item = u64>) -> Vec<(u64, i32)> {
        let (mut pointer, start, mut told) = (Samples::default(), Instant::now(), Vec::new());
        let us = |at: Instant| (at - start).as_micros() as u64;
        let mut samples = samples.peekable();
        while let Some(sample) = samples.next() {
            let (at, place) = (start + Duration::from_micros(sample), Some((sample as i32, 0)));
            told.extend(pointer.sample(at, place).flatten().map(|(x, _)| (us(at), x)));
            if let Some(due) = pointer.deadline().filter(|due| samples.peek().is_none_or(|next| *next > us(*due))) {
                told.extend(pointer.due(due).flatten().map(|(x, _)| (us(due), x)));
            }
        }
        told
    }

    #[test]
    fn an_eye_tracker_loses_no_sample_and_none_is_late() {
        let all: Vec<u64> = (0..240).map(|n| n * 1_000_000 / 240).collect();
        let wanted: Vec<(u64, i32)> = all.iter().map(|at| (*at, *at as i32)).collect();
        assert_eq!(told(all.into_iter()), wanted);
    }

    #[test]
    fn of_a_flood_so_many_are_told_as_are_of_use_and_the_last_one_is_among_them() {
        // A second of 8,000 samples, then silence.
        let told = told((0..8_000).map(|n| n * 125));
        assert!((245..=252).contains(&told.len()), "{}", told.len());
        assert_eq!(told.last(), Some(&(1_000_000, 999_875)));
    }

    #[test]
    fn leaving_the_window_is_told_too() {
        let (mut pointer, start) = (Samples::default(), Instant::now());
        assert_eq!(pointer.sample(start, Some((1, 1))), Some(Some((1, 1))));
        assert_eq!(pointer.sample(start + STEP / 2, None), None);
        assert_eq!((pointer.due(start + STEP), pointer.deadline()), (Some(None), None));
    }
}
