//! The pages of a calibration: one that is kept, what to mind, rest, comfortable efforts with their waveform, what was
//! found.
//!
//! A pure machine over [`Calibrator`], as the pages before it: presses and samples go in, a page comes out.

use super::source::{Source, sides};
use super::words::{Words, found};
use super::{Kept, LevelConfig, emulator};
use crate::analysis::words::capital;
use crate::app::binding::Binding;
use crate::app::keys::{self, Action};
use crate::level::{Ask, Calibration, Calibrator, Refusal, Side};
use crate::session::levels::LevelSource;
use crate::session::scene::{Body, Cue, Message, Reader, Scene};
use crate::session::words;
use crate::settings::Settings;
use crate::switch_check::{Strip, Trace};
use crate::time::{Moment, Span};

/// How often the waveform moves.
const TICK: Span = Span::from_ms(100);

/// A room may be so loud, in millionths of full scale (−34 dBFS): its noise is painted small (common practice, no source).
const QUIET: f64 = 20_000.0;

/// A calibration in front of the client.
#[derive(Clone, Debug)]
pub struct Calibrate {
    source: Source,
    switches: Vec<Binding>,
    settings: Settings,
    page: Page,
    trace: Trace,
    /// The level as it last was.
    level: Option<i32>,
    /// Why none comes, where that is known.
    trouble: Option<String>,
    now: Moment,
    moves: Moment,
    scene: Scene,
}

#[derive(Clone, Debug)]
enum Page {
    /// One of an earlier session can be used again.
    Kept(Kept),
    /// What to mind, or why the last try cannot be used.
    Before(Option<Refusal>),
    Running(Box<Calibrator>),
    Found(Calibration),
    Done(Calibration),
}

impl Calibrate {
    /// The pages before a session whose `switches` this level works; `number` is that of the first scene.
    #[must_use]
    pub fn new(number: u64, config: LevelConfig, switches: Vec<Binding>) -> Calibrate {
        let LevelConfig { source, settings, kept } = config;
        let message = Message { title: String::new(), lines: Vec::new(), icon: None, to: Reader::Clinician };
        let scene = crate::app::runner::page(number, message);
        let (page, now) = (Page::Before(None), Moment::START);
        let trace = Trace::of_at_least(if source == Source::Microphone { QUIET } else { 0.0 });
        let (level, trouble, moves) = (None, None, now);
        let mut calibrate = Calibrate { source, switches, settings, page, trace, level, trouble, now, moves, scene };
        if let Some(kept) = kept.filter(|kept| calibrate.can_use(&kept.found)) {
            calibrate.page = Page::Kept(kept);
        }
        calibrate.redraw();
        calibrate
    }

    /// It is of such a device, of the sides that are used now, and its thresholds stand out from its noise.
    fn can_use(&self, found: &Calibration) -> bool {
        let used = sides(&self.source.works(&self.switches));
        found.range == self.source.range()
            && used.iter().all(|side| !found.efforts(*side).is_empty())
            && found.thresholds(&self.settings).is_ok()
    }

    /// No level comes, for this reason; or levels come again. What is under way is given up: it would measure nothing.
    pub fn trouble(&mut self, why: Option<String>) {
        if why.is_some() {
            self.level = None;
            if let Page::Running(_) = self.page {
                self.page = Page::Before(None);
            }
        }
        self.trouble = why;
        self.redraw();
    }

    /// The level is this from `at` on.
    pub fn level(&mut self, at: Moment, value: i32) {
        let first = self.level.replace(value).is_none();
        self.trace.add(at, value);
        if let Page::Running(calibrator) = &mut self.page {
            calibrator.level(at, value);
        } else if first {
            self.redraw();
        }
    }

    /// Does what is due at `now`.
    pub fn wake(&mut self, now: Moment) {
        self.now = self.now.max(now);
        if let Page::Running(calibrator) = &mut self.page {
            calibrator.advance(now);
            let outcome = calibrator.outcome().cloned();
            if let Some(outcome) = outcome {
                self.page = self.judged(outcome);
                self.redraw();
            }
        }
        if self.deadline().is_some_and(|due| due <= now) {
            self.moves = now + TICK;
            self.redraw();
        }
    }

    /// Thresholds in the noise are refused now, not in the session.
    fn judged(&self, outcome: Result<Calibration, Refusal>) -> Page {
        match outcome.and_then(|found| found.thresholds(&self.settings).map(|_| found)) {
            Ok(found) => Page::Found(found),
            Err(refusal) => Page::Before(Some(refusal)),
        }
    }

    /// A key or button went down.
    pub fn press(&mut self, now: Moment, binding: Binding) {
        let action = if let Binding::Key(key) = binding { keys::action(key) } else { None };
        let accepts = keys::is_enter(binding) || action == Some(Action::Next);
        let again = action == Some(Action::SkipBlock);
        self.page = match std::mem::replace(&mut self.page, Page::Before(None)) {
            Page::Before(_) if accepts && self.silent().is_none() => self.begin(now),
            Page::Found(found) | Page::Kept(Kept { found, .. }) if accepts && self.trouble.is_none() => {
                Page::Done(found)
            }
            Page::Kept(_) if again => Page::Before(None),
            Page::Found(_) if again && self.trouble.is_some() => Page::Before(None),
            Page::Found(_) | Page::Running(_) if again => self.begin(now),
            same => same,
        };
        self.redraw();
    }

