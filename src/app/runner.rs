//! Runs a session on the window thread: stamps in, records out, a scene to show.
//!
//! Every call says when it happens; nothing here reads a clock, opens a window or waits, so a test
//! can drive it. What was shown before an edge reaches the session before that edge.

use std::sync::Arc;
use std::time::{Duration, Instant};

use super::RecordSink;
use super::binding::Binding;
use super::clinician::{Clinician, Now};
use super::clock::Clock;
use super::keys::{self, Action};
use super::lateness::Lateness;
use super::machine::Machine;
use super::shown::ShownQueue;
use crate::engine::effect::Switch;
use crate::session::input::{Input, PauseReason};
use crate::session::record::Record;
use crate::session::scene::{Body, Message, Note, Reader, Scene};

/// How long the line that confirms a clinician's key stands.
const NOTE_STANDS: Duration = Duration::from_secs(2);

/// A session under way.
pub struct Runner {
    machine: Box<dyn Machine>,
    sink: RecordSink,
    clock: Clock,
    shown: Arc<ShownQueue>,
    switches: Vec<Binding>,
    clinician: Clinician,
    out: Vec<Record>,
    lateness: Lateness,
    overlay: Overlay,
    focused: bool,
    ended_by_clinician: bool,
}

/// What the shell itself adds to the session's scene.
#[derive(Default)]
struct Overlay {
    help: bool,
    note: Option<(String, Instant)>,
    /// What the log is waiting for; it stands as long as that holds, where nothing else does.
    trouble: Option<String>,
    /// Grows with every change.
    revision: u64,
}

/// One state of the screen: two that are equal look the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    scene: u64,
    overlay: u64,
}

impl Runner {
    /// Takes over the session that has just begun on this clock.
    #[must_use]
    pub fn new(
        machine: Box<dyn Machine>,
        sink: RecordSink,
        clock: Clock,
        switches: Vec<Binding>,
        shown: Arc<ShownQueue>,
    ) -> Runner {
        Runner {
            machine,
            sink,
            clock,
            shown,
            switches,
            clinician: Clinician::default(),
            out: Vec::new(),
            lateness: Lateness::default(),
            overlay: Overlay::default(),
            focused: true,
            ended_by_clinician: false,
        }
    }

    /// A key or button went down or up: a switch, a key of the clinician, or nobody's.
    pub fn change(&mut self, at: Instant, binding: Binding, down: bool) {
        if let Some(place) = self.switches.iter().position(|switch| *switch == binding) {
            self.input(at, Input::Edge { switch: Switch(place as u8), down });
        } else if let (Binding::Key(key), true) = (binding, down)
            && let Some(action) = keys::action(key)
        {
            self.act(at, action);
        }
    }

    /// The keyboard came to the window (`here`) or went; saying it twice does nothing.
    pub fn focus(&mut self, at: Instant, here: bool) {
        if here != self.focused {
            self.focused = here;
            self.input(at, if here { Input::Resume } else { Input::Pause { why: PauseReason::FocusLost } });
        }
    }

    fn act(&mut self, at: Instant, action: Action) {
        if action == Action::Help || self.overlay.help {
            self.turn_help(at);
        }
        let now = Now { question: self.machine.question(), my_presses: self.machine.in_assessors_hands() };
        let Some((input, words)) = self.clinician.press(action, now) else { return };
        if input == Input::End {
            return self.end(at);
        }
        self.say(at, words);
        self.input(at, input);
    }

    /// The clinician ends it, or the window has to close.
    pub fn end(&mut self, at: Instant) {
        self.ended_by_clinician = true;
        self.input(at, Input::End);
    }

    /// Help is read in a pause, because it covers the client's screen.
    fn turn_help(&mut self, at: Instant) {
        self.overlay.help = !self.overlay.help;
        self.overlay.revision += 1;
        if self.overlay.help {
            self.input(at, Input::Pause { why: PauseReason::Clinician });
        }
    }

