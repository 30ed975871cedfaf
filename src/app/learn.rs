//! Before the session: a word on what this program is, the place of the screen, and the switch.
//!
//! ```text
//! notice ─► (go on?) ─► distance ─► width ─► work the switch ─► work it again ─► (the second one) ─► learned
//! ```
//!
//! Enter or F3 accepts what is shown. A page whose answer is known already is left out. This is a
//! pure machine: presses go in, a page comes out; it never reads a clock or touches the window.

use super::binding::Binding;
use super::devices::connected::{self, Found};
use super::keys::{self, Action};
use super::length::Length;
use super::runner::{help, page};
use crate::engine::effect::Role;
use crate::session::levels::LevelSource;
use crate::session::scene::{Message, Reader, Scene};

/// Where the screen stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Eye to screen, in millimetres.
    pub distance_mm: u32,
    /// Visible width of the screen, in millimetres.
    pub width_mm: u32,
}

/// What has to be learned, and what is known already.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// What each switch does, in the order in which they are learned; one to five.
    pub roles: Vec<Role>,
    /// Switches that need not be worked.
    pub known: Vec<Binding>,
    /// What the pages offer for the place of the screen.
    pub place: Place,
    /// The place is known: it is not asked.
    pub place_known: bool,
    /// What is said of a session that was broken off, where it can be gone on with.
    pub broken_off: Option<String>,
    /// What is connected, where that is known.
    pub found: Vec<Found>,
}

/// What was learned.
#[derive(Clone, Debug, PartialEq)]
pub struct Learned {
    /// Switch 0 first.
    pub switches: Vec<Binding>,
    /// Where the screen stands.
    pub place: Place,
    /// The session that was broken off is to go on.
    pub go_on: bool,
    /// Levels that work some of the switches, calibrated.
    pub levels: Vec<LevelSource>,
}

/// The pages, each with what is true on it only.
#[derive(Clone, Debug, PartialEq)]
enum Page {
    Notice,
    BrokenOff(String),
    Distance(Length),
    Width(Length),
    /// Nothing has been worked yet, or it was refused with these words.
    Work(Option<String>),
    /// Worked once.
    Again(Binding),
    Done,
}

/// The pages before a session.
#[derive(Clone, Debug)]
pub struct Learn {
    page: Page,
    lesson: Lesson,
    switches: Vec<Binding>,
    go_on: bool,
    troubles: Vec<String>,
    help: bool,
    scene: Scene,
}

/// What stands on the first page, whatever else does.
const NOTICE: [&str; 4] = [
    "pacewright trains and measures. It is not certified as a medical device; a licensed clinician decides.",
    "It drives no appliance: the home on the screen is simulated.",
    "The alarm item calls nobody. Keep the real call bell within reach.",
    "If the client is unwell, stop and call the carer.",
];

impl Learn {
    /// Begins with the notice.
    #[must_use]
    pub fn new(lesson: Lesson) -> Learn {
        let mut switches = lesson.known.clone();
        switches.truncate(lesson.roles.len());
        let scene = page(0, message("", Vec::new()));
        let mut learn =
            Learn { page: Page::Notice, lesson, switches, go_on: false, troubles: Vec::new(), help: false, scene };
        learn.redraw();
        learn
    }

    /// Lines that the first page has to say besides (the screen saver cannot be held off).
    pub fn warn(&mut self, troubles: Vec<String>) {
        self.troubles.extend(troubles);
        self.redraw();
    }

    /// Something cannot be a switch, for this reason; said where one is asked for.
    pub fn refuse(&mut self, words: String) {
        if let Page::Work(_) = self.page {
            self.page = Page::Work(Some(words));
            self.redraw();
        }
    }

    /// A key or button went down; repeats are not told.
    pub fn press(&mut self, binding: Binding) {
        if !std::mem::take(&mut self.help) {
            self.turn(binding);
        }
        self.redraw();
    }

    fn turn(&mut self, binding: Binding) {
        if action(binding) == Some(Action::Help) {
            self.help = true;
            return;
        }
        self.page = match std::mem::replace(&mut self.page, Page::Done) {
            Page::Notice if accepts(binding) => self.after_notice(),
            Page::BrokenOff(_) if accepts(binding) || action(binding) == Some(Action::SkipBlock) => {
                self.go_on = accepts(binding);
                self.first_place()
            }
            Page::Distance(length) if accepts(binding) => self.after_distance(length),
            Page::Width(length) if accepts(binding) => self.after_width(length),
            Page::Distance(length) => Page::Distance(length.typed(binding)),
            Page::Width(length) => Page::Width(length.typed(binding)),
            Page::Work(_) => self.worked(binding),
            Page::Again(first) if first == binding => self.learned(binding),
            Page::Again(_) => self.worked(binding),
            same => same,
        };
    }

