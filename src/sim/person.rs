//! Whoever works the switch in selections that are counted and not logged.

use super::client::Client;
use super::view::{Told, View};
use crate::engine::effect::Switch;
use crate::time::Moment;

/// Whoever works the switch.
pub trait Person {
    /// When the switch changes next; [`Moment::NEVER`] for not at all.
    fn next_edge(&self) -> Moment;
    /// A switch changes, at [`Person::next_edge`]: which one, and `true` when it closes.
    fn edge(&mut self) -> Option<(Switch, bool)>;
    /// Something is to be seen.
    fn sees(&mut self, view: &View);
    /// What the course of the work tells.
    fn told(&mut self, at: Moment, told: Told);
    /// What has to be shown to this person where the highlight moves by itself.
    fn heeds(&self) -> Heeds;
}

/// The highlights on which it depends what a person does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heeds {
    /// The wanted entry alone: one who reacts.
    Wanted,
    /// The entry before it, and one that is the first of its group: one who foresees.
    Before,
    /// Every one.
    All,
}

impl Person for Client {
    #[inline]
    fn next_edge(&self) -> Moment {
        Client::next_edge(self)
    }

    #[inline]
    fn edge(&mut self) -> Option<(Switch, bool)> {
        Client::edge(self)
    }

    #[inline]
    fn sees(&mut self, view: &View) {
        Client::sees(self, view);
    }

    fn told(&mut self, at: Moment, told: Told) {
        Client::told(self, at, told);
    }

    fn heeds(&self) -> Heeds {
        Client::heeds(self)
    }
}
