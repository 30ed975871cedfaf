//! Runs a session: stamps in, records out, a scene to show. The window thread has it, and the pads' thread while it hands
//! in an edge.
//!
//! Every call says when it happens; nothing here reads a clock, opens a window or waits, so a test
//! can drive it. What was shown before an edge reaches the session before that edge.

mod pointing;

use std::sync::Arc;
use std::time::{Duration, Instant};

use super::RecordSink;
use super::binding::Binding;
use super::clinician::{Clinician, Now, is_clinicians};
use super::clock::Clock;
use super::keys::{self, Action};
use super::machine::Machine;
use super::shown::ShownQueue;
use super::sound::{Heard, Speaker};
use super::switches::{Carrier, Switches};
use crate::session::event::Event;
use crate::session::input::{Input, PauseReason};
use crate::session::offer::Offer;
use crate::session::record::{Record, What};
use crate::session::scene::{Body, Message, Note, Reader, Scene};
use pointing::Pointing;

/// How long the line that confirms a clinician's key stands.
const NOTE_STANDS: Duration = Duration::from_secs(2);

/// How long a line stands that nobody asked for.
const REMARK_STANDS: Duration = Duration::from_secs(10);

/// How long the last scene stands when the session ended by itself.
const LAST_SCENE: Duration = Duration::from_secs(4);
/// The same where nobody is there to hurry.
const LAST_ALONE: Duration = Duration::from_secs(15);
/// How long it stands for the clinician's answers about the last block, unless they come sooner.
const LAST_QUESTIONS: Duration = Duration::from_secs(60);
/// A click within this time of the keyboard's coming is the one that brought it.
const CLICK_SETTLES: Duration = Duration::from_secs(1);

