//! Closing the desk: what is not saved is saved first; what cannot be is somebody's to decide about.

use std::path::PathBuf;

use egui::{Key, TextEdit, Ui};

use super::parts::{aside, heading, main_button, strong};
use super::state::{Desk, Wish, plain};
use super::theme::NEAR;
use crate::code::ClientCode;
use crate::desk::person::Person;

/// A desk that is to be closed.
#[derive(Clone, Debug, Default)]
pub struct Closing {
    /// The folder that is typed, for what the data folder does not take.
    folder: String,
    /// Why nothing could be saved there.
    failed: Option<String>,
    /// Whatever is not saved.
    anyway: bool,
}

impl Desk {
    /// Somebody wants to close the desk. `elsewhere` is a folder that is likely to take files.
    pub fn close(&mut self, elsewhere: &str) {
        if self.closing.is_none() {
            self.note_remark();
            self.try_again();
            self.closing = Some(Closing { folder: elsewhere.into(), ..Closing::default() });
        }
    }

    /// Nothing would be lost, or it is to be.
    #[must_use]
    pub fn may_close(&self) -> bool {
        self.closing.as_ref().is_some_and(|closing| closing.anyway || self.unkept().is_empty())
    }

    /// The clients of whom something is only at the desk, as it stands there.
    fn unkept(&self) -> Vec<(ClientCode, Person)> {
        // Of a client whose file is damaged nothing is kept; only what was typed all the same is here.
        let typed = |code: &&String| self.people.get(*code).is_some_and(|person| *person != Person::default());
        let codes = self.unsaved.keys().chain(self.damaged.keys().filter(typed));
        codes.filter_map(|code| Some((code.parse().ok()?, self.people.get(code)?.clone()))).collect()
    }

    pub(super) fn saved_elsewhere(&mut self, saved: Result<(), String>) {
        if let Some(closing) = &mut self.closing {
            closing.anyway |= saved.is_ok();
            closing.failed = saved.err().map(|why| plain(&why));
        }
    }
}

/// What stands in place of a screen: nothing is closed before somebody has answered.
pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words;
    let unkept = desk.unkept();
    let Some(closing) = &mut desk.closing else { return };
    heading(ui, &words.closing);
    let codes: Vec<&str> = unkept.iter().map(|(code, _)| code.as_str()).collect();
    ui.label(format!("{}: {}.", words.closing_unsaved, codes.join(", ")));
    ui.add_space(NEAR);
    let mut stay = ui.input(|input| input.key_pressed(Key::Escape));
    let mut save = false;
    ui.horizontal_wrapped(|ui| {
        stay |= main_button(ui, &words.closing_stay).clicked();
        closing.anyway |= ui.button(&words.closing_anyway).clicked();
    });
    ui.add_space(NEAR);
    let label = ui.label(&words.closing_folder);
    ui.horizontal_wrapped(|ui| {
        ui.add(TextEdit::singleline(&mut closing.folder).desired_width(420.0)).labelled_by(label.id);
        save = ui.add_enabled(!closing.folder.trim().is_empty(), egui::Button::new(&words.closing_elsewhere)).clicked();
    });
    aside(ui, &words.closing_back);
    closing.failed.iter().for_each(|why| _ = ui.label(strong(why)));
    let folder = PathBuf::from(closing.folder.trim());
    if save {
        desk.wishes.push(Wish::SaveElsewhere(folder, unkept));
    }
    if stay {
        desk.closing = None;
    }
}
