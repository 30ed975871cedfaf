//! The words of a caution: what it is, and what to do about it.

use std::fmt;

use super::findings::Caution;
use super::words::{count, decimals};

/// Rulers of the sound device, by name: no latency hangs on them but where the cue is heard.
pub(super) const SOUND_START: &str = "start of the sound device";
pub(super) const SOUND_LATENCY: &str = "latency of the sound device";

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Caution::FewLatencies { count: found, wanted } => {
                write!(f, "The suggestion rests on {} only; {wanted} are wanted.", count(*found, "press", "presses"))
            }
            Caution::WideScatter { cv } => write!(
                f,
                "The presses scatter widely (SD is {} % of the mean; above 27 % the published ratio is too fast).",
                decimals(cv * 100.0, 0)
            ),
            Caution::Photosensitivity => {
                write!(f, "At the suggested scan rate the highlight changes more than three times a second.")
            }
            Caution::Switch { switch, verdict } => write!(f, "Switch {switch}: {verdict}"),
            Caution::Involuntary { high_per_minute } => write!(
                f,
                "The switch was worked unasked during the quiet watch: it may be as often as {} times a minute.",
                decimals(*high_per_minute, 1)
            ),
            Caution::Omissions { count: found } => write!(
                f,
                "{} no press in time. The true mean latency is longer than the measured one.",
                if *found == 1 { "1 trial had".into() } else { format!("{found} trials had") }
            ),
            Caution::Anticipations { count: found } => write!(
                f,
                "{} came sooner than 0.1 s after the highlight: pressed to the rhythm, or by chance.",
                count(*found, "right press", "right presses")
            ),
            Caution::Interruptions { count: found } => {
                write!(f, "Something came between in {} that count.", count(*found, "trial", "trials"))
            }
            Caution::LateSounds { count: found } => {
                write!(f, "{} more than 10 ms off.", count(*found, "sound was", "sounds were"))
            }
            Caution::Setting { name, warning } => write!(f, "Setting `{name}`: {warning}."),
            Caution::Damaged { line } => {
                write!(f, "The log is damaged, first at its line {line}: something is missing from these findings.")
            }
            Caution::Incomplete => write!(f, "The session ended before all its blocks were done."),
            Caution::NothingMeasured => write!(f, "Nothing could be measured: no trial counts."),
            Caution::Unmeasured => {
                write!(f, "The delay of screen or switch was not measured; it is part of every latency.")
            }
            Caution::Ruler { name, value_us, limit_us } => {
                let ms = |us: u64| decimals(us as f64 / 1e3, 1);
                write!(f, "The {name} was {} ms at the start; up to {} ms is good.", ms(*value_us), ms(*limit_us))
            }
            Caution::Slowing { block, ratio } => write!(
                f,
                "In block {} the last presses took {} times as long as the first.",
                block + 1,
                decimals(*ratio, 2)
            ),
            Caution::Emulated => write!(f, "Emulated breath: it was made with keys."),
            Caution::Invented => write!(f, "Invented data: a virtual client pressed."),
        }
    }
}

impl Caution {
    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> &'static str {
        match self {
            Caution::FewLatencies { .. } => "Run another block of timed presses before settling on a value.",
            Caution::WideScatter { .. } => "Choose a slower scan rate than suggested, and try it in a confirm block.",
            Caution::Photosensitivity => "Ask about epilepsy before using it; 0.35 s or slower is safe.",
            Caution::Switch { verdict, .. } => verdict.remedy(),
            Caution::Involuntary { .. } => {
                "Look at position and mounting first; then try a hold time, or another site."
            }
            Caution::Omissions { .. } => "Treat the suggestion as the fastest that may do.",
            Caution::Anticipations { .. } => "Look at them in the plot of latencies before trusting the mean.",
            Caution::Interruptions { .. } => "Leave out trials that should not count, and repeat them.",
            Caution::LateSounds { .. } => "Close other programs, or use another sound device.",
            Caution::Setting { .. } => "Change the setting, or make sure that the value is meant.",
            Caution::Damaged { .. } => "Copy the log again from where it was recorded, or take them for what is left.",
            Caution::Incomplete => "Take the findings as a beginning and finish another day.",
            Caution::NothingMeasured => "Run a block with scored trials, without prompting.",
            Caution::Unmeasured => "Measure it on this machine, or allow for 20 to 60 ms more than the client needs.",
            Caution::Ruler { name, .. } if name == SOUND_LATENCY => {
                "Use another sound device; where the cue is heard, the delay is part of every latency."
            }
            Caution::Ruler { name, .. } if name == SOUND_START => {
                "Use another sound device if it disturbs: it delays the beginning and no latency."
            }
            Caution::Ruler { .. } => {
                "Close other programs or use another machine or device; the delay is part of every latency."
            }
            Caution::Slowing { .. } => "Rest, and take the first presses as the better guide; do not speed up.",
            Caution::Emulated => "Use it to learn the way of a breath switch, never for a client.",
            Caution::Invented => "Use it to learn the program, never for a client.",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_where_the_cue_is_heard_is_the_sound_device_part_of_a_latency() {
        let remedy = |name: &str| Caution::Ruler { name: name.into(), value_us: 2, limit_us: 1 }.remedy();
        assert!(remedy("frame interval").ends_with("; the delay is part of every latency."));
        assert!(remedy(SOUND_LATENCY).contains("where the cue is heard"));
        assert!(!remedy(SOUND_START).contains("every latency"));
    }
}
