//! A virtual client and a virtual clinician sit through a session on a virtual clock.

use std::collections::VecDeque;

use super::client::Client;
use crate::engine::effect::{Effect, Lit, Switch};
use crate::engine::tree::{EntryIx, ScanTree};
use crate::session::event::{BlockKind, Event};
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::session::{Asked, Session};
use crate::time::{Moment, Span};

/// From a scene's instant to its frame.
const FRAME: Span = Span(8_333);
/// The clinician lets the client get used to the switch for this many presses.
const CONTACT_PRESSES: u32 = 5;
/// Between two things that the clinician does.
const CLINICIAN: Span = Span::from_ms(2_000);
/// A sitting longer than this has lost its way.
const LONGEST: Span = Span::from_ms(4 * 3_600_000);

/// Runs the session to its end and hands every record to `keep`, in order.
///
/// # Errors
/// When the session does not end within four hours of its own time.
pub fn sit(session: &mut Session, client: &mut Client, mut keep: impl FnMut(&[Record])) -> Result<Moment, TooLong> {
    let mut sitting = Sitting::default();
    let mut records = Vec::new();
    sitting.clinician_at = Moment::START + CLINICIAN;
    sitting.look(session, Moment::START);
    loop {
        let now = sitting.next(session, client);
        if session.finished() && sitting.frames.is_empty() {
            return Ok(sitting.now);
        }
        if now.since(Moment::START) > LONGEST {
            return Err(TooLong);
        }
        sitting.now = now;
        sitting.step(session, client, now, &mut records);
        sitting.watch(&records, client);
        sitting.look(session, now);
        keep(&records);
        records.clear();
    }
}

/// The session did not come to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLong;

/// What the people and the screen are about to do.
#[derive(Default)]
struct Sitting {
    now: Moment,
    /// Frames on their way to the screen.
    frames: VecDeque<(Moment, u64)>,
    last_scene: Option<u64>,
    clinician_at: Moment,
    /// Highlights and their numbers, not yet shown.
    highlights: VecDeque<(u64, Lit)>,
    in_contact: bool,
    contact_presses: u32,
}

impl Sitting {
    fn next(&self, session: &Session, client: &Client) -> Moment {
        let frame = self.frames.front().map_or(Moment::NEVER, |(at, _)| *at);
        let session_due = session.deadline().unwrap_or(Moment::NEVER);
        session_due.min(frame).min(client.next_edge()).min(self.clinician_at).max(self.now)
    }

    fn step(&mut self, session: &mut Session, client: &mut Client, now: Moment, out: &mut Vec<Record>) {
        if session.deadline().is_some_and(|due| due <= now) {
            session.advance(now, out);
        } else if self.frames.front().is_some_and(|(at, _)| *at <= now) {
            self.show(session, client, now, out);
        } else if self.clinician_at <= now {
            self.clinician(session, now, out);
        } else {
            let down = client.edge();
            session.input(now, Input::Edge { switch: Switch(0), down }, out);
        }
    }

    fn show(&mut self, session: &mut Session, client: &mut Client, now: Moment, out: &mut Vec<Record>) {
        let Some((_, number)) = self.frames.pop_front() else { return };
        session.input(now, Input::Shown { number }, out);
        let mut lit = None;
        while self.highlights.front().is_some_and(|(highlight, _)| *highlight <= number) {
            lit = self.highlights.pop_front().map(|(_, lit)| lit);
        }
        let asked = session.asked();
        let on = |wanted: (_, _)| matches!(lit, Some(Lit::Entry { group, entry, .. }) if (group, entry) == wanted);
        let on_wanted = matches!(asked, Asked::Entry(group, entry) if on((group, entry)));
        client.sees(now, asked, on_wanted, on((ScanTree::TOP, EntryIx(0))));
    }

    /// Goes on where only the clinician can, and writes down what the client says of a block.
    fn clinician(&mut self, session: &mut Session, now: Moment, out: &mut Vec<Record>) {
        self.clinician_at = now + CLINICIAN;
        if let Some(question) = session.rating_asked() {
            return session.input(now, Input::Rate { question, value: 3 }, out);
        }
        let used_to_it = self.in_contact && self.contact_presses >= CONTACT_PRESSES;
        if now == Moment::START + CLINICIAN || used_to_it {
            self.contact_presses = 0;
            session.input(now, Input::Next, out);
        }
    }

    /// Notes what the records tell the people in the room.
    fn watch(&mut self, records: &[Record], client: &mut Client) {
        for record in records {
            match &record.what {
                What::Effect(Effect::Highlight { number, lit, .. }) => self.highlights.push_back((*number, *lit)),
                What::Effect(Effect::Activated(_)) if self.in_contact => self.contact_presses += 1,
                What::Event(Event::Question) => client.question(),
                What::Event(Event::BlockBegan { kind, .. }) => self.in_contact = *kind == BlockKind::FirstContact,
                What::Event(Event::BlockEnded { .. }) => self.in_contact = false,
                _ => {}
            }
        }
    }

    /// A new scene goes to the screen.
    fn look(&mut self, session: &Session, now: Moment) {
        let number = session.scene().number;
        if self.last_scene != Some(number) {
            self.last_scene = Some(number);
            self.frames.push_back((now + FRAME, number));
        }
    }
}
