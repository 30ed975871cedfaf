//! Before the session: a word on what this program is, the place of the screen, and the switch.
//!
//! ```text
//! notice ─► (go on?) ─► distance ─► width ─► work the switch ─► work it again ─► (the second one) ─► learned
//! ```
//!
//! Enter or F3 accepts what is shown. A page whose answer is known already is left out. This is a
//! pure machine: presses go in, a page comes out; it never reads a clock or touches the window.

use super::binding::Binding;
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
            Page::Again(first) => message("Work it again.", vec![format!("Learned: {first}")]),
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
mod tests {
    use super::*;
    use crate::session::scene::Body;

    fn lesson(switch_count: usize) -> Lesson {
        let place = Place { distance_mm: 1_500, width_mm: 531 };
        let roles = Role::ALL[..switch_count].to_vec();
        Lesson { roles, known: Vec::new(), place, place_known: true, broken_off: None }
    }

    fn press(learn: &mut Learn, keys: &[&str]) {
        keys.iter().for_each(|key| learn.press(key.parse().unwrap()));
    }

    fn shown(learn: &Learn) -> String {
        let Body::Message(message) = &learn.scene().body else { panic!("not a page") };
        format!("{} | {}", message.title, message.lines.join(" | "))
    }

    #[test]
    fn the_notice_says_what_this_is_and_what_it_is_not() {
        let mut learn = Learn::new(lesson(1));
        learn.warn(vec!["The screen saver cannot be held off here.".into()]);
        for words in ["not certified as a medical device", "drives no appliance", "calls nobody", "screen saver"] {
            assert!(shown(&learn).contains(words), "{words}");
        }
    }

    #[test]
    fn a_switch_worked_twice_is_learned() {
        let mut learn = Learn::new(lesson(1));
        press(&mut learn, &["F3", "Space"]);
        assert_eq!(shown(&learn), "Work it again. | Learned: key Space");
        assert_eq!(learn.done(), None);
        press(&mut learn, &["Space"]);
        assert_eq!(learn.done().unwrap().switches, ["Space".parse().unwrap()]);
    }

    #[test]
    fn another_key_the_second_time_is_the_new_candidate() {
        let mut learn = Learn::new(lesson(1));
        press(&mut learn, &["Enter", "Space", "mouse button 1"]);
        assert_eq!(shown(&learn), "Work it again. | Learned: mouse button 1");
    }

    #[test]
    fn the_clinicians_keys_are_refused_with_a_word() {
        let mut learn = Learn::new(lesson(1));
        press(&mut learn, &["Enter", "F9"]);
        assert!(shown(&learn).contains("F9 is kept for the clinician"), "{}", shown(&learn));
    }

    #[test]
    fn two_switches_have_to_differ() {
        let mut learn = Learn::new(lesson(2));
        press(&mut learn, &["Enter", "Space", "Space", "Space"]);
        assert!(shown(&learn).contains("key Space is a switch already: it moves on."), "{}", shown(&learn));
        press(&mut learn, &["Enter", "Enter"]);
        assert_eq!(learn.done().unwrap().switches.len(), 2);
    }

    #[test]
    fn each_of_five_switches_is_asked_for_by_what_it_does() {
        let mut learn = Learn::new(lesson(5));
        press(&mut learn, &["Enter"]);
        let keys = ["KeyA", "mouse button 1", "pad 1 button South", "pad 1 axis LeftStickX -", "touch anywhere"];
        let asked = ["moves on", "takes", "moves back", "asks for rest", "nobody is called here"];
        for (key, words) in keys.into_iter().zip(asked) {
            assert!(shown(&learn).contains(words), "{}", shown(&learn));
            press(&mut learn, &[key, key]);
        }
        assert_eq!(learn.done().unwrap().switches.len(), 5);
    }

    #[test]
    fn the_place_is_asked_and_enter_takes_what_is_shown() {
        let mut learn = Learn::new(Lesson { place_known: false, ..lesson(1) });
        press(&mut learn, &["Enter", "Digit2", "Digit2", "Digit0", "Enter", "Enter", "Space", "Space"]);
        assert_eq!(learn.done().unwrap().place, Place { distance_mm: 2_200, width_mm: 531 });
    }

    #[test]
    fn with_everything_known_only_the_notice_stands() {
        let mut learn = Learn::new(Lesson { known: vec!["Space".parse().unwrap()], ..lesson(1) });
        assert_eq!(learn.done(), None);
        press(&mut learn, &["Enter"]);
        assert!(learn.done().is_some());
    }

    #[test]
    fn a_session_that_was_broken_off_is_gone_on_with_or_left() {
        for (answer, go_on) in [("F3", true), ("F4", false)] {
            let known = vec!["Space".parse().unwrap()];
            let words = "The session of today was broken off.".to_string();
            let mut learn = Learn::new(Lesson { known, broken_off: Some(words), ..lesson(1) });
            press(&mut learn, &["F3", "Space", "F9"]);
            assert!(shown(&learn).starts_with("Go on with the last session? | The session of today"), "{answer}");
            assert_eq!(learn.done(), None, "only a clear answer is one");
            press(&mut learn, &[answer]);
            assert_eq!(learn.done().map(|learned| learned.go_on), Some(go_on));
        }
    }

    #[test]
    fn help_covers_any_page_and_the_next_press_only_puts_it_away() {
        let mut learn = Learn::new(lesson(1));
        press(&mut learn, &["Enter", "F1"]);
        assert!(shown(&learn).starts_with("Keys"), "{}", shown(&learn));
        press(&mut learn, &["Space"]);
        assert!(shown(&learn).starts_with("Work the switch. | A key"), "{}", shown(&learn));
    }

    #[test]
    fn every_press_is_a_new_scene() {
        let mut learn = Learn::new(lesson(1));
        let before = learn.scene().number;
        press(&mut learn, &["Enter"]);
        assert!(learn.scene().number > before);
    }
}