    fn after_notice(&mut self) -> Page {
        match self.lesson.broken_off.take() {
            Some(words) => Page::BrokenOff(words),
            None => self.first_place(),
        }
    }

    fn first_place(&mut self) -> Page {
        if self.lesson.place_known {
            self.next_switch()
        } else {
            Page::Distance(Length::distance(self.lesson.place.distance_mm))
        }
    }

    fn after_distance(&mut self, length: Length) -> Page {
        let Some(millimetres) = length.millimetres() else { return Page::Distance(length) };
        self.lesson.place.distance_mm = millimetres;
        Page::Width(Length::width(self.lesson.place.width_mm))
    }

    fn after_width(&mut self, length: Length) -> Page {
        let Some(millimetres) = length.millimetres() else { return Page::Width(length) };
        self.lesson.place.width_mm = millimetres;
        self.next_switch()
    }

    fn worked(&mut self, binding: Binding) -> Page {
        if let Some(refusal) = keys::refusal(binding) {
            return Page::Work(Some(refusal));
        }
        if let Some(place) = self.switches.iter().position(|known| *known == binding) {
            let role = does(self.lesson.roles[place]);
            return Page::Work(Some(format!("{binding} is a switch already: it {role}. Use another one.")));
        }
        Page::Again(binding)
    }

    fn learned(&mut self, binding: Binding) -> Page {
        self.switches.push(binding);
        self.next_switch()
    }

    fn next_switch(&self) -> Page {
        if self.switches.len() < self.lesson.roles.len() { Page::Work(None) } else { Page::Done }
    }

    /// What was learned, once it all is.
    #[must_use]
    pub fn done(&self) -> Option<Learned> {
        let learned = || Learned {
            switches: self.switches.clone(),
            place: self.lesson.place,
            go_on: self.go_on,
            levels: Vec::new(),
        };
        (self.page == Page::Done).then(learned)
    }

    /// What is to be seen.
    #[must_use]
    pub fn scene(&self) -> &Scene {
        &self.scene
    }

    fn redraw(&mut self) {
        let number = self.scene.number + 1;
        self.scene = if self.help { help(number) } else { page(number, self.message()) };
    }

    fn message(&self) -> Message {
        match &self.page {
            Page::Notice => message("Before you begin", self.notice()),
            Page::BrokenOff(words) => {
                message("Go on with the last session?", vec![words.clone(), GO_ON.into(), LEAVE.into()])
            }
            Page::Distance(length) | Page::Width(length) => {
                message(length.question(), vec![length.to_string(), length.remark().into(), ACCEPT.into()])
            }
            Page::Work(refused) => {
                let words = refused.clone().unwrap_or_else(|| ANY.into());
                message(&self.which(), vec![words])
            }
            Page::Again(first) => {
                let twins = connected::twin_of(&self.lesson.found, *first).unwrap_or_default();
                message("Work it again.", vec![format!("Learned: {first}"), twins])
            }
            Page::Done => message("One moment, please.", Vec::new()),
        }
    }

    /// With one switch there is nothing to tell apart.
    fn which(&self) -> String {
        let place = self.switches.len();
        match (self.lesson.roles.len(), self.lesson.roles.get(place)) {
            (2.., Some(role)) => format!("Work the {} switch: it {}.", ORDER[place.min(4)], does(*role)),
            _ => "Work the switch.".into(),
        }
    }

    fn notice(&self) -> Vec<String> {
        let fixed = NOTICE.iter().map(|line| (*line).to_string());
        fixed.chain(self.troubles.iter().cloned()).chain([format!("{ACCEPT} F1 shows the keys, F10 ends.")]).collect()
    }
}

const ANY: &str = "A key, a mouse button, the wheel, a touch, or a button or an axis of a pad can be the switch.";
const ORDER: [&str; 5] = ["first", "second", "third", "fourth", "fifth"];

/// What a role does, for the clinician.
fn does(role: Role) -> &'static str {
    match role {
        Role::Step => "moves on",
        Role::Select => "takes",
        Role::Back => "moves back",
        Role::Exit => "leaves a group or asks for rest",
        Role::Call => "calls; nobody is called here",
    }
}
const ACCEPT: &str = "Enter or F3 goes on.";
const GO_ON: &str = "Enter or F3 goes on with it; the block that was under way begins anew.";
const LEAVE: &str = "F4 closes it as it is and begins a new session. What was saved is kept and counts.";

fn message(title: &str, lines: Vec<String>) -> Message {
    let lines = lines.into_iter().filter(|line| !line.is_empty()).collect();
    Message { title: title.into(), lines, icon: None, to: Reader::Clinician }
}

fn action(binding: Binding) -> Option<Action> {
    let Binding::Key(key) = binding else { return None };
    keys::action(key)
}

fn accepts(binding: Binding) -> bool {
    keys::is_enter(binding) || action(binding) == Some(Action::Next)
}

#[cfg(test)]
#[path = "learn_tests.rs"]
mod tests;
