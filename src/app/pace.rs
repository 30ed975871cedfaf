//! A scan that the clinician makes slower or faster, a step at a time.

use crate::session::input::Input;
use crate::settings::{Id, Kind};
use crate::time::Span;

/// A step, and the finer one for a fast scan (common practice, no source).
const STEP_US: u64 = 100_000;
const FINE_US: u64 = 50_000;
const FAST_US: u64 = 1_000_000;

/// The next slower interval.
#[must_use]
pub fn slower(interval: Span) -> Span {
    let step = if interval.0 < FAST_US { FINE_US } else { STEP_US };
    bounded((interval.0 / step + 1) * step)
}

/// The next faster interval.
#[must_use]
pub fn faster(interval: Span) -> Span {
    let step = if interval.0 <= FAST_US { FINE_US } else { STEP_US };
    bounded((interval.0.div_ceil(step) - 1) * step)
}

fn bounded(us: u64) -> Span {
    match Id::ScanInterval.setting().kind {
        Kind::Time { min, max, .. } => Span(us.clamp(min as u64, max as u64)),
        _ => Span(us),
    }
}

/// What sets it, in force from the next trial on, and the words that confirm it.
#[must_use]
pub fn set(interval: Span) -> (Input, String) {
    let seconds = interval.as_seconds();
    let name = Id::ScanInterval.setting().name.to_string();
    (Input::Set { name, value: seconds.into() }, format!("{seconds} s per item from the next trial on"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_finer_below_a_second_and_end_at_the_limits() {
        let ms = |span: Span| span.0 / 1_000;
        assert_eq!([1_000, 1_150, 950, 925].map(|it| ms(slower(Span::from_ms(it)))), [1_100, 1_200, 1_000, 950]);
        assert_eq!([1_100, 1_150, 1_000, 925].map(|it| ms(faster(Span::from_ms(it)))), [1_000, 1_100, 950, 900]);
        assert_eq!(ms(faster(Span::from_ms(300))), 300);
        assert_eq!(ms(slower(Span::from_ms(20_000))), 20_000);
    }
}
