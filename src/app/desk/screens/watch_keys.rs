//! What the clinician can do while the board is open: each as a button, and as the key that does it at the board.

use egui::{Button, TextEdit, Ui};

use crate::app::desk::parts::{aside, heading, strong};
use crate::app::desk::state::Desk;
use crate::app::desk::theme::NARROW;
use crate::app::keys::{Action, RESERVED};
use crate::desk::watch::Watch;
use crate::desk::words::Words;
use crate::session::Session;
use crate::session::input::{Input, Interruption, Rating};

/// No remark is longer, in characters.
const LONGEST: usize = 400;

/// What begins, waits, goes on and ends: always in sight.
pub(super) fn flow(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words;
    let Some(running) = &desk.running else { return };
    let (mouse, begun) = (!running.takes_the_mouse(), running.watch.is_some());
    let asked = running.watch.as_ref().and_then(Watch::session).and_then(Session::rating_asked);
    let mut wanted = Wanted::default();
    ui.add_enabled_ui(mouse, |ui| {
        ui.horizontal_wrapped(|ui| {
            closer(ui);
            ways(ui, words, begun, &mut wanted);
        });
        asked.into_iter().for_each(|question| rate(ui, words, question, &mut wanted));
    });
    if !mouse {
        aside(ui, &words.mouse_is_switch);
    }
    wanted.ask(desk);
    own_words(ui, desk);
}

/// On the smallest screen all buttons of a line stand in one.
fn closer(ui: &mut Ui) {
    if ui.available_width() < NARROW {
        ui.spacing_mut().item_spacing.x = 3.0;
        ui.spacing_mut().button_padding.x = 7.0;
    }
}

/// What is noted of the trial that runs, once the session has begun.
pub(super) fn marks(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words;
    let Some(running) = desk.running.as_ref().filter(|running| running.watch.is_some()) else { return };
    let mut wanted = Wanted::default();
    ui.add_enabled_ui(!running.takes_the_mouse(), |ui| {
        ui.horizontal_wrapped(|ui| trial(ui, words, &mut wanted));
        ui.horizontal_wrapped(|ui| came_between(ui, words, &mut wanted));
        ui.horizontal_wrapped(|ui| {
            closer(ui);
            remarks(ui, words, running.may_remark(), &mut wanted);
        });
    });
    if !running.takes_the_mouse() {
        aside(ui, &words.desk_keys);
    }
    wanted.ask(desk);
}

/// The remark that is being written, in sight of what begins and ends.
fn own_words(ui: &mut Ui, desk: &mut Desk) {
    let (words, writes) = (desk.words, desk.takes_remark());
    let Some(text) = desk.running.as_mut().and_then(|running| running.remark.as_mut()) else { return };
    let (mut done, mut away) = (false, false);
    ui.horizontal_wrapped(|ui| {
        let field = TextEdit::singleline(text).hint_text(&words.remark_hint).desired_width(380.0).char_limit(LONGEST);
        let label = ui.label(strong(&words.remark));
        let field = ui.add(field).labelled_by(label.id);
        if writes && !field.has_focus() {
            field.request_focus();
        }
        done = ui.add_enabled(!text.trim().is_empty(), Button::new(&words.remark_note)).clicked();
        away = ui.button(&words.remark_away).clicked();
    });
    aside(ui, if writes { &words.remark_waits } else { &words.remark_pause });
    if done {
        desk.note_remark();
    } else if away && let Some(running) = &mut desk.running {
        running.remark = None;
    }
}

/// What was clicked.
#[derive(Default)]
struct Wanted {
    actions: Vec<Action>,
    inputs: Vec<Input>,
    remark: bool,
    end: bool,
}

impl Wanted {
    fn button(&mut self, ui: &mut Ui, text: &str, action: Action) {
        let key = RESERVED.iter().find(|one| one.action == action).map_or("", |one| one.label);
        if ui.button(format!("{text} ({key})")).clicked() {
            self.actions.push(action);
        }
    }

    fn ask(self, desk: &mut Desk) {
        self.actions.into_iter().for_each(|action| desk.act(action));
        self.inputs.into_iter().for_each(|input| desk.ask(input));
        if self.remark {
            desk.begin_remark();
        }
        if self.end {
            desk.note_remark();
            desk.ask(Input::End);
        }
    }
}

fn ways(ui: &mut Ui, words: &Words, begun: bool, wanted: &mut Wanted) {
    if begun {
        wanted.button(ui, &words.go_on, Action::Next);
        wanted.button(ui, &words.pause, Action::Pause);
        wanted.button(ui, &words.slower_scan, Action::Slower);
        wanted.button(ui, &words.faster_scan, Action::Faster);
        wanted.button(ui, &words.skip_block, Action::SkipBlock);
        wanted.button(ui, &words.my_presses, Action::MyPresses);
    }
    // Before the session has begun there is none whose state could be asked.
    let key = RESERVED.iter().find(|one| one.action == Action::End).map_or("", |one| one.label);
    if ui.button(format!("{} ({key})", words.end_trial)).clicked() {
        wanted.end = true;
    }
}

fn trial(ui: &mut Ui, words: &Words, wanted: &mut Wanted) {
    ui.label(strong(&words.mark));
    wanted.button(ui, &words.helped_words, Action::PromptSpoken);
    wanted.button(ui, &words.helped_touch, Action::PromptTouched);
    wanted.button(ui, &words.leave_out, Action::Exclude);
}

fn came_between(ui: &mut Ui, words: &Words, wanted: &mut Wanted) {
    ui.label(strong(format!("{} (F7)", words.came_between)));
    let kinds = [
        (&words.cough, Interruption::Cough),
        (&words.suction, Interruption::Suction),
        (&words.spasm, Interruption::Spasm),
        (&words.talk, Interruption::Talk),
        (&words.care, Interruption::Care),
    ];
    for (word, interruption) in kinds {
        if ui.button(word).clicked() {
            wanted.inputs.push(Input::Interruption { interruption });
        }
    }
}

/// Words that are often wanted, and other words, for which the board waits: the keyboard is the client's.
fn remarks(ui: &mut Ui, words: &Words, may_write: bool, wanted: &mut Wanted) {
    ui.label(strong(&words.remark));
    for text in [&words.remark_tired, &words.remark_moved, &words.remark_position, &words.remark_pain] {
        if ui.button(text).clicked() {
            wanted.inputs.push(Input::Note { text: text.clone() });
        }
    }
    wanted.remark |= ui.add_enabled(may_write, Button::new(&words.remark_write)).clicked();
}

/// The client's answer about the last block.
fn rate(ui: &mut Ui, words: &Words, question: Rating, wanted: &mut Wanted) {
    let text = match question {
        Rating::Effort => &words.effort,
        Rating::Discomfort => &words.discomfort,
        Rating::Dizziness => &words.dizziness,
        Rating::Preference => &words.preference,
    };
    heading(ui, text);
    ui.horizontal_wrapped(|ui| {
        for value in 0..=question.greatest() {
            if ui.button(value.to_string()).clicked() {
                wanted.inputs.push(Input::Rate { question, value });
            }
        }
    });
}
