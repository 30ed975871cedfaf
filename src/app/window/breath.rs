//! The level of a breath or a sound on its way to its calibration and to the session: from an axis, from the emulator's
//! keys, or from the microphone.

use std::time::Instant;

use super::{App, News, Stage};
use crate::app::binding::Binding;
use crate::app::breath::LevelConfig;
use crate::app::breath::calibrate::Calibrate;
use crate::app::breath::emulator::Emulator;
use crate::app::breath::source::Source;
use crate::app::clock::Clock;
use crate::app::devices::pads::Control;
use crate::app::sound::microphone::{Microphone, MicrophoneNews};
use crate::app::switches::Carrier;
use crate::session::input::Input;
use crate::session::levels::LevelSource;
use crate::session::scene::Scene;

/// Where the level comes from, and how it stands.
pub(super) struct Breath {
    config: LevelConfig,
    emulator: Emulator,
    microphone: Option<Microphone>,
    /// Why no level comes from the microphone.
    silent: Option<String>,
    /// The level as it last was; of a device that has just come nobody knows it before it moves.
    last: Option<i32>,
}

/// A calibration on a clock of its own.
pub(super) struct Calibrating {
    clock: Clock,
    pages: Calibrate,
}

impl Breath {
    pub(super) fn new(config: LevelConfig) -> Breath {
        // The emulator rests until a key is held.
        let last = (config.source == Source::Emulated).then_some(0);
        Breath { config, emulator: Emulator::default(), microphone: None, silent: None, last }
    }

    fn source(&self) -> Source {
        self.config.source
    }

    /// The axis that gives it.
    pub(super) fn axis(&self) -> Option<(u8, Control)> {
        if let Source::Axis { pad, axis, .. } = self.source() { Some((pad, axis)) } else { None }
    }

    /// With what it comes and goes.
    pub(super) fn carrier(&self) -> Option<Carrier> {
        match self.source() {
            Source::Axis { pad, .. } => Some(Carrier::Pad(pad)),
            Source::Microphone => Some(Carrier::Microphone),
            Source::Emulated => None,
        }
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
    /// Where a level works a switch it is calibrated first.
    pub(super) fn calibrate_or_begin(&mut self, now: Instant, number: u64) {
        let switches = self.learned.as_ref().map(|learned| learned.switches.clone()).unwrap_or_default();
        let works = |breath: &&Breath| !breath.source().works(&switches).is_empty();
        let Some(breath) = self.breath.as_ref().filter(works) else { return self.begin(now) };
        let mut pages = Calibrate::new(number, breath.config.clone(), switches);
        let (clock, _) = Clock::start();
        if let Some(level) = breath.last {
            pages.level(clock.moment(now), level);
        }
        pages.trouble(breath.silent.clone());
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
        let emulated = self.breath.as_mut().filter(|breath| breath.source() == Source::Emulated);
        emulated.is_some_and(|breath| breath.emulator.key(at, binding, down))
    }

    pub(super) fn breath_focus(&mut self, at: Instant, here: bool) {
        if let Some(breath) = self.breath.as_mut().filter(|_| !here) {
            breath.emulator.let_go(at);
        }
    }

    /// The axis stands at this value.
    pub(super) fn breath_reads(&mut self, at: Instant, value: f32) {
        let level = self.breath.as_ref().and_then(|breath| breath.source().level(value));
        self.breath_is(at, level);
    }

    fn breath_is(&mut self, at: Instant, level: Option<i32>) {
        let Some(breath) = &mut self.breath else { return };
        breath.last = level.or(breath.last);
        let source = breath.source().number();
        match (&mut self.stage, level) {
            (Stage::Calibrating(calibrating), Some(value)) => calibrating.level(at, value),
            (Stage::Running(runner), Some(value)) => runner.input(at, Input::Level { source, value }),
            (Stage::Running(runner), None) => runner.input(at, Input::LevelUnusable { source }),
            _ => {}
        }
    }

    /// The session is told how the level stands when it begins: an axis speaks only when it moves, and the microphone
    /// may be gone.
    pub(super) fn tell_breath(&mut self, now: Instant) {
        let Some(breath) = &self.breath else { return };
        let (last, gone) = (breath.last, breath.silent.is_some());
        if gone {
            self.breath_comes(now, false);
        } else if let Some(value) = last {
            self.breath_is(now, Some(value));
        }
    }

    /// A pad came or went. Where its axis stands is known when it moves.
    pub(super) fn breath_pad(&mut self, at: Instant, pad: u8, here: bool) {
        let ours = |breath: &&mut Breath| breath.carrier() == Some(Carrier::Pad(pad));
        let Some(breath) = self.breath.as_mut().filter(ours) else { return };
        breath.last = None;
        if let Stage::Calibrating(calibrating) = &mut self.stage {
            calibrating.pages.trouble((!here).then(|| format!("pad {pad} is unplugged")));
        }
        if !here {
            self.breath_is_lost(at);
        }
    }

    fn breath_is_lost(&mut self, at: Instant) {
        if let (Some(breath), Stage::Running(runner)) = (&self.breath, &mut self.stage) {
            runner.input(at, Input::LevelLost { source: breath.source().number() });
        }
    }

    /// Opens the microphone, where one works a switch.
    pub(super) fn open_microphone(&mut self) {
        let proxy = self.proxy.clone();
        if let Some(breath) = self.breath.as_mut().filter(|breath| breath.source() == Source::Microphone) {
            breath.microphone = Some(Microphone::keep(move |news| {
                let _ = proxy.send_event(News::Microphone(news));
            }));
        }
    }

    /// What the microphone hears, or that it does not. One that is gone is looked for again, so each of it comes once.
    pub(super) fn microphone_is(&mut self, at: Instant, news: MicrophoneNews) {
        match news {
            MicrophoneNews::Levels(levels) => {
                levels.into_iter().for_each(|(at, level)| self.breath_is(at, Some(level)))
            }
            MicrophoneNews::Ready(_) => self.microphone_says(at, None),
            MicrophoneNews::None(why) => {
                aside!("warning: no sound switch: {why}");
                self.microphone_says(at, Some(why));
            }
        }
    }

    fn microphone_says(&mut self, at: Instant, silent: Option<String>) {
        let Some(breath) = &mut self.breath else { return };
        let (here, before) = (silent.is_none(), std::mem::replace(&mut breath.silent, silent.clone()));
        breath.last = breath.last.filter(|_| here);
        match &mut self.stage {
            Stage::Calibrating(calibrating) => calibrating.pages.trouble(silent),
            Stage::Running(runner) if before.is_some() != silent.is_some() => {
                if let Some(why) = silent {
                    runner.input(at, Input::Note { text: format!("no sound switch: {why}") });
                }
                self.breath_comes(at, here);
            }
            Stage::Running(_) | Stage::Learning(_) | Stage::Over => {}
        }
    }

    /// The session waits for a microphone that is gone, and goes on when it is back.
    fn breath_comes(&mut self, at: Instant, here: bool) {
        if let (Some(carrier), Stage::Running(runner)) =
            (self.breath.as_ref().and_then(Breath::carrier), &mut self.stage)
        {
            runner.carrier(at, carrier, here);
        }
        if !here {
            self.breath_is_lost(at);
        }
    }
}
