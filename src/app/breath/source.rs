//! Where a level comes from, and its readings as whole numbers.

use crate::app::binding::Binding;
use crate::app::devices::level::{self, BREATH, SOUND};
use crate::app::devices::pads::Control;
use crate::engine::effect::Switch;
use crate::level::units::Pressure;
use crate::level::{Calibration, Range, Side, Way};
use crate::session::levels::{LevelKind, LevelSource, Works};
use crate::session::setup::MICROPHONE;
use crate::sound::loudness;

/// Steps that the whole travel of an axis is divided into, each way.
const STEPS: f32 = 10_000.0;
/// An axis that says more than this much beyond its travel says nothing.
const BEYOND: f32 = 1.01;

/// How the emulator is named.
pub const EMULATED: &str = "emulated";

/// Where a level comes from.
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
        /// The pressure at the end of its travel, in pascals, where the sensor's is known: for people to read, no more.
        full_pa: Option<u32>,
    },
    /// Keys that are held.
    Emulated,
    /// The loudness that the default microphone hears.
    Microphone,
}

impl Source {
    /// Reads "pad 1 axis LeftStickY +", with the side of the puff, perhaps "to 5 kPa" behind it, "emulated" or
    /// "microphone".
    ///
    /// # Errors
    /// When it is none of them; the words say how it is written.
    pub fn read(text: &str) -> Result<Source, String> {
        match text.trim() {
            EMULATED => return Ok(Source::Emulated),
            MICROPHONE => return Ok(Source::Microphone),
            _ => {}
        }
        let (named, full) = text.split_once(" to ").map_or((text, None), |(named, full)| (named, Some(full)));
        let full_pa = full.map(|full| Pressure::read(full).map(|pascals| pascals.round() as u32));
        let axis = |binding| match binding {
            Binding::Pad(pad, axis @ (Control::Axis { more, .. } | Control::AxisNumber { more, .. })) => {
                Some(Source::Axis { pad, axis: axis.side(true), puff_is_more: more, full_pa: full_pa.flatten() })
            }
            _ => None,
        };
        named.parse().ok().and_then(axis).filter(|_| full_pa != Some(None)).ok_or_else(|| {
            format!(
                "cannot take a breath from `{text}`: write `pad 1 axis LeftStickY +`, with the side of the puff, or \
                 `pad 1 axis LeftStickY + to 5 kPa` where the end of its travel is known, or `emulated`"
            )
        })
    }

    /// Its number in the log.
    #[must_use]
    pub fn number(self) -> u8 {
        match self {
            Source::Axis { .. } => BREATH,
            Source::Microphone => SOUND,
            Source::Emulated => level::EMULATED,
        }
    }

    /// What its level is of.
    #[must_use]
    pub fn kind(self) -> LevelKind {
        if self == Source::Microphone { LevelKind::Sound } else { LevelKind::Breath }
    }

    /// One step of its values in pascals, where that is known.
    #[must_use]
    pub fn step_pa(self) -> Option<f64> {
        match self {
            Source::Axis { full_pa, .. } => full_pa.map(|pascals| f64::from(pascals) / f64::from(STEPS)),
            Source::Emulated => Some(1.0),
            Source::Microphone => None,
        }
    }

    /// What stands for it in the log.
    #[must_use]
    pub fn device(self) -> String {
        match self {
            Source::Axis { pad, axis, puff_is_more, .. } => Binding::Pad(pad, axis.side(puff_is_more)).to_string(),
            Source::Emulated => "keys held".to_string(),
            Source::Microphone => MICROPHONE.to_string(),
        }
    }

    /// The presses that its first switches are when nobody says it.
    #[must_use]
    pub fn usual(self) -> &'static [Way] {
        const BREATHS: [Way; 4] = [Way::ALL[2], Way::ALL[0], Way::ALL[3], Way::ALL[1]];
        const SOUNDS: [Way; 2] = [Way::ALL[2], Way::ALL[3]];
        if self == Source::Microphone { &SOUNDS } else { &BREATHS }
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
            Source::Microphone => loudness::RANGE,
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
        let unit = match self {
            Source::Axis { .. } => "10⁻⁴ of the travel",
            Source::Emulated => "Pa",
            Source::Microphone => loudness::UNIT,
        };
        LevelSource {
            source: self.number(),
            kind: self.kind(),
            device: self.device(),
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

    #[test]
    fn an_axis_whose_full_scale_is_known_tells_pressures() {
        let step = |text: &str| Source::read(text).map(Source::step_pa);
        assert_eq!(step("pad 1 axis LeftStickY + to 5 kPa"), Ok(Some(0.5)));
        assert_eq!(step("pad 1 axis LeftStickY + to 50 cmH2O"), Ok(Some(0.490_3)), "to a pascal of full scale");
        assert_eq!(step("pad 1 axis LeftStickY +"), Ok(None));
        for text in ["pad 1 axis LeftStickY + to 5", "pad 1 axis LeftStickY + to 5 bar", "pad 1 axis LeftStickY + to "]
        {
            assert!(Source::read(text).unwrap_err().contains("5 kPa"), "{text}");
        }
    }

    #[test]
    fn a_microphone_is_a_sound_switch_with_a_soft_and_a_loud_press() {
        let switches: Vec<Binding> =
            Source::Microphone.usual().iter().map(|way| Binding::Level(Source::Microphone.number(), *way)).collect();
        let named: Vec<String> = switches.iter().map(ToString::to_string).collect();
        assert_eq!(named, ["microphone soft sound", "microphone loud sound"]);
        let read: Vec<Binding> = named.iter().map(|name| name.parse().unwrap()).collect();
        assert_eq!(read, switches);
        let works = Source::Microphone.works(&switches);
        assert_eq!((sides(&works), works.len()), (vec![Side::Above], 2));
        let range = Source::Microphone.range();
        let found = Calibration { rest: 900, noise: 80, above: vec![50_000; 3], below: Vec::new(), range };
        let told = Source::Microphone.told(found, &switches);
        assert_eq!((told.kind, told.device.as_str(), told.emulated), (LevelKind::Sound, "microphone", false));
    }
}
