//! The one clock of a session: monotonic, in whole microseconds since the session began.
//!
//! The shell stamps with [`Instant`] on arrival, before anything else; the session's clock turns
//! such a stamp into a [`Moment`]. Nothing else in the program reads the time of day.

use std::time::{Duration, Instant, SystemTime};

use crate::time::Moment;

/// Counts from the beginning of a session.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    start: Instant,
}

impl Clock {
    /// Starts now; the wall clock beside it is the one anchor in the log's header.
    #[must_use]
    pub fn start() -> (Clock, SystemTime) {
        let start = Instant::now();
        (Clock { start }, SystemTime::now())
    }

    /// The moment of a stamp; one from before the start is the start itself.
    #[must_use]
    pub fn moment(self, stamp: Instant) -> Moment {
        Moment(stamp.saturating_duration_since(self.start).as_micros() as u64)
    }

    /// The instant at which this moment has been reached; `None` for one that no clock reaches.
    #[must_use]
    pub fn instant(self, moment: Moment) -> Option<Instant> {
        let since = Duration::from_micros(moment.0);
        self.start.checked_add(since).filter(|_| moment < Moment::NEVER)
    }
}

/// How good the clock is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockQuality {
    /// Least step between two different readings, in nanoseconds.
    pub step_ns: u64,
    /// Mean cost of one reading, in nanoseconds.
    pub read_ns: u64,
}

/// Readings that [`quality`] takes: enough to see the step, over in less than a millisecond.
const READINGS: u32 = 10_000;

/// Measures the clock that all stamps come from.
#[must_use]
pub fn quality() -> ClockQuality {
    let began = Instant::now();
    let (mut last, mut step) = (began, Duration::MAX);
    for _ in 0..READINGS {
        let now = Instant::now();
        if now > last {
            step = step.min(now - last);
        }
        last = now;
    }
    ClockQuality {
        step_ns: if step == Duration::MAX { 0 } else { step.as_nanos() as u64 },
        read_ns: (last - began).as_nanos() as u64 / u64::from(READINGS),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_and_instants_are_each_others_inverse() {
        let (clock, _) = Clock::start();
        let moment = Moment(1_234_567);
        assert_eq!(clock.instant(moment).map(|stamp| clock.moment(stamp)), Some(moment));
    }

    #[test]
    fn a_stamp_from_before_the_start_is_the_start() {
        let early = Instant::now();
        std::thread::sleep(Duration::from_millis(2));
        let (clock, _) = Clock::start();
        assert_eq!(clock.moment(early), Moment::START);
    }

    #[test]
    fn a_moment_that_no_clock_reaches_has_no_instant() {
        assert_eq!(Clock::start().0.instant(Moment::NEVER), None);
    }
}
