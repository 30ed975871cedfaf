//! The wall clock, for headers and file names. Nothing is ever timed with it.

use std::env::{self, VarError};
use std::time::SystemTime;

use jiff::{Timestamp, Zoned, tz::TimeZone};

use crate::problem::Problem;
use crate::time::Span;

const PINNED: &str = "SOURCE_DATE_EPOCH";

/// Now, in the local time zone, to the second; or the instant that the environment variable
/// `SOURCE_DATE_EPOCH` pins (whole seconds since 1970, in UTC), so that two runs write the same bytes.
/// See <https://reproducible-builds.org/specs/source-date-epoch/>.
///
/// # Errors
/// When the variable is set to something else.
pub fn wall_clock() -> Result<Zoned, Problem> {
    match env::var(PINNED) {
        Ok(text) => pinned(&text),
        Err(VarError::NotPresent) => Ok(whole_second(&Zoned::now())),
        Err(VarError::NotUnicode(text)) => pinned(&text.to_string_lossy()),
    }
}

/// An instant of the system's clock in the local time zone, to the microsecond, unless the wall clock is
/// pinned: see [`wall_clock`].
///
/// # Errors
/// When the pin is no instant.
pub fn instant(at: SystemTime) -> Result<Zoned, Problem> {
    if env::var_os(PINNED).is_some() {
        return wall_clock();
    }
    let micros = at.duration_since(SystemTime::UNIX_EPOCH).map_or(0, |since| since.as_micros() as i64);
    Ok(Timestamp::from_microsecond(micros).unwrap_or_default().to_zoned(TimeZone::system()))
}

/// An instant as RFC 3339 with its offset: "2026-01-02T03:04:05.25+01:00".
#[must_use]
pub fn rfc3339(instant: &Zoned) -> String {
    instant.strftime("%FT%T%.f%:z").to_string()
}

/// The instant that RFC 3339 text with an offset states, in microseconds since 1970, for putting sessions
/// in order; `None` when it states none.
#[must_use]
pub fn since_1970_us(text: &str) -> Option<i64> {
    text.parse::<Timestamp>().ok().map(Timestamp::as_microsecond)
}

/// The day so many days after `day`, both as 2026-11-29; `None` when `day` is none.
#[must_use]
pub fn days_after(day: &str, days: i64) -> Option<String> {
    use jiff::{ToSpan as _, civil::Date};
    let later = day.parse::<Date>().ok()?.checked_add(days.days()).ok()?;
    Some(later.to_string())
}

/// The whole second that follows `instant` by at least `span`; the last instant there is where that is past it.
#[must_use]
pub fn later(instant: &Zoned, span: Span) -> Zoned {
    instant.saturating_add(jiff::Span::new().seconds(span.0.div_ceil(1_000_000) as i64))
}

fn pinned(text: &str) -> Result<Zoned, Problem> {
    let second = text.parse().ok().and_then(|second| Timestamp::from_second(second).ok());
    second.map(|instant| instant.to_zoned(TimeZone::UTC)).ok_or_else(|| {
        let what = format!("`{}` is no instant", text.escape_debug());
        Problem::error(PINNED, None, what, "give whole seconds since 1970, or unset it")
    })
}

fn whole_second(now: &Zoned) -> Zoned {
    let second = Timestamp::from_second(now.timestamp().as_second()).expect("an instant without its fraction is one");
    second.to_zoned(now.time_zone().clone())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pinned_clock_reads_the_same_everywhere() {
        // POSIX time 1000000000 is 2001-09-09T01:46:40Z (POSIX.1, "seconds since the Epoch").
        let pinned = pinned("1000000000").unwrap();
        assert_eq!(rfc3339(&pinned), "2001-09-09T01:46:40+00:00");
    }

    #[test]
    fn instants_are_in_order_whatever_their_offset() {
        // RFC 3339, section 5.8: the same instant in two offsets.
        let [one, same] = ["1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57+00:00"].map(since_1970_us);
        assert!(one.is_some() && one == same);
        assert_eq!((since_1970_us(""), since_1970_us("yesterday")), (None, None));
    }

    #[test]
    fn a_clock_pinned_to_nonsense_is_refused() {
        for text in ["", "soon", "1.5", "99999999999999999999"] {
            assert!(pinned(text).is_err(), "{text}");
        }
    }
}
