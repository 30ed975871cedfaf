//! The trial that runs beside the desk: what is heard of it, and what the clinician asks for.

use egui::{Event, Key, Modifiers, RawInput};

use super::board::Batch;
use super::screens;
use super::state::{Desk, Found, Trial, Wish};
use crate::app::binding::Binding;
use crate::app::clinician::{Clinician, Now};
use crate::app::keys::{self, Action};
use crate::desk::watch::Watch;
use crate::log::live::Told;
use crate::session::Session;
use crate::session::input::Input;
use crate::session::setup::Setup;
use crate::switch_check::Finding;

/// A trial under way.
pub struct Running {
    /// What was wanted.
    pub trial: Trial,
    /// What is seen of it, once it has begun.
    pub watch: Option<Watch>,
    /// The remark that is being written, until it is noted or put away.
    pub remark: Option<String>,
    clinician: Clinician,
}

/// How a trial ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Over {
    /// What went wrong, if something did.
    pub failed: Option<String>,
    /// Its log has no end: so many trials are saved, and it can be gone on with.
    pub broken_off: Option<usize>,
}

impl Running {
    /// Nothing has been heard yet.
    #[must_use]
    pub fn new(trial: Trial) -> Running {
        Running { trial, watch: None, remark: None, clinician: Clinician::default() }
    }

    /// The client's switch works the mouse too: nothing at the desk may be worked by it.
    #[must_use]
    pub fn takes_the_mouse(&self) -> bool {
        let devices = self.watch.as_ref().map_or(&self.trial.setup.devices, |watch| &watch.header().setup.devices);
        devices.iter().filter_map(|device| device.parse().ok()).any(of_the_mouse)
    }

    /// What a key of the clinician asks for now.
    fn asked(&mut self, action: Action) -> Option<Input> {
        let session = self.watch.as_ref().and_then(Watch::session);
        let now = Now {
            question: session.and_then(Session::rating_asked),
            my_presses: session.is_some_and(Session::in_assessors_hands),
            interval: session.map(Session::scan_interval),
        };
        self.clinician.press(action, now).map(|(input, _)| input)
    }
}

impl Desk {
    /// Begins a trial, unless one runs, and turns to where it is watched.
    pub fn begin(&mut self, trial: Trial) {
        if self.running.is_none() {
            self.save();
            let trial = Trial { corner: self.corner, ..trial };
            self.broken_off = None;
            if self.at != screens::switch::NAME {
                self.at = screens::trial::NAME;
            }
            self.running = Some(Running::new(trial.clone()));
            self.wishes.push(Wish::Trial(Box::new(trial)));
        }
    }

    /// Asks the board for something.
    pub fn ask(&mut self, input: Input) {
        if self.running.is_some() {
            self.wishes.push(Wish::Ask(input));
        }
    }

    /// Asks the board for what a key of the clinician asks for. Whoever goes on has written the remark to its end.
    pub fn act(&mut self, action: Action) {
        if matches!(action, Action::Next | Action::SkipBlock | Action::End) {
            self.note_remark();
        }
        if let Some(input) = self.running.as_mut().and_then(|running| running.asked(action)) {
            self.ask(input);
        }
    }

    /// Takes in what happened on the board.
    pub(super) fn heard(&mut self, batch: Batch) {
        for (number, told) in batch {
            match told {
                Told::Began(header) => {
                    self.learn(&header.setup);
                    let watch = Watch::new(*header).map_err(|problem| self.wrong(problem.to_string())).ok();
                    self.running.iter_mut().for_each(|running| running.watch = watch.clone());
                }
                Told::Record(record) => {
                    if let Some(running) = &mut self.running {
                        running.clinician.follow(std::slice::from_ref(&record));
                        running.watch.iter_mut().for_each(|watch| watch.take(number, &record));
                    }
                }
            }
        }
    }

    /// Switches and the place of the screen, as they were learned at the board: they need not be asked again.
    fn learn(&mut self, learned: &Setup) {
        let Some((running, visit)) = self.running.as_ref().zip(self.visit.as_mut()) else { return };
        let place = running.trial.set_up.filter(|_| visit.code == running.trial.client);
        if let Some(setup) = place.and_then(|place| visit.person.set_ups.get_mut(place)) {
            setup.devices.clone_from(&learned.devices);
            setup.level.clone_from(&learned.level);
            setup.screen_distance_mm = learned.screen_distance_mm;
            setup.screen_width_mm = learned.screen_width_mm;
        }
        self.save();
    }

