//! Where a pressure comes from, and its readings as whole numbers.

use crate::app::binding::Binding;
use crate::app::devices::level::{BREATH, EMULATED};
use crate::app::devices::pads::Control;
use crate::engine::effect::Switch;
use crate::level::{Calibration, Range, Side, Way};
use crate::session::levels::{LevelKind, LevelSource, Works};

/// Steps that the whole travel of an axis is divided into, each way.
const STEPS: f32 = 10_000.0;
/// An axis that says more than this much beyond its travel says nothing.
const BEYOND: f32 = 1.01;

/// Where a pressure comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// An axis of a pad.
    Axis {
        /// Which pad, from 1.
        pad: u8,
        /// Which axis, named by the side of its greater values.
        axis: Control,
        /// A puff moves it to the greater values.
        puff_is_more: bool,
    },
    /// Keys that are held.
    Emulated,
}

impl Source {
    /// Reads "pad 1 axis LeftStickY +", with the side of the puff, or "emulated".
    ///
    /// # Errors
    /// When it is neither; the words say how it is written.
    pub fn read(text: &str) -> Result<Source, String> {
        if text.trim() == "emulated" {
            return Ok(Source::Emulated);
        }
        let axis = |binding| match binding {
            Binding::Pad(pad, axis @ (Control::Axis { more, .. } | Control::AxisNumber { more, .. })) => {
                Some(Source::Axis { pad, axis: axis.side(true), puff_is_more: more })
            }
            _ => None,
        };
        text.parse().ok().and_then(axis).ok_or_else(|| {
            format!("cannot take a breath from `{text}`: write `pad 1 axis LeftStickY +`, with the side of the puff, or `emulated`")
        })
    }

    /// Its number in the log.
    #[must_use]
    pub fn number(self) -> u8 {
        if self == Source::Emulated { EMULATED } else { BREATH }
    }

    /// The pad that it is on.
    #[must_use]
    pub fn pad(self) -> Option<u8> {
        if let Source::Axis { pad, .. } = self { Some(pad) } else { None }
    }

    /// What its values can be.
    #[must_use]
    pub fn range(self) -> Range {
        match self {
            Source::Axis { .. } => Range { least: -(STEPS as i32), greatest: STEPS as i32 },
            Source::Emulated => super::emulator::RANGE,
        }
    }

    /// A reading of its axis, from −1 to 1, above rest for a puff; `None` for what is no level.
    #[must_use]
    pub fn level(self, value: f32) -> Option<i32> {
        let Source::Axis { puff_is_more, .. } = self else { return None };
        let usable = value.is_finite() && value.abs() <= BEYOND;
        usable.then_some((if puff_is_more { STEPS } else { -STEPS } * value.clamp(-1.0, 1.0)).round() as i32)
    }

    /// The presses among these switches that it works.
    #[must_use]
    pub fn works(self, switches: &[Binding]) -> Vec<Works> {
        let way = |binding: &Binding| match binding {
            Binding::Level(source, way) if *source == self.number() => Some(*way),
            _ => None,
        };
        let works = |(binding, place)| way(binding).map(|way: Way| Works { way, switch: Switch(place) });
        switches.iter().zip(0..).filter_map(works).collect()
    }

    /// What the log is told of it.
    #[must_use]
    pub fn told(self, calibration: Calibration, switches: &[Binding]) -> LevelSource {
        let (device, unit) = match self {
            Source::Axis { pad, axis, puff_is_more } => {
                (Binding::Pad(pad, axis.side(puff_is_more)).to_string(), "10⁻⁴ of the travel")
            }
            Source::Emulated => ("keys held".to_string(), "Pa"),
        };
        LevelSource {
            source: self.number(),
            kind: LevelKind::Breath,
            device,
            unit: unit.to_string(),
            emulated: self == Source::Emulated,
            calibration,
            works: self.works(switches),
        }
    }
}

/// The sides that these presses need.
#[must_use]
pub fn sides(works: &[Works]) -> Vec<Side> {
    Side::ALL.into_iter().filter(|side| works.iter().any(|works| works.way.side == *side)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_axis_is_read_with_the_side_of_the_puff() {
        let source = Source::read("pad 1 axis LeftStickY -").unwrap();
        assert_eq!((source.level(0.5), source.level(-1.005)), (Some(-5_000), Some(10_000)));
        assert_eq!([f32::NAN, f32::INFINITY, 1.5].map(|value| source.level(value)), [None; 3]);
        assert_eq!(source.pad(), Some(1));
        assert_eq!(Source::read(" emulated "), Ok(Source::Emulated));
        for text in ["", "pad 1 button South", "key Space", "pad 1 axis LeftStickY"] {
            assert!(Source::read(text).unwrap_err().contains("side of the puff"), "{text}");
        }
    }

    #[test]
    fn it_works_the_switches_that_are_named_after_it() {
        let switches: Vec<Binding> = ["key Space", "emulated breath hard puff", "breath soft sip"]
            .iter()
            .map(|text| text.parse().unwrap())
            .collect();
        let works = Source::Emulated.works(&switches);
        assert_eq!(works, [Works { way: Way::ALL[3], switch: Switch(1) }]);
        assert_eq!(sides(&works), [Side::Above]);
        assert_eq!(Source::read("pad 1 axis LeftStickY +").unwrap().works(&switches)[0].switch, Switch(2));
    }
}
