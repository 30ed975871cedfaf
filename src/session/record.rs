//! One record of a session: what happened, or what was done about it.

use serde::Serialize;

use super::event::Event;
use super::input::Input;
use crate::engine::effect::{Effect, Switch};
use crate::time::Moment;

/// A record with its instant; the log writes one a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Stamp of an input, or instant of an effect or event.
    pub at: Moment,
    /// What it is.
    pub what: What,
}

impl What {
    /// A raw edge, wherever it comes from.
    #[must_use]
    pub fn edge(&self) -> Option<(Switch, bool)> {
        match self {
            What::Input(Input::Edge { switch, down }) | What::Event(Event::LevelEdge { switch, down }) => {
                Some((*switch, *down))
            }
            _ => None,
        }
    }
}

/// An input, an effect of the engine or an event of the session. In JSON the tag (`in`, `out`,
/// `event`) tells which.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum What {
    /// It happened to the session.
    Input(Input),
    /// The engine did it.
    Effect(Effect),
    /// The session did it.
    Event(Event),
}
