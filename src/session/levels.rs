//! Levels as switches: samples of a breath or a voice go in, raw edges of switches go to the engine.
//!
//! A sample that changes nothing is not recorded, so that the log holds a waveform from which the same
//! presses follow, and no more.

use serde::{Deserialize, Serialize};

use super::Session;
use super::event::Event;
use super::input::Input;
use super::record::Record;
use super::words;
use crate::engine::effect::{Input as EngineInput, Switch};
use crate::level::{Calibration, Level, Told, Way};
use crate::settings::Settings;
use crate::switch_check::{Trace, Wave};
use crate::time::{Moment, Span};

/// A breath switch is worked at most so often in a row (common practice, no source: 20 deep breaths in a row
/// can make dizzy).
pub const BREATHS: u32 = 20;
/// Whoever has not pressed for this long has rested.
const RESTED: Span = Span::from_ms(60_000);

/// What a level is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LevelKind {
    /// The pressure of sips and puffs.
    Breath,
    /// The loudness of a voice or another sound.
    Sound,
}

/// A device that gives a level, what was found out about it, and what its presses work.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LevelSource {
    /// Its number; a new calibration under the same number takes the place of the old one.
    pub source: u8,
    /// What its level is of.
    pub kind: LevelKind,
    /// What the device is: "pad 1 axis LeftStickY".
    pub device: String,
    /// What one step of its values is: "10⁻⁴ of the travel", "Pa".
    pub unit: String,
    /// It is an emulator: the values are made up.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub emulated: bool,
    /// What was found out about it.
    pub calibration: Calibration,
    /// Which press works which switch.
    pub works: Vec<Works>,
}

/// A press of a level works a switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Works {
    /// Which press.
    #[serde(flatten)]
    pub way: Way,
    /// Which switch.
    pub switch: Switch,
}

/// All calibrated levels of a session.
#[derive(Clone, Debug, Default)]
pub(super) struct Levels {
    sources: Vec<(LevelSource, Level)>,
    /// Presses that counted since the last rest, and when the last one did.
    in_a_row: u32,
    last: Moment,
}

impl Levels {
    /// When something is due in any of them.
    pub fn deadline(&self) -> Option<Moment> {
        self.sources.iter().filter_map(|(_, level)| level.deadline()).min()
    }

    /// An input that changes nothing: it is neither taken nor recorded.
    pub fn ignores(&self, at: Moment, input: &Input) -> bool {
        match input {
            Input::Level { source, value } => self.find(*source).is_none_or(|(_, level)| !level.matters(at, *value)),
            Input::LevelUnusable { source } => self.find(*source).is_none_or(|(_, level)| level.is_unusable()),
            _ => false,
        }
    }

    /// One of them is worked.
    pub fn any(&self) -> bool {
        !self.sources.is_empty()
    }

    /// The waveform of the first one, with its thresholds.
    pub fn wave(&self, trace: &Trace, now: Moment) -> Option<Wave> {
        let (_, level) = self.sources.first()?;
        Some(trace.wave(now, level.rest(), Some(level.thresholds())))
    }

    /// What comes of it is made up.
    pub fn emulated(&self) -> bool {
        self.sources.iter().any(|(source, _)| source.emulated)
    }

    /// What works this switch: of which kind, by which press, and which others its source knows.
    pub fn works(&self, switch: Switch) -> Option<(LevelKind, Way, Vec<Way>)> {
        self.sources.iter().find_map(|(source, _)| {
            let works = source.works.iter().find(|works| works.switch == switch)?;
            Some((source.kind, works.way, source.works.iter().map(|works| works.way).collect()))
        })
    }

    /// A breath works a switch.
    pub fn breathes(&self) -> bool {
        self.sources.iter().any(|(source, _)| source.kind == LevelKind::Breath)
    }

    fn find(&self, source: u8) -> Option<&(LevelSource, Level)> {
        self.sources.iter().find(|(one, _)| one.source == source)
    }

