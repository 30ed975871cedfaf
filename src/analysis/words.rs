//! Names of the log as words for people, and numbers as text.

use super::findings::LeftOut;
use crate::session::event::{BlockEnd, BlockKind};
use crate::session::protocol::WatchKind;

/// What a block of this kind is called.
#[must_use]
pub const fn kind(kind: BlockKind) -> &'static str {
    match kind {
        BlockKind::FirstContact => "first contact",
        BlockKind::QuietWatch => "quiet watch",
        BlockKind::SwitchCheck => "switch check",
        BlockKind::Reaction => "reaction",
        BlockKind::TimedPress => "timed press",
        BlockKind::Repeat => "pairs of presses",
        BlockKind::MenuTasks => "menu tasks",
        BlockKind::Confirm => "confirm",
    }
}

/// What the client did during a quiet watch.
#[must_use]
pub const fn watch(watch: WatchKind) -> &'static str {
    match watch {
        WatchKind::AtRest => "at rest",
        WatchKind::Moving => "while talking, swallowing or being moved",
    }
}

/// Why a block ended.
#[must_use]
pub const fn ended(why: Option<BlockEnd>) -> &'static str {
    match why {
        Some(BlockEnd::Done) => "done",
        Some(BlockEnd::Precise) => "precise enough, ended early",
        Some(BlockEnd::StopRule) => "ended by a stop rule",
        Some(BlockEnd::Skipped) => "left by the clinician",
        Some(BlockEnd::SessionEnded) => "the session ended",
        None => "the log breaks off",
    }
}

/// A reason for rest, by its name in the log; an unknown name stays as it is.
#[must_use]
pub fn rest(name: &str) -> &str {
    match name {
        "asked" => "asked for by the client",
        "long-press" => "asked for by a long press",
        "no-press" => "no press came",
        "omissions" => "no press in several trials running",
        "errors" => "errors among the last trials",
        "slowing" => "presses grew slower",
        "time" => "the time of the block was up",
        "set-done" => "a set of trials was done",
        "in-a-row" => "enough presses in a row",
        "released" => "a held switch was let go",
        other => other,
    }
}

/// A reason for a pause, by its name in the log; an unknown name stays as it is.
#[must_use]
pub fn pause(name: &str) -> &str {
    match name {
        "clinician" => "by the clinician",
        "focus-lost" => "the window lost the keyboard",
        "stuck" => "the switch stayed pressed",
        "lag" => "the screen could not keep up",
        "screen" => "the screen changed",
        "unplugged" => "the switch was unplugged",
        "flooded" => "the switch changed faster than any hand",
        "call" => "the call switch was worked",
        other => other,
    }
}

/// A question asked after a block, with its scale; an unknown name stays as it is.
#[must_use]
pub fn rating(name: &str, value: u8) -> String {
    match (name, value) {
        ("preference", 1) => "prefers this switch or site".into(),
        ("preference", 2) => "prefers the other switch or site".into(),
        ("preference", _) => "no preference".into(),
        _ => format!("{name} {value} of 10"),
    }
}

/// The trials that do not count, by reason: "3 practice, 1 helped"; empty when there are none.
#[must_use]
pub fn left_out(left_out: LeftOut) -> String {
    let reasons = [
        (left_out.practice, "practice"),
        (left_out.prompted, "helped"),
        (left_out.aborted, "broken off"),
        (left_out.excluded, "excluded"),
    ];
    let shown: Vec<String> =
        reasons.iter().filter(|(count, _)| *count > 0).map(|(count, why)| format!("{count} {why}")).collect();
    shown.join(", ")
}

/// Reasons with how often each held: "Rests: 2 asked for by the client"; `None` when there are none.
#[must_use]
pub fn reasons(title: &str, list: &[(String, u32)], word: fn(&str) -> &str) -> Option<String> {
    let shown: Vec<String> = list.iter().map(|(name, count)| format!("{count} {}", word(name))).collect();
    (!shown.is_empty()).then(|| format!("{title}: {}", shown.join(", ")))
}

/// A number with this many digits after the point; never "-0".
#[must_use]
pub fn decimals(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let zero = text.starts_with('-') && !text.bytes().any(|byte| (b'1'..=b'9').contains(&byte));
    if zero { text[1..].to_string() } else { text }
}

/// A share in whole per cent: "86 %".
#[must_use]
pub fn percent(share: f64) -> String {
    format!("{} %", decimals(share * 100.0, 0))
}

/// A time in seconds: "0.71 s".
#[must_use]
pub fn seconds(value: f64) -> String {
    format!("{} s", decimals(value, 2))
}

/// A length of time as people say it: "45 s", "7 min 20 s".
#[must_use]
pub fn duration(value: f64) -> String {
    let whole = libm::round(value.max(0.0)) as u64;
    match (whole / 60, whole % 60) {
        (0, seconds) => format!("{seconds} s"),
        (minutes, 0) => format!("{minutes} min"),
        (minutes, seconds) => format!("{minutes} min {seconds} s"),
    }
}

/// An upper bound, rounded up to one digit after the point so that it stays one: 2.996 is "3".
#[must_use]
pub fn at_most(value: f64) -> String {
    let text = decimals(libm::ceil(value * 10.0 - 1e-9) / 10.0, 1);
    text.strip_suffix(".0").map_or(text.clone(), str::to_string)
}

/// "1 press", "3 presses".
#[must_use]
pub fn count(number: u32, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// `text` with a capital letter at its beginning.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::event::RestReason;
    use crate::session::input::PauseReason;

    /// The name in the log.
    fn name(value: impl serde::Serialize) -> String {
        serde_json::to_value(value).unwrap().as_str().unwrap().to_string()
    }

    #[test]
    fn every_reason_has_its_words() {
        for name in RestReason::ALL.map(name) {
            assert_ne!(rest(&name), name);
        }
        for name in PauseReason::ALL.map(name) {
            assert_ne!(pause(&name), name);
        }
        assert_eq!((rest("of-the-future"), pause("of-the-future")), ("of-the-future", "of-the-future"));
    }

    #[test]
    fn none_in_a_minute_is_at_most_three() {
        // The rule of three: −ln 0.05 = 2.996.
        assert_eq!(at_most(2.995_732), "3");
        assert_eq!(at_most(1.497_866), "1.5");
        assert_eq!(at_most(3.000_000_000_1), "3");
    }

    #[test]
    fn numbers_read_as_people_write_them() {
        assert_eq!(decimals(-0.001, 2), "0.00");
        assert_eq!(decimals(-0.12, 2), "-0.12");
        assert_eq!(
            (duration(45.2), duration(440.0), duration(120.0)),
            ("45 s".into(), "7 min 20 s".into(), "2 min".into())
        );
        assert_eq!(count(1, "press", "presses"), "1 press");
    }
}
