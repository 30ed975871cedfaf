//! The words of a calibration, by what is calibrated.

use super::source::Source;
use crate::analysis::words::capital;
use crate::level::units::Pressure;
use crate::level::{Calibration, Refusal, Side};
use crate::session::levels::LevelKind;
use crate::session::words;
use crate::sound::loudness::dbfs;

/// What stands on the pages of one kind of level.
pub(super) struct Words {
    /// The page before it, and what to mind.
    pub before: &'static str,
    pub mind: &'static [&'static str],
    /// What is asked for: rest, and an effort to each side.
    pub rest: &'static str,
    above: &'static str,
    below: &'static str,
    /// The pages after it.
    pub found: &'static str,
    pub refused: &'static str,
    /// Nothing was seen of an effort, where it is not a tube that may be loose.
    no_effort: Option<&'static str>,
    /// What has to be done where nothing has come yet.
    pub silent: &'static str,
    /// What the page waits for then, and the way out.
    pub waits: &'static str,
}

const BREATH: Words = Words {
    before: words::BREATH_BEFORE,
    mind: &words::BREATH_MIND,
    rest: words::BREATHE,
    above: words::PUFF,
    below: words::SIP,
    found: words::BREATH_FOUND,
    refused: words::BREATH_REFUSED,
    no_effort: None,
    silent: "The axis has not moved yet, so nobody knows where it rests: breathe into it once.",
    waits: "This page waits for it. F10 ends, for another switch.",
};

const SOUND: Words = Words {
    before: "Sound switch: calibration",
    mind: &[
        "The room is measured for 8 s, then three sounds, ten seconds apart: comfortable, never the loudest.",
        "Let the ventilator and all that sounds by day run: a press has to stand out from it.",
        "Leave ventilator, circuit and cuff as they are: nothing here is a reason to change them.",
        "Stop at a tired or sore voice, breathlessness or dizziness.",
        "Only the loudness is looked at: no sound is kept.",
    ],
    rest: "Rest. Make no sound.",
    above: "Make your sound, comfortably.",
    below: "Rest. Make no sound.",
    found: "Sound switch: calibrated",
    refused: "This sound cannot be a switch as it is.",
    no_effort: Some("Nothing stood out from the room: bring the microphone nearer, or take another sound."),
    silent: "Nothing has been heard from the microphone yet.",
    waits: "This page waits: plug one in or unmute it. F10 ends, for another switch.",
};

impl Words {
    /// Those of this kind.
    pub fn of(kind: LevelKind) -> &'static Words {
        match kind {
            LevelKind::Breath => &BREATH,
            LevelKind::Sound => &SOUND,
        }
    }

    /// Why it cannot be a switch, and what to do.
    pub fn why(&self, refusal: Refusal) -> String {
        match (refusal, self.no_effort) {
            (Refusal::NoEffort(_), Some(words)) => words.to_string(),
            _ => capital(&refusal.to_string()),
        }
    }

    /// What an effort to this side is asked for with.
    pub fn effort(&self, side: Side) -> &'static str {
        if side == Side::Above { self.above } else { self.below }
    }
}

/// What was found to one side, in a sentence; nothing where it is not used.
pub(super) fn found(source: Source, side: Side, found: &Calibration) -> Option<String> {
    let effort = found.effort(side)?;
    let listed = |of: &dyn Fn(u32) -> String| {
        let efforts: Vec<String> = found.efforts(side).iter().map(|far| of(*far)).collect();
        efforts.join(", ")
    };
    if source.kind() == LevelKind::Sound {
        let loud = |above: u32| format!("{:.0}", dbfs(f64::from(found.rest) + f64::from(above)));
        return Some(format!("Sounds: {} dBFS; the room up to {} dBFS.", listed(&loud), loud(found.noise)));
    }
    let name = if side == Side::Above { "Puff" } else { "Sip" };
    let pressure = source.step_pa().map(|step| pressure(f64::from(effort) * step)).unwrap_or_default();
    Some(format!("{name}: {} (noise at rest {}){pressure}.", listed(&|far| far.to_string()), found.noise))
}

/// An effort in the units of papers and of ventilators.
fn pressure(pascals: f64) -> String {
    let in_unit = |unit| Pressure::Pa.convert(pascals, unit);
    format!("; {:.1} kPa, {:.0} cmH2O", in_unit(Pressure::KPa), in_unit(Pressure::CmH2O))
}
