//! Time in whole microseconds.
//!
//! Every instant and every duration of the core is an integer number of microseconds since the
//! session began. Nothing here reads a clock: the shell does, and hands the instant in.

use std::ops::{Add, AddAssign, Sub};

use serde::{Deserialize, Serialize};

/// An instant, in whole microseconds since the session began.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Moment(pub u64);

/// A duration, in whole microseconds, never negative.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Span(pub u64);

impl Moment {
    /// The instant at which the session began.
    pub const START: Moment = Moment(0);
    /// An instant that no session reaches.
    pub const NEVER: Moment = Moment(u64::MAX);

    /// The signed difference `self - earlier` in microseconds; negative when `self` comes first.
    #[must_use]
    pub fn signed_us_since(self, earlier: Moment) -> i64 {
        (self.0 as i64).wrapping_sub(earlier.0 as i64)
    }

    /// The time from `earlier` to `self`, or zero when `earlier` comes later.
    #[must_use]
    pub fn since(self, earlier: Moment) -> Span {
        Span(self.0.saturating_sub(earlier.0))
    }
}

impl Span {
    /// No time at all.
    pub const ZERO: Span = Span(0);

    /// A span of whole milliseconds.
    #[must_use]
    pub const fn from_ms(ms: u64) -> Span {
        Span(ms.saturating_mul(1_000))
    }

    /// A span from seconds, rounded to the nearest microsecond.
    ///
    /// Returns `None` for a negative, infinite or not-a-number value, and above 10⁹ s.
    #[must_use]
    pub fn from_seconds(seconds: f64) -> Option<Span> {
        (seconds.is_finite() && (0.0..=1e9).contains(&seconds)).then(|| Span((seconds * 1e6).round() as u64))
    }

    /// The nearest whole microsecond; nothing below zero and for what is no number.
    #[inline]
    pub(crate) fn nearest(us: f64) -> Span {
        Span((us + 0.5).max(0.0) as i64 as u64)
    }

    /// The span in seconds, for text and plots only.
    #[must_use]
    pub fn as_seconds(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// `count` times this span; saturates instead of overflowing.
    #[must_use]
    pub const fn times(self, count: u64) -> Span {
        Span(self.0.saturating_mul(count))
    }

    /// Whether this is no time at all (for settings: the feature is off).
    #[must_use]
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }
}

impl Add<Span> for Moment {
    type Output = Moment;
    #[inline]
    fn add(self, span: Span) -> Moment {
        Moment(self.0.saturating_add(span.0))
    }
}

impl AddAssign<Span> for Moment {
    #[inline]
    fn add_assign(&mut self, span: Span) {
        *self = *self + span;
    }
}

impl Add for Span {
    type Output = Span;
    #[inline]
    fn add(self, other: Span) -> Span {
        Span(self.0.saturating_add(other.0))
    }
}

impl Sub for Span {
    type Output = Span;
    /// The difference, or zero when `other` is longer.
    #[inline]
    fn sub(self, other: Span) -> Span {
        Span(self.0.saturating_sub(other.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_round_to_the_nearest_microsecond() {
        assert_eq!(Span::from_seconds(0.35), Some(Span(350_000)));
        assert_eq!(Span::from_seconds(-0.1), None);
        assert_eq!(Span::from_seconds(f64::NAN), None);
    }

    #[test]
    fn differences_keep_their_sign() {
        assert_eq!(Moment(40).signed_us_since(Moment(100)), -60);
        assert_eq!(Moment(40).since(Moment(100)), Span::ZERO);
    }
}