    /// The most presses in a row: as set, and where a breath works a switch never more than [`BREATHS`].
    fn limit(&self, settings: &Settings) -> Option<u32> {
        settings.run_limit().into_iter().chain(self.breathes().then_some(BREATHS)).min()
    }
}

impl Session {
    pub(super) fn calibrated(&mut self, source: LevelSource, out: &mut Vec<Record>) {
        let ways: Vec<Way> = source.works.iter().map(|works| works.way).collect();
        match Level::new(&source.calibration, &ways, &self.block_settings()) {
            Ok(level) => {
                self.levels.sources.retain(|(known, _)| known.source != source.source);
                self.levels.sources.push((source, level));
            }
            Err(refusal) => self.remark(&refusal.to_string(), out),
        }
    }

    /// Something happened to the level of this source.
    pub(super) fn level(
        &mut self,
        source: u8,
        out: &mut Vec<Record>,
        happened: impl FnOnce(&mut Level, &mut Vec<(Moment, Told)>),
    ) {
        let mut told = Vec::new();
        if let Some((_, level)) = self.levels.sources.iter_mut().find(|(known, _)| known.source == source) {
            happened(level, &mut told);
        }
        told.into_iter().for_each(|(at, told)| self.level_says(source, at, told, out));
    }

    /// Does what is due in the levels at `due`.
    pub(super) fn advance_levels(&mut self, due: Moment, out: &mut Vec<Record>) {
        let sources: Vec<u8> = self.levels.sources.iter().map(|(source, _)| source.source).collect();
        for source in sources {
            self.level(source, out, |level, told| level.advance(due, told));
        }
    }

    /// The thresholds follow the settings in force.
    pub(super) fn set_levels(&mut self, settings: &Settings, out: &mut Vec<Record>) {
        let mut refused = None;
        for (_, level) in &mut self.levels.sources {
            refused = level.set(settings).err().or(refused);
        }
        if let Some(refusal) = refused {
            self.remark(&refusal.to_string(), out);
        }
    }

    fn level_says(&mut self, source: u8, at: Moment, told: Told, out: &mut Vec<Record>) {
        match told {
            Told::Edge { way, down } => {
                let works = self.levels.find(source).and_then(|(of, _)| of.works.iter().find(|works| works.way == way));
                let Some(Works { switch, .. }) = works.copied() else { return };
                self.tell_at(at, Event::LevelEdge { switch, down }, out);
                self.check_edge(at, switch, down);
                self.run(|engine, sink| engine.input(at, EngineInput::Edge { switch, down }, sink));
                self.settle(out);
            }
            Told::Press { way, began, peak } => {
                self.tell_at(at, Event::LevelPress { source, way, began, peak: peak as u32 }, out);
            }
            Told::Trouble(trouble) => {
                self.tell_at(at, Event::LevelTrouble { source, trouble }, out);
                self.remark(words::level_trouble(trouble), out);
            }
        }
    }

    /// A press counted.
    pub(super) fn count_in_a_row(&mut self) {
        let levels = &mut self.levels;
        if self.now.since(levels.last) >= RESTED {
            levels.in_a_row = 0;
        }
        (levels.in_a_row, levels.last) = (levels.in_a_row + 1, self.now);
    }

    /// Presses that counted since the last rest.
    #[must_use]
    pub fn in_a_row(&self) -> u32 {
        self.levels.in_a_row
    }

    /// So many came before this session.
    pub(super) fn row_goes_on(&mut self, presses: u32) {
        self.levels.in_a_row = presses;
    }

    /// A rest ends the row.
    pub(super) fn end_row(&mut self) {
        self.levels.in_a_row = 0;
    }

    /// The presses that may still be asked for before a rest have run out, with `more` to come.
    pub(super) fn row_is_full(&self, more: u32) -> bool {
        let limit = self.levels.limit(&self.block_settings());
        limit.is_some_and(|limit| self.levels.in_a_row.saturating_add(more) > limit)
    }
}
