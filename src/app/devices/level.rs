//! Breath: a press of a pressure that was calibrated, from an axis of a pad or from the emulator.

use super::{Kind, after};
use crate::app::binding::Binding;
use crate::level::{Side, Strength, Way};

pub(super) const KIND: Kind = Kind {
    name: "breath",
    example: "breath soft puff",
    remark: "Where an interface gives a pressure as an axis: `--breath AXIS` calibrates it. One that gives keys or buttons \
             is learned as these.",
    read,
};

/// The level of a breath, and that of the emulator, by their numbers in the log.
pub const BREATH: u8 = 0;
/// See there.
pub const EMULATED: u8 = 2;

const WORDS: [(u8, &str); 2] = [(EMULATED, "emulated breath"), (BREATH, "breath")];

/// The name of a press.
#[must_use]
pub fn name(source: u8, way: Way) -> String {
    let of = WORDS.iter().find(|(known, _)| *known == source).map_or("level", |(_, word)| word);
    format!("{of} {}", words(way))
}

/// A press of a breath in words.
#[must_use]
pub fn words(way: Way) -> &'static str {
    match (way.strength, way.side) {
        (Strength::Soft, Side::Below) => "soft sip",
        (Strength::Hard, Side::Below) => "hard sip",
        (Strength::Soft, Side::Above) => "soft puff",
        (Strength::Hard, Side::Above) => "hard puff",
    }
}

fn read(text: &str) -> Option<Binding> {
    WORDS.iter().find_map(|(source, word)| {
        let press = after(text, word)?;
        let way = Way::ALL.into_iter().find(|way| words(*way).eq_ignore_ascii_case(press))?;
        Some(Binding::Level(*source, way))
    })
}
