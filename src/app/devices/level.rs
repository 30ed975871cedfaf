//! A press of a level that was calibrated: a breath from an axis of a pad or from the emulator, a sound from the microphone.

use super::{Kind, after};
use crate::app::binding::Binding;
use crate::level::{Side, Strength, Way};

pub(super) const KIND: Kind = Kind {
    name: "breath",
    example: "breath soft puff",
    remark: "Where an interface gives a pressure as an axis: `--breath AXIS` calibrates it. One that gives keys or buttons \
             is learned as these. A voice or another sound is a switch with `--sound-switch`: `microphone soft sound`.",
    read,
};

/// The level of a breath, that of a sound, and that of the emulator, by their numbers in the log.
pub const BREATH: u8 = 0;
/// See there.
pub const SOUND: u8 = 1;
/// See there.
pub const EMULATED: u8 = 2;

const WORDS: [(u8, &str); 3] = [(EMULATED, "emulated breath"), (BREATH, "breath"), (SOUND, "microphone")];

/// The name of a press.
#[must_use]
pub fn name(source: u8, way: Way) -> String {
    let of = WORDS.iter().find(|(known, _)| *known == source).map_or("level", |(_, word)| word);
    format!("{of} {}", words(source, way))
}

/// A press of a breath or a sound in words.
fn words(source: u8, way: Way) -> &'static str {
    match (way.strength, way.side) {
        (Strength::Soft, _) if source == SOUND => "soft sound",
        (Strength::Hard, _) if source == SOUND => "loud sound",
        (Strength::Soft, Side::Below) => "soft sip",
        (Strength::Hard, Side::Below) => "hard sip",
        (Strength::Soft, Side::Above) => "soft puff",
        (Strength::Hard, Side::Above) => "hard puff",
    }
}

/// The presses of a source: a sound goes to one side of silence only.
fn ways(source: u8) -> &'static [Way] {
    if source == SOUND { &Way::ALL[2..] } else { &Way::ALL }
}

fn read(text: &str) -> Option<Binding> {
    WORDS.iter().find_map(|(source, word)| {
        let press = after(text, word)?;
        let way = ways(*source).iter().find(|way| words(*source, **way).eq_ignore_ascii_case(press))?;
        Some(Binding::Level(*source, *way))
    })
}
