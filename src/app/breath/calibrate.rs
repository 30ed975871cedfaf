//! The pages of a calibration: what to mind, rest, comfortable efforts with their waveform, what was found.
//!
//! A pure machine over [`Calibrator`], as the pages before it: presses and samples go in, a page comes out.

use super::emulator;
use super::source::{Source, sides};
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
    now: Moment,
    moves: Moment,
    scene: Scene,
}

#[derive(Clone, Debug)]
enum Page {
    /// What to mind, or why the last try cannot be used.
    Before(Option<Refusal>),
    Running(Box<Calibrator>),
    Found(Calibration),
    Done(Calibration),
}

impl Calibrate {
    /// The pages before a session whose `switches` this source works; `number` is that of the first scene.
    #[must_use]
    pub fn new(number: u64, source: Source, switches: Vec<Binding>, settings: Settings) -> Calibrate {
        let message = Message { title: String::new(), lines: Vec::new(), icon: None, to: Reader::Clinician };
        let scene = crate::app::runner::page(number, message);
        let (page, trace, now) = (Page::Before(None), Trace::default(), Moment::START);
        let mut calibrate = Calibrate { source, switches, settings, page, trace, level: None, now, moves: now, scene };
        calibrate.redraw();
        calibrate
    }

    /// The level is this from `at` on.
    pub fn level(&mut self, at: Moment, value: i32) {
        self.level = Some(value);
        self.trace.add(at, value);
        if let Page::Running(calibrator) = &mut self.page {
            calibrator.level(at, value);
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
            Page::Before(_) if accepts => self.begin(now),
            Page::Found(found) if accepts => Page::Done(found),
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
        let number = self.scene.number + 1;
        let (cue, body) = match &self.page {
            Page::Before(None) => (None, message(words::BREATH_BEFORE, self.before())),
            Page::Before(Some(refusal)) => (
                None,
                message(words::BREATH_REFUSED, vec![capital(&refusal.to_string()), words::BREATH_TRY_AGAIN.into()]),
            ),
            Page::Running(calibrator) => (Some(asked(calibrator.asks())), Body::Strip(self.strip(calibrator.asks()))),
            Page::Found(found) => (None, message(words::BREATH_FOUND, self.found(found))),
            Page::Done(_) => (None, message("One moment, please.", Vec::new())),
        };
        self.scene = Scene { number, cue, body, ..self.scene.clone() };
    }

    fn before(&self) -> Vec<String> {
        let emulated = (self.source == Source::Emulated).then_some(emulator::HOW);
        words::BREATH_MIND.iter().copied().chain(emulated).chain([words::BREATH_BEGINS]).map(str::to_string).collect()
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

    /// Until rest has been measured the middle of the range stands for it.
    fn rest(&self) -> f64 {
        let range = self.source.range();
        f64::midpoint(f64::from(range.least), f64::from(range.greatest))
    }

    fn found(&self, found: &Calibration) -> Vec<String> {
        let mut lines = Vec::new();
        for side in Side::ALL {
            let name = if side == Side::Above { "Puff" } else { "Sip" };
            let efforts: Vec<String> = found.efforts(side).iter().map(ToString::to_string).collect();
            if !efforts.is_empty() {
                lines.push(format!("{name}: {} (noise at rest {}).", efforts.join(", "), found.noise));
            }
            lines.extend(found.is_uneven(side).then(|| words::BREATH_UNEVEN.to_string()));
            lines.extend(found.is_cut_off(side).then(|| words::BREATH_CUT_OFF.to_string()));
        }
        lines.push(words::BREATH_GO_ON.to_string());
        lines
    }
}

fn asked(ask: Ask) -> Cue {
    let text = match ask {
        Ask::Effort { side: Side::Above, .. } => words::PUFF,
        Ask::Effort { side: Side::Below, .. } => words::SIP,
        Ask::Rest { .. } | Ask::Wait { .. } | Ask::Over => words::BREATHE,
    };
    Cue { text: text.to_string(), icon: None }
}

fn message(title: &str, lines: Vec<String>) -> Body {
    Body::Message(Message { title: title.to_string(), lines, icon: None, to: Reader::Clinician })
}

fn capital(text: &str) -> String {
    crate::analysis::words::capital(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(name: &str) -> Binding {
        name.parse().unwrap()
    }

    /// Works the calibration in steps of 10 ms; the level is what `effort` says while one is asked for.
    fn worked(effort: i32) -> Calibrate {
        let switches = vec![key("emulated breath soft puff")];
        let mut calibrate = Calibrate::new(5, Source::Emulated, switches, Settings::default());
        calibrate.press(Moment::START, key("F3"));
        for n in 0..6_000_u64 {
            let now = Moment(n * 10_000);
            let asked = calibrate.scene().cue.as_ref().is_some_and(|cue| cue.text == words::PUFF);
            calibrate.level(now, if asked { effort } else { 0 });
            calibrate.wake(now);
        }
        calibrate
    }

    fn title(calibrate: &Calibrate) -> &str {
        let Body::Message(message) = &calibrate.scene().body else { panic!("no page") };
        &message.title
    }

    #[test]
    fn three_puffs_lead_to_what_the_session_is_told() {
        let mut calibrate = worked(3_000);
        assert_eq!((title(&calibrate), calibrate.done()), (words::BREATH_FOUND, None));
        calibrate.press(Moment(61_000_000), key("Enter"));
        let told = calibrate.done().unwrap();
        assert_eq!((told.calibration.above, told.emulated), (vec![3_000; 3], true));
        assert_eq!(told.calibration.below, Vec::<u32>::new());
    }

    #[test]
    fn nothing_seen_is_refused_and_can_be_tried_again() {
        let mut calibrate = worked(0);
        assert_eq!(title(&calibrate), words::BREATH_REFUSED);
        calibrate.press(Moment(70_000_000), key("F3"));
        assert_eq!(calibrate.scene().cue.as_ref().map(|cue| cue.text.as_str()), Some(words::BREATHE));
    }

    #[test]
    fn what_to_mind_stands_before_it() {
        let calibrate = Calibrate::new(0, Source::Emulated, Vec::new(), Settings::default());
        let Body::Message(message) = &calibrate.scene().body else { panic!("no page") };
        let all = message.lines.join(" ");
        for words in ["circuit", "seal", "mask", "swallow", "one person", "dizz", "comfortable", "Emulated"] {
            assert!(all.contains(words), "{words}");
        }
    }
}