    fn say(&mut self, at: Instant, words: String) {
        if !words.is_empty() {
            self.overlay.note = Some((words, at + NOTE_STANDS));
            self.overlay.revision += 1;
        }
    }

    /// Anything else that happens to the session.
    pub fn input(&mut self, at: Instant, input: Input) {
        self.settle(at);
        self.machine.input(self.clock.moment(at), input, &mut self.out);
        self.hand_on();
    }

    /// Does all that is due at `now`.
    pub fn wake(&mut self, now: Instant) {
        self.settle(now);
        self.machine.advance(self.clock.moment(now), &mut self.out);
        if self.overlay.note.as_ref().is_some_and(|(_, until)| *until <= now) {
            self.overlay.note = None;
            self.overlay.revision += 1;
        }
        self.hand_on();
    }

    /// Notes how late this is, and gives the session what was shown up to now.
    fn settle(&mut self, now: Instant) {
        let moment = self.clock.moment(now);
        if let Some(due) = self.machine.deadline().filter(|due| *due <= moment) {
            let late = moment.since(due);
            self.lateness.add(late);
            if late > self.machine.stall_limit() {
                self.machine.input(moment, Input::Stalled, &mut self.out);
            }
        }
        while let Some(shown) = self.shown.take(now) {
            self.machine.input(self.clock.moment(shown.at), Input::Shown { number: shown.number }, &mut self.out);
        }
    }

    /// Hands the records to the log.
    pub fn hand_on(&mut self) {
        if !self.out.is_empty() {
            self.clinician.follow(&self.out);
            let trouble = (self.sink)(&self.out);
            self.overlay.revision += u64::from(trouble != self.overlay.trouble);
            self.overlay.trouble = trouble;
            self.out.clear();
        }
    }

    /// When [`Runner::wake`] has to be called next.
    #[must_use]
    pub fn deadline(&self) -> Option<Instant> {
        let due = self.machine.deadline().and_then(|due| self.clock.instant(due));
        due.into_iter().chain(self.overlay.note.as_ref().map(|(_, until)| *until)).min()
    }

    /// Tells whether the screen has to change.
    #[must_use]
    pub fn look(&self) -> Look {
        Look { scene: self.machine.scene().number, overlay: self.overlay.revision }
    }

    /// What is to be seen, and the number to report it under; help is nobody's scene.
    #[must_use]
    pub fn picture(&self) -> (Scene, Option<u64>) {
        let mut scene = self.machine.scene().clone();
        if self.overlay.help {
            return (help(scene.number), None);
        }
        let quiet = |text: &String| Note { text: text.clone(), urgent: false };
        let said = self.overlay.note.as_ref().map(|(text, _)| quiet(text));
        scene.note = said.or(scene.note).or_else(|| self.overlay.trouble.as_ref().map(quiet));
        let number = scene.number;
        (scene, Some(number))
    }

    /// It is over.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.machine.finished()
    }

    /// The clinician has been asked something that is not answered yet.
    #[must_use]
    pub fn asks(&self) -> bool {
        self.machine.question().is_some()
    }

    /// The clinician ended it: the last scene need not stand.
    #[must_use]
    pub fn ended_by_clinician(&self) -> bool {
        self.ended_by_clinician
    }

    /// How late the deadlines were kept.
    #[must_use]
    pub fn lateness(&self) -> &Lateness {
        &self.lateness
    }
}

/// The page with the clinician's keys.
#[must_use]
pub fn help(number: u64) -> Scene {
    let message = Message { title: "Keys".into(), lines: keys::help(), icon: None, to: Reader::Clinician };
    page(number, message)
}

/// A scene that is nothing but a page.
#[must_use]
pub fn page(number: u64, message: Message) -> Scene {
    Scene { number, cue: None, body: Body::Message(message), home: Vec::new(), note: None, left: None, answered: false }
}

#[cfg(test)]
#[path = "runner_tests.rs"]
mod tests;