    /// The board is closed.
    pub(super) fn over(&mut self, over: Over) {
        let Some(Running { trial, watch, remark, .. }) = self.running.take() else { return };
        self.wishes.push(Wish::Index);
        if let Some(text) = remark.filter(|text| !text.trim().is_empty()) {
            self.wrong(format!("{}: {text}", self.words.remark_lost));
        }
        if let Some(why) = over.failed {
            self.wrong(why);
        }
        let Some(visit) = self.visit.as_mut().filter(|visit| visit.code == trial.client) else { return };
        visit.found = Found::No;
        let findings: Vec<Finding> = watch.as_ref().map(Watch::findings).unwrap_or_default();
        if let Some(saved) = over.broken_off {
            // What the board had learned need not be asked again.
            let setup = watch.map_or_else(|| trial.setup.clone(), |watch| watch.header().setup.clone());
            self.broken_off = Some((Trial { setup, ..trial }, saved));
        } else if !findings.is_empty() {
            visit.checked = findings;
        } else if watch.is_some_and(|watch| watch.finished()) && self.at == screens::trial::NAME {
            self.at = screens::findings::NAME;
        }
    }
}

/// What a key does in the field of a remark beside writing. None works a button.
const WRITING: [Key; 6] = [Key::Backspace, Key::Delete, Key::ArrowLeft, Key::ArrowRight, Key::Home, Key::End];

/// Leaves out what the client's switch might have done: while the board is open, the desk takes the mouse and the
/// clinician's keys, and what is written where a remark can be written now.
pub fn admit(desk: &Desk, input: &mut RawInput) {
    let Some(running) = &desk.running else { return };
    let (mouse, writes) = (!running.takes_the_mouse(), desk.takes_remark());
    input.events.retain(|event| match event {
        // With Control a figure turns to a screen of the desk; in a remark it is a figure.
        Event::Key { key, modifiers, .. } => match clinicians(*key, Modifiers::NONE) {
            Some(Action::Rating(_)) => !writes || modifiers.command,
            Some(_) => true,
            None => writes && WRITING.contains(key),
        },
        Event::Text(_) | Event::Paste(_) | Event::Ime(_) => writes,
        Event::Copy | Event::Cut => false,
        Event::PointerButton { .. } | Event::Touch { .. } | Event::MouseWheel { .. } => mouse,
        _ => true,
    });
}

fn of_the_mouse(binding: Binding) -> bool {
    matches!(binding, Binding::Mouse(_) | Binding::Wheel(_) | Binding::Touch(_))
}

/// What this key of egui asks for, if it is the clinician's. A figure answers a question only by itself.
#[must_use]
pub fn clinicians(key: egui::Key, modifiers: Modifiers) -> Option<Action> {
    let reserved = keys::RESERVED.iter().find(|one| egui::Key::from_name(one.label) == Some(key));
    let digit = || key.name().parse::<u8>().ok().filter(|digit| *digit <= 9).map(Action::Rating);
    let action = reserved.map(|one| one.action).or_else(digit)?;
    (modifiers.is_none() || !matches!(action, Action::Rating(_))).then_some(action)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_keys_of_the_board_are_those_of_the_desk() {
        for one in keys::RESERVED {
            let key = egui::Key::from_name(one.label).expect(one.label);
            assert_eq!(clinicians(key, Modifiers::NONE), Some(one.action), "{}", one.label);
        }
        assert_eq!(clinicians(egui::Key::Num7, Modifiers::NONE), Some(Action::Rating(7)));
        assert_eq!(clinicians(egui::Key::Num7, Modifiers::COMMAND), None);
        // Common practice, no source: interfaces of switches send these.
        assert_eq!(
            [egui::Key::Space, egui::Key::Enter, egui::Key::Tab].map(|key| clinicians(key, Modifiers::NONE)),
            [None; 3]
        );
    }
}
