//! A session that does again what a log tells, record by record.

use std::collections::VecDeque;

use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::session::{Plan, Session};

/// The session, and what it did that the log has not told yet.
#[derive(Clone, Debug)]
pub struct Follower {
    session: Session,
    done: VecDeque<Record>,
    fresh: Vec<Record>,
}

impl Follower {
    /// Nothing has been told.
    #[must_use]
    pub fn new(plan: Plan) -> Follower {
        Follower { session: Session::new(plan), done: VecDeque::new(), fresh: Vec::new() }
    }

    /// What the session does where the log tells `record`: the same, as long as the two agree.
    pub fn next(&mut self, record: &Record) -> Option<Record> {
        match &record.what {
            What::Input(input) => {
                self.session.input(record.at, input.clone(), &mut self.fresh);
                // The log's own ones have been followed already.
                self.fresh.retain(|fresh| fresh.what != What::Event(Event::Clock));
            }
            What::Event(Event::Clock) if self.done.is_empty() => {
                self.fresh.push(record.clone());
                self.session.advance(record.at, &mut self.fresh);
            }
            _ if self.done.is_empty() => self.session.advance(record.at, &mut self.fresh),
            _ => {}
        }
        self.done.extend(self.fresh.drain(..));
        self.done.pop_front()
    }

    /// The first thing that it did and the log has not told.
    #[must_use]
    pub fn ahead(&self) -> Option<&Record> {
        self.done.front()
    }

    /// The session as it stands.
    #[must_use]
    pub fn session(&self) -> &Session {
        &self.session
    }
}
