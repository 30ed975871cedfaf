//! The breath on its way to its calibration and to the session: from an axis, or from the emulator's keys.

use std::time::Instant;

use super::{App, Stage};
use crate::app::binding::Binding;
use crate::app::breath::calibrate::Calibrate;
use crate::app::breath::emulator::Emulator;
use crate::app::breath::source::Source;
use crate::app::clock::Clock;
use crate::app::devices::pads::Control;
use crate::session::input::Input;
use crate::session::levels::LevelSource;
use crate::session::scene::Scene;
use crate::settings::Settings;

/// Where the breath comes from, and how it stands.
pub(super) struct Breath {
    source: Source,
    settings: Settings,
    emulator: Emulator,
    /// The level as it last was.
    last: Option<i32>,
}

/// A calibration on a clock of its own.
pub(super) struct Calibrating {
    clock: Clock,
    pages: Calibrate,
}

impl Breath {
    pub(super) fn new(source: Source, settings: Settings) -> Breath {
        // The emulator rests until a key is held; an axis says where it is when it moves.
        let last = (source == Source::Emulated).then_some(0);
        Breath { source, settings, emulator: Emulator::default(), last }
    }

    /// The axis that gives it.
    pub(super) fn axis(&self) -> Option<(u8, Control)> {
        if let Source::Axis { pad, axis, .. } = self.source { Some((pad, axis)) } else { None }
    }

    pub(super) fn pad(&self) -> Option<u8> {
        self.source.pad()
    }
}

impl Calibrating {
    pub(super) fn press(&mut self, at: Instant, binding: Binding) {
        self.pages.press(self.clock.moment(at), binding);
    }

    fn level(&mut self, at: Instant, value: i32) {
        self.pages.level(self.clock.moment(at), value);
    }

    fn wake(&mut self, now: Instant) {
        self.pages.wake(self.clock.moment(now));
    }

    fn deadline(&self) -> Option<Instant> {
        self.pages.deadline().and_then(|due| self.clock.instant(due))
    }

    pub(super) fn scene(&self) -> &Scene {
        self.pages.scene()
    }

    pub(super) fn done(&self) -> Option<LevelSource> {
        self.pages.done()
    }
}

impl App {
    /// Where a breath works a switch it is calibrated first.
    pub(super) fn calibrate_or_begin(&mut self, now: Instant, number: u64) {
        let switches = self.learned.as_ref().map(|learned| learned.switches.clone()).unwrap_or_default();
        let works = |breath: &&Breath| !breath.source.works(&switches).is_empty();
        let Some(breath) = self.breath.as_ref().filter(works) else { return self.begin(now) };
        let mut pages = Calibrate::new(number, breath.source, switches, breath.settings.clone());
        let (clock, _) = Clock::start();
        if let Some(level) = breath.last {
            pages.level(clock.moment(now), level);
        }
        self.stage = Stage::Calibrating(Box::new(Calibrating { clock, pages }));
    }

    /// Takes the emulator's samples up to `now`, and does what is due in a calibration.
    pub(super) fn breathe(&mut self, now: Instant) {
        let samples = self.breath.as_mut().map(|breath| breath.emulator.samples(now)).unwrap_or_default();
        samples.into_iter().for_each(|(at, value)| self.breath_is(at, Some(value)));
        if let Stage::Calibrating(calibrating) = &mut self.stage {
            calibrating.wake(now);
        }
    }

    pub(super) fn breath_deadline(&self) -> Option<Instant> {
        let emulator = self.breath.as_ref().and_then(|breath| breath.emulator.deadline());
        let pages = match &self.stage {
            Stage::Calibrating(calibrating) => calibrating.deadline(),
            _ => None,
        };
        emulator.into_iter().chain(pages).min()
    }

    /// Whether this key is the emulator's.
    pub(super) fn breath_key(&mut self, at: Instant, binding: Binding, down: bool) -> bool {
        let emulated = self.breath.as_mut().filter(|breath| breath.source == Source::Emulated);
        emulated.is_some_and(|breath| breath.emulator.key(at, binding, down))
    }

    pub(super) fn breath_focus(&mut self, at: Instant, here: bool) {
        if let Some(breath) = self.breath.as_mut().filter(|_| !here) {
            breath.emulator.let_go(at);
        }
    }

    /// The axis stands at this value.
    pub(super) fn breath_reads(&mut self, at: Instant, value: f32) {
        let level = self.breath.as_ref().and_then(|breath| breath.source.level(value));
        self.breath_is(at, level);
    }

    fn breath_is(&mut self, at: Instant, level: Option<i32>) {
        let Some(breath) = &mut self.breath else { return };
        breath.last = level.or(breath.last);
        let source = breath.source.number();
        match (&mut self.stage, level) {
            (Stage::Calibrating(calibrating), Some(value)) => calibrating.level(at, value),
            (Stage::Running(runner), Some(value)) => runner.input(at, Input::Level { source, value }),
            (Stage::Running(runner), None) => runner.input(at, Input::LevelUnusable { source }),
            _ => {}
        }
    }

    /// The session is told how the level stands when it begins: an axis speaks only when it moves.
    pub(super) fn tell_breath(&mut self, now: Instant) {
        if let Some(value) = self.breath.as_ref().and_then(|breath| breath.last) {
            self.breath_is(now, Some(value));
        }
    }

    /// A pad came or went. An axis that has said nothing since it came stands at rest.
    pub(super) fn breath_pad(&mut self, at: Instant, pad: u8, here: bool) {
        let Some(breath) = self.breath.as_mut().filter(|breath| breath.pad() == Some(pad)) else { return };
        if here {
            return self.breath_is(at, Some(0));
        }
        breath.last = None;
        let source = breath.source.number();
        if let Stage::Running(runner) = &mut self.stage {
            runner.input(at, Input::LevelLost { source });
        }
    }
}
