//! A remark in the clinician's own words while the board is open.
//!
//! The keyboard may be the client's switch, so the desk has it only while the board waits in the clinician's own pause:
//! then no switch works anything, and what it sends can at worst stand in the remark. Nothing that a switch sends notes
//! a remark or works a button (`running::admit`).

use super::running::Running;
use super::screens;
use super::state::Desk;
use crate::app::keys::Action;
use crate::desk::watch::Watch;
use crate::session::Session;
use crate::session::input::Input;

/// Whose the keyboard is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Keyboard {
    /// No board is open: the window that is clicked has it.
    #[default]
    Anybody,
    /// The board keeps it, whatever is clicked at the desk.
    Board,
    /// A remark is being written at the desk.
    Desk,
}

impl Running {
    /// A remark can be begun: the session runs, and what happens in it is known.
    #[must_use]
    pub fn may_remark(&self) -> bool {
        self.session().is_some_and(|session| !session.finished())
    }

    fn session(&self) -> Option<&Session> {
        self.watch.as_ref().and_then(Watch::session)
    }
}

impl Desk {
    /// Opens the field for a remark, for which the board waits.
    pub fn begin_remark(&mut self) {
        let Some(running) = self.running.as_mut().filter(|running| running.may_remark()) else { return };
        running.remark.get_or_insert_default();
        if !running.session().is_some_and(Session::paused_by_clinician) {
            self.act(Action::Pause);
        }
    }

    /// Whether what is typed is written into a remark now.
    #[must_use]
    pub fn takes_remark(&self) -> bool {
        let seen = [screens::switch::NAME, screens::trial::NAME].contains(&self.at);
        seen && self.running.as_ref().is_some_and(|running| {
            running.remark.is_some() && running.session().is_some_and(Session::paused_by_clinician)
        })
    }

    /// Notes the remark in the log, where one was written.
    pub fn note_remark(&mut self) {
        let written = self.running.as_mut().and_then(|running| running.remark.take());
        if let Some(text) = written.map(|text| text.trim().to_string()).filter(|text| !text.is_empty()) {
            self.ask(Input::Note { text });
        }
    }

    /// Whose the keyboard is now.
    #[must_use]
    pub fn keyboard(&self) -> Keyboard {
        match &self.running {
            None => Keyboard::Anybody,
            Some(_) if self.takes_remark() => Keyboard::Desk,
            Some(_) => Keyboard::Board,
        }
    }
}