/// A session under way.
pub struct Runner {
    machine: Box<dyn Machine>,
    sink: RecordSink,
    clock: Clock,
    shown: Arc<ShownQueue>,
    switches: Switches,
    pointer: Pointing,
    clinician: Clinician,
    out: Vec<Record>,
    overlay: Overlay,
    focused: bool,
    /// Since when the keyboard has been here.
    focused_since: Option<Instant>,
    /// Where sounds go.
    speaker: Option<Arc<Speaker>>,
    /// A bell is to be rung.
    rings: bool,
    ended_by_clinician: bool,
    /// Added to the number of every scene, so that a frame of the session before is told apart.
    numbers: u64,
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
        switches: Switches,
        shown: Arc<ShownQueue>,
    ) -> Runner {
        Runner {
            machine,
            sink,
            clock,
            shown,
            switches,
            pointer: Pointing::default(),
            clinician: Clinician::default(),
            out: Vec::new(),
            overlay: Overlay::default(),
            focused: true,
            focused_since: None,
            speaker: None,
            rings: false,
            ended_by_clinician: false,
            numbers: 0,
        }
    }

    /// Lets it be heard.
    #[must_use]
    pub fn heard_through(mut self, speaker: Option<Arc<Speaker>>) -> Runner {
        self.speaker = speaker;
        self
    }

    /// Takes the place of a session that is over.
    #[must_use]
    pub fn after(mut self, at: Instant, before: &Runner) -> Runner {
        self.numbers = before.numbers + before.machine.scene().number + 1;
        self.overlay.revision = before.overlay.revision + 1;
        self.focus(at, before.focused);
        self
    }

    /// What runs.
    #[must_use]
    pub fn machine(&self) -> &dyn Machine {
        &*self.machine
    }

    /// A key or button went down or up: a switch, a key of the clinician, or nobody's.
    pub fn change(&mut self, at: Instant, binding: Binding, down: bool) {
        if let Some(edge) = self.switches.edge(binding, down) {
            self.input(at, edge);
        } else if down && let Some(action) = self.action(at, binding) {
            self.act(at, action);
        } else if down {
            let inputs = self.switches.offered(binding);
            self.inputs(at, inputs);
        }
    }

    /// The driver's stamp of the change that was told last, so much before ours.
    pub fn driver(&mut self, at: Instant, binding: Binding, before_us: i64) {
        if let Some(switch) = self.switches.find(binding) {
            self.input(at, Input::Driver { switch, before_us });
        }
    }

    /// A pad or the microphone was plugged in (`here`) or unplugged.
    pub fn carrier(&mut self, at: Instant, carrier: Carrier, here: bool) {
        let inputs = if here { self.switches.plugged(carrier) } else { self.switches.unplugged(carrier) };
        self.inputs(at, inputs);
    }

    /// This changes faster than any hand, and its edges are left out from now on.
    pub fn flooded(&mut self, at: Instant, binding: Binding) {
        let inputs = self.switches.flooded(binding);
        self.inputs(at, inputs);
    }

    fn inputs(&mut self, at: Instant, inputs: Vec<Input>) {
        inputs.into_iter().for_each(|input| self.input(at, input));
    }

    /// The keyboard came to the window (`here`) or went; saying it twice does nothing.
    pub fn focus(&mut self, at: Instant, here: bool) {
        if here != self.focused {
            self.focused = here;
            self.focused_since = here.then_some(at);
            self.input(at, if here { Input::Resume } else { Input::Pause { why: PauseReason::FocusLost } });
        }
    }

    /// What a key or button asks for that is no switch. A carer may confirm with what lies at hand.
    fn action(&self, at: Instant, binding: Binding) -> Option<Action> {
        let key = if let Binding::Key(key) = binding { keys::action(key) } else { None };
        // The click that brings the window to the front confirms nothing.
        let settled = self.focused_since.is_none_or(|since| at >= since + CLICK_SETTLES);
        let at_hand = keys::is_enter(binding) || matches!(binding, Binding::Mouse(_)) && settled;
        key.or((self.machine.to_confirm() && at_hand).then_some(Action::Next))
    }

    fn act(&mut self, at: Instant, action: Action) {
        if action == Action::Help || self.overlay.help {
            self.turn_help(at);
        }
        let now = Now {
            question: self.machine.question(),
            my_presses: self.machine.in_assessors_hands(),
            interval: self.machine.interval(),
        };
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

    /// The clinician asks for it from elsewhere; what is not the clinician's to ask changes nothing.
    pub fn asked(&mut self, at: Instant, input: Input) {
        match input {
            Input::End => self.end(at),
            input if is_clinicians(&input) => self.input(at, input),
            _ => {}
        }
    }

    /// The keyboard is here.
    #[must_use]
    pub fn focused(&self) -> bool {
        self.focused
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
        self.point_when_due(now);
        self.settle(now);
        self.machine.advance(self.clock.moment(now), &mut self.out);
        if self.overlay.note.as_ref().is_some_and(|(_, until)| *until <= now) {
            self.overlay.note = None;
            self.overlay.revision += 1;
        }
        self.hand_on();
    }

    /// Tells the session that this is too late for what was due, if it is, and what was shown up to now.
    fn settle(&mut self, now: Instant) {
        let moment = self.clock.moment(now);
        let limit = self.machine.stall_limit();
        if self.machine.deadline().is_some_and(|due| moment.since(due) > limit) {
            self.machine.input(moment, Input::Stalled, &mut self.out);
        }
        while let Some(shown) = self.shown.take(now) {
            if let Some(number) = shown.number.checked_sub(self.numbers) {
                self.machine.input(self.clock.moment(shown.at), Input::Shown { number }, &mut self.out);
            }
        }
    }

    /// Hands the records to the log.
    pub fn hand_on(&mut self) {
        if !self.out.is_empty() {
            self.clinician.follow(&self.out);
            self.rings |= self.machine.alone() && self.out.iter().any(calls);
            self.sound();
            let trouble = (self.sink)(&self.out);
            self.overlay.revision += u64::from(trouble != self.overlay.trouble);
            self.overlay.trouble = trouble;
            self.out.clear();
        }
    }

    /// Sends off what is to be heard, each sound with its own due time.
    fn sound(&self) {
        let Some(speaker) = &self.speaker else { return };
        let cues = self.machine.cues(&self.out).into_iter();
        cues.filter_map(|cue| Some((self.clock.instant(cue.due)?, cue))).for_each(|(due, cue)| speaker.send(due, cue));
    }

    /// A sound was heard.
    pub fn was_heard(&mut self, at: Instant, heard: Heard) {
        let Heard { sound, label, late_us } = heard;
        self.input(at, Input::Sound { sound, label, late_us });
    }

    /// The sound device is gone.
    pub fn lose_sound(&mut self, at: Instant, text: String) {
        self.speaker = None;
        self.remark(at, text);
    }

    /// Says something of a device to the clinician, and leaves it in the log.
    pub fn remark(&mut self, at: Instant, text: String) {
        self.overlay.note = Some((text.clone(), at + REMARK_STANDS));
        self.overlay.revision += 1;
        self.input(at, Input::Note { text });
    }

    /// This works a switch of the session.
    #[must_use]
    pub fn is_switch(&self, binding: Binding) -> bool {
        self.switches.find(binding).is_some()
    }

    /// Whether a bell is to be rung, once for each cause.
    pub fn take_ring(&mut self) -> bool {
        std::mem::take(&mut self.rings)
    }

    /// When [`Runner::wake`] has to be called next.
    #[must_use]
    pub fn deadline(&self) -> Option<Instant> {
        let due = self.machine.deadline().and_then(|due| self.clock.instant(due));
        due.into_iter().chain(self.overlay.note.as_ref().map(|(_, until)| *until)).chain(self.pointer.deadline()).min()
    }

    /// Tells whether the screen has to change.
    #[must_use]
    pub fn look(&self) -> Look {
        Look { scene: self.numbers + self.machine.scene().number, overlay: self.overlay.revision }
    }

    /// What is to be seen, and the number to report it under; help is nobody's scene.
    #[must_use]
    pub fn picture(&self) -> (Scene, Option<u64>) {
        let mut scene = self.machine.scene().clone();
        if self.overlay.help {
            return (help(scene.number), None);
        }
        let said = self.overlay.note.as_ref().map(|(text, _)| text.as_str());
        let stands = self.pointer.words().or(self.overlay.trouble.as_deref());
        let quiet = |text: &str| Note { text: text.to_string(), urgent: false };
        scene.note = said.map(quiet).or(scene.note).or(stands.map(quiet));
        let number = self.numbers + scene.number;
        (scene, Some(number))
    }

    /// It is over.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.machine.finished()
    }

    /// How long the last scene stands.
    #[must_use]
    pub fn patience(&self) -> Duration {
        match (self.machine.question(), self.machine.alone()) {
            (Some(_), _) => LAST_QUESTIONS,
            (None, true) => LAST_ALONE,
            (None, false) => LAST_SCENE,
        }
    }

    /// The clinician ended it: the last scene need not stand.
    #[must_use]
    pub fn ended_by_clinician(&self) -> bool {
        self.ended_by_clinician
    }
}

/// Somebody has to come, or the client rings the bell.
fn calls(record: &Record) -> bool {
    use PauseReason::{Call, Flooded, FocusLost, Stuck, Unplugged};
    match record.what {
        What::Event(Event::Chosen { offer }) => offer == Offer::Bell,
        What::Event(Event::Paused { why }) => matches!(why, Call | Flooded | FocusLost | Stuck | Unplugged),
        _ => false,
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