    fn begin(&mut self, now: Moment) -> Page {
        let sides = sides(&self.source.works(&self.switches));
        let mut calibrator = Box::new(Calibrator::new(now, &sides, self.source.range()));
        if let Some(level) = self.level {
            calibrator.level(now, level);
        }
        self.moves = now;
        Page::Running(calibrator)
    }

    /// When [`Calibrate::wake`] has to be called next.
    #[must_use]
    pub fn deadline(&self) -> Option<Moment> {
        matches!(self.page, Page::Running(_)).then_some(self.moves)
    }

    /// What is to be seen.
    #[must_use]
    pub fn scene(&self) -> &Scene {
        &self.scene
    }

    /// What the session is told, once it is over.
    #[must_use]
    pub fn done(&self) -> Option<LevelSource> {
        let Page::Done(found) = &self.page else { return None };
        Some(self.source.told(found.clone(), &self.switches))
    }

    fn redraw(&mut self) {
        let (number, words) = (self.scene.number + 1, self.words());
        let (cue, body) = match &self.page {
            Page::Kept(kept) => (None, message(words.found, self.kept(kept))),
            Page::Before(None) => (None, message(words.before, self.before())),
            Page::Before(Some(refusal)) => {
                let lines = std::iter::once(self.words().why(*refusal)).chain(self.or_silent(words::BREATH_TRY_AGAIN));
                (None, message(words.refused, lines.collect()))
            }
            Page::Running(calibrator) => {
                (Some(asked(words, calibrator.asks())), Body::Strip(self.strip(calibrator.asks())))
            }
            Page::Found(found) => (None, message(words.found, self.found(found))),
            Page::Done(_) => (None, message("One moment, please.", Vec::new())),
        };
        self.scene = Scene { number, cue, body, ..self.scene.clone() };
    }

    fn words(&self) -> &'static Words {
        Words::of(self.source.kind())
    }

    fn before(&self) -> Vec<String> {
        let emulated = (self.source == Source::Emulated).then_some(emulator::HOW);
        let mind = self.words().mind.iter().copied().chain(emulated).map(str::to_string);
        mind.chain(self.or_silent(words::BREATH_BEGINS)).collect()
    }

    /// How it goes on, or why it does not yet.
    fn or_silent(&self, how: &str) -> Vec<String> {
        self.silent().map_or_else(|| vec![how.to_string()], |why| vec![why, self.words().waits.to_string()])
    }

    /// How it goes on, or why it does not while the device is gone.
    fn unless_gone(&self, how: &str) -> Vec<String> {
        if self.trouble.is_some() { self.or_silent(how) } else { vec![how.to_string()] }
    }

    /// What is to be said while no level has come.
    fn silent(&self) -> Option<String> {
        let trouble = self.trouble.as_ref().map(|why| format!("{}.", capital(why.trim_end_matches('.'))));
        trouble.or_else(|| self.level.is_none().then(|| self.words().silent.to_string()))
    }

    /// What an earlier session has found, to be used again or not.
    fn kept(&self, kept: &Kept) -> Vec<String> {
        let mut lines = vec![format!("Calibrated on {}.", kept.day)];
        lines.extend(self.lines(&kept.found));
        lines.push(words::KEPT_MIND.to_string());
        // An axis that has not moved yet can be used all the same.
        lines.extend(self.silent().filter(|_| self.trouble.is_none()));
        lines.extend(self.unless_gone(words::KEPT_GO_ON));
        lines
    }

    fn strip(&self, ask: Ask) -> Strip {
        let rest = self.level.map_or(0.0, |_| self.rest());
        let left = match ask {
            Ask::Rest { until } | Ask::Wait { until } => {
                format!("{} s", until.since(self.now).0.div_ceil(1_000_000))
            }
            Ask::Effort { number, of, .. } => format!("{number} of {of}"),
            Ask::Over => String::new(),
        };
        let how = if self.source == Source::Emulated { emulator::HOW } else { words::BREATH_HOW };
        Strip { lanes: Vec::new(), wave: Some(self.trace.wave(self.now, rest, None)), lines: vec![how.into(), left] }
    }

    /// Until rest has been measured the middle of the range stands for it, and silence for a room.
    fn rest(&self) -> f64 {
        if self.source == Source::Microphone {
            return 0.0;
        }
        let range = self.source.range();
        f64::midpoint(f64::from(range.least), f64::from(range.greatest))
    }

    fn found(&self, found: &Calibration) -> Vec<String> {
        let mut lines = self.lines(found);
        lines.extend(self.unless_gone(words::BREATH_GO_ON));
        lines
    }

    fn lines(&self, calibration: &Calibration) -> Vec<String> {
        let mut lines = Vec::new();
        for side in Side::ALL {
            lines.extend(found(self.source, side, calibration));
            lines.extend(calibration.is_uneven(side).then(|| words::BREATH_UNEVEN.to_string()));
            lines.extend(calibration.is_cut_off(side).then(|| words::BREATH_CUT_OFF.to_string()));
        }
        lines
    }
}

fn asked(words: &Words, ask: Ask) -> Cue {
    let text = match ask {
        Ask::Effort { side, .. } => words.effort(side),
        Ask::Rest { .. } | Ask::Wait { .. } | Ask::Over => words.rest,
    };
    Cue { text: text.to_string(), icon: None }
}

fn message(title: &str, lines: Vec<String>) -> Body {
    Body::Message(Message { title: title.to_string(), lines, icon: None, to: Reader::Clinician })
}

#[cfg(test)]
#[path = "calibrate_tests.rs"]
mod tests;
