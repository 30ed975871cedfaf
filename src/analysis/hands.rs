//! In whose hands the switch is while a session is read.

use crate::session::event::Event;
use crate::session::input::Input;
use crate::session::record::{Record, What};

/// Where the switch is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Hands {
    /// In the assessor's; so it is until the first block.
    pub mine: bool,
    /// The session waits.
    pub paused: bool,
}

impl Hands {
    /// At the beginning of a session.
    pub fn new() -> Hands {
        Hands { mine: true, paused: false }
    }

    /// What the record changes.
    pub fn take(&mut self, record: &Record) {
        match &record.what {
            What::Input(Input::MyPresses { on: true }) => self.mine = true,
            // A pause keeps the switch where it was; going on hands it to the client.
            What::Input(Input::MyPresses { on: false } | Input::Next | Input::SkipBlock) if !self.paused => {
                self.mine = false;
            }
            What::Event(Event::BlockBegan { .. } | Event::TrialBegan { .. }) => {
                *self = Hands { mine: false, paused: false }
            }
            What::Event(Event::Paused { .. }) => self.paused = true,
            What::Event(Event::Resumed) => self.paused = false,
            _ => {}
        }
    }
}
