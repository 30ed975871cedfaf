//! The pages of a calibration: one that is kept, what to mind, rest, comfortable efforts with their waveform, what was
//! found.
//!
//! A pure machine over [`Calibrator`], as the pages before it: presses and samples go in, a page comes out.

use super::source::{Source, sides};
use super::words::{Words, found};
use super::{Kept, LevelConfig, emulator};
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
        let (page, trace, now) = (Page::Before(None), Trace::default(), Moment::START);
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

    /// No level comes, for this reason; or levels come again.
    pub fn trouble(&mut self, why: Option<String>) {
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
            Page::Before(_) if accepts => self.begin(now),
            Page::Found(found) | Page::Kept(Kept { found, .. }) if accepts => Page::Done(found),
            Page::Kept(_) if again => Page::Before(None),
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
                let lines = [Some(capital(&refusal.to_string())), self.silent(), Some(words::BREATH_TRY_AGAIN.into())];
                (None, message(words.refused, lines.into_iter().flatten().collect()))
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
        mind.chain(self.silent()).chain([words::BREATH_BEGINS.to_string()]).collect()
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
        lines.extend(self.silent());
        lines.push(words::KEPT_GO_ON.to_string());
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

    /// Until rest has been measured the middle of the range stands for it.
    fn rest(&self) -> f64 {
        let range = self.source.range();
        f64::midpoint(f64::from(range.least), f64::from(range.greatest))
    }

    fn found(&self, found: &Calibration) -> Vec<String> {
        let mut lines = self.lines(found);
        lines.push(words::BREATH_GO_ON.to_string());
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

fn capital(text: &str) -> String {
    crate::analysis::words::capital(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(name: &str) -> Binding {
        name.parse().unwrap()
    }

    fn pages(source: Source, switches: &[&str], kept: Option<Kept>) -> Calibrate {
        let config = LevelConfig { source, settings: Settings::default(), kept };
        Calibrate::new(5, config, switches.iter().map(|name| key(name)).collect())
    }

    /// Works the calibration in steps of 10 ms; the level is what `effort` says while one is asked for.
    fn worked(effort: i32) -> Calibrate {
        let mut calibrate = pages(Source::Emulated, &["emulated breath soft puff"], None);
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

    fn lines(calibrate: &Calibrate) -> String {
        let Body::Message(message) = &calibrate.scene().body else { panic!("no page") };
        message.lines.join(" ")
    }

    const VOICE: [&str; 1] = ["microphone soft sound"];

    #[test]
    fn a_calibration_that_is_kept_is_offered_with_its_day_and_can_be_made_again() {
        let told = worked(3_000);
        let Page::Found(found) = &told.page else { panic!("not found") };
        let kept = Some(Kept { found: found.clone(), day: "2026-03-04".to_string() });
        let mut again = pages(Source::Emulated, &["emulated breath soft puff"], kept.clone());
        assert!(lines(&again).contains("2026-03-04") && lines(&again).contains("3000, 3000, 3000"));
        let mut used = again.clone();
        used.press(Moment::START, key("Enter"));
        assert_eq!(used.done().map(|told| told.calibration), Some(found.clone()));
        again.press(Moment::START, key("F4"));
        assert_eq!((title(&again), again.done()), (words::BREATH_BEFORE, None));
        // A side that it knows nothing of, another device: it is not offered.
        let sip = pages(Source::Emulated, &["emulated breath soft sip"], kept.clone());
        let voice = pages(Source::Microphone, &VOICE, kept);
        assert!(!lines(&sip).contains("2026-03-04") && !lines(&voice).contains("2026-03-04"));
    }

    #[test]
    fn where_nothing_is_heard_the_page_says_why_until_something_is() {
        let mut calibrate = pages(Source::Microphone, &VOICE, None);
        assert!(lines(&calibrate).contains("Nothing has been heard"), "{}", lines(&calibrate));
        calibrate.trouble(Some("this computer has no microphone".to_string()));
        assert!(lines(&calibrate).contains("This computer has no microphone."));
        calibrate.trouble(None);
        calibrate.level(Moment(1), 900);
        let all = lines(&calibrate);
        assert!(
            !all.contains("Nothing has been heard") && all.contains("ventilator") && all.contains("no sound is kept")
        );
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
    fn an_effort_is_told_as_a_pressure_where_the_full_scale_is_known() {
        let range = crate::level::Range { least: -10_000, greatest: 10_000 };
        let found = Calibration { rest: 0, noise: 40, above: vec![5_000; 3], below: Vec::new(), range };
        let kept = Some(Kept { found, day: "2026-03-04".to_string() });
        let told = |axis: &str| lines(&pages(Source::read(axis).unwrap(), &["breath soft puff"], kept.clone()));
        // Half of 50 cmH2O, of which one is 98.0665 Pa by definition, is 2.45 kPa.
        let known = told("pad 1 axis LeftStickY + to 50 cmH2O");
        assert!(known.contains("Puff: 5000, 5000, 5000 (noise at rest 40); 2.5 kPa, 25 cmH2O."), "{known}");
        assert!(!told("pad 1 axis LeftStickY +").contains("kPa"));
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
        let calibrate = pages(Source::Emulated, &[], None);
        let all = lines(&calibrate);
        for words in ["circuit", "seal", "mask", "swallow", "one person", "dizz", "comfortable", "Emulated"] {
            assert!(all.contains(words), "{words}");
        }
    }
}
