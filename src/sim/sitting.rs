//! A virtual client and a virtual clinician sit through a session on a virtual clock.

use std::collections::VecDeque;

use super::client::Client;
use super::notice::Notice;
use super::pointer;
use crate::session::event::BlockKind;
use crate::session::input::{Input, Rating};
use crate::session::record::Record;
use crate::session::scene::Scene;
use crate::session::{Asked, Session};
use crate::time::{Moment, Span};

/// From a scene's instant to its frame.
const FRAME: Span = Span(8_333);
/// The clinician lets the client get used to the switch for this many presses.
const CONTACT_PRESSES: u32 = 5;
/// Between two things that the clinician does.
const CLINICIAN: Span = Span::from_ms(2_000);
/// The clinician ends a session in which a press is waited for and none has come for this long.
const PATIENCE: Span = Span::from_ms(5 * 60_000);
/// The clinician ends a session that is still not over.
const LONGEST: Span = Span::from_ms(2 * 3_600_000);
/// A sitting that goes on for so long after that has lost its way.
const LOST: Span = Span::from_ms(60_000);

/// Runs the session to its end and hands every record to `keep`, in order.
///
/// The clinician ends the session when a client does nothing for five minutes, and after two hours.
///
/// # Errors
/// When the session does not end even then.
pub fn sit(session: &mut impl Sits, client: &mut Client, keep: impl FnMut(&[Record])) -> Result<Moment, TooLong> {
    sit_for(LONGEST, session, client, keep)
}

/// The same with a clinician who ends the session after `longest`.
///
/// # Errors
/// When the session does not end even then.
pub fn sit_for(
    longest: Span,
    session: &mut impl Sits,
    client: &mut Client,
    mut keep: impl FnMut(&[Record]),
) -> Result<Moment, TooLong> {
    let mut sitting = Sitting { longest, ..Sitting::default() };
    let mut records = Vec::new();
    sitting.clinician_at = Moment::START + CLINICIAN;
    sitting.look(session, Moment::START);
    loop {
        let now = sitting.next(session, client);
        if session.finished() && sitting.frames.is_empty() {
            return Ok(sitting.now);
        }
        if now.since(Moment::START + longest) > LOST {
            return Err(TooLong);
        }
        sitting.now = now;
        let asked = session.asked();
        sitting.step(session, client, now, &mut records);
        sitting.watch(&records, asked, client);
        sitting.look_again(session, asked, client);
        sitting.look(session, now);
        sitting.point(session, client, &mut records);
        keep(&records);
        records.clear();
    }
}

/// What a client can sit through: a session, or a machine that runs one.
pub trait Sits {
    /// See [`Session::input`].
    fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>);
    /// See [`Session::advance`].
    fn advance(&mut self, now: Moment, out: &mut Vec<Record>);
    /// See [`Session::deadline`].
    fn deadline(&self) -> Option<Moment>;
    /// See [`Session::scene`].
    fn scene(&self) -> &Scene;
    /// See [`Session::asked`].
    fn asked(&self) -> Asked;
    /// See [`Session::finished`].
    fn finished(&self) -> bool;
    /// See [`Session::rating_asked`].
    fn rating_asked(&self) -> Option<Rating>;
    /// The session that runs.
    fn session(&self) -> &Session;
}

impl Sits for Session {
    fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        Session::input(self, at, input, out);
    }
    fn advance(&mut self, now: Moment, out: &mut Vec<Record>) {
        Session::advance(self, now, out);
    }
    fn deadline(&self) -> Option<Moment> {
        Session::deadline(self)
    }
    fn scene(&self) -> &Scene {
        Session::scene(self)
    }
    fn asked(&self) -> Asked {
        Session::asked(self)
    }
    fn finished(&self) -> bool {
        Session::finished(self)
    }
    fn rating_asked(&self) -> Option<Rating> {
        Session::rating_asked(self)
    }
    fn session(&self) -> &Session {
        self
    }
}

/// The session did not come to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLong;

/// What the people and the screen are about to do.
#[derive(Default)]
struct Sitting {
    /// The clinician ends the session after this.
    longest: Span,
    now: Moment,
    /// Frames on their way to the screen.
    frames: VecDeque<(Moment, u64)>,
    last_scene: Option<u64>,
    clinician_at: Moment,
    /// The last change of a switch, or the last instant at which no press was waited for.
    last_sign: Moment,
    notice: Notice,
}

impl Sitting {
    fn next(&self, session: &impl Sits, client: &Client) -> Moment {
        let frame = self.frames.front().map_or(Moment::NEVER, |(at, _)| *at);
        let session_due = session.deadline().unwrap_or(Moment::NEVER);
        let sample = if session.session().takes_pointer() { client.pointer.next_sample() } else { Moment::NEVER };
        session_due.min(frame).min(client.next_edge()).min(sample).min(self.clinician_at).max(self.now)
    }

    fn step(&mut self, session: &mut impl Sits, client: &mut Client, now: Moment, out: &mut Vec<Record>) {
        if session.deadline().is_some_and(|due| due <= now) {
            session.advance(now, out);
        } else if self.frames.front().is_some_and(|(at, _)| *at <= now) {
            self.show(session, client, now, out);
        } else if self.clinician_at <= now {
            self.clinician(session, now, out);
        } else if session.session().takes_pointer() && client.pointer.next_sample() <= now {
            let (x, y) = client.pointer.sample(now);
            session.input(now, Input::Pointer { x, y }, out);
        } else if let Some((switch, down)) = client.edge() {
            self.last_sign = now;
            session.input(now, Input::Edge { switch, down }, out);
        }
    }

    fn show(&mut self, session: &mut impl Sits, client: &mut Client, now: Moment, out: &mut Vec<Record>) {
        let Some((_, number)) = self.frames.pop_front() else { return };
        session.input(now, Input::Shown { number }, out);
        let view = self.notice.shown(number, now, session.asked());
        client.sees(&view);
    }

    /// Goes on where only the clinician can, and writes down what the client says of a block.
    fn clinician(&mut self, session: &mut impl Sits, now: Moment, out: &mut Vec<Record>) {
        self.clinician_at = now + CLINICIAN;
        if session.asked() != Asked::Press {
            self.last_sign = now;
        }
        if !session.finished() && (now.since(self.last_sign) >= PATIENCE || now.since(Moment::START) >= self.longest) {
            return session.input(now, Input::End, out);
        }
        if let Some(question) = session.rating_asked() {
            return session.input(now, Input::Rate { question, value: said(question) }, out);
        }
        let contact = matches!(self.notice.block, Some(BlockKind::FirstContact | BlockKind::SwitchCheck));
        let used_to_it = contact && self.notice.activations >= CONTACT_PRESSES;
        if now == Moment::START + CLINICIAN || used_to_it {
            self.notice.activations = 0;
            session.input(now, Input::Next, out);
        }
    }

    /// Notes what the records tell the people in the room.
    fn watch(&mut self, records: &[Record], asked: Asked, client: &mut Client) {
        for record in records {
            if let Some(told) = self.notice.take(record, asked) {
                client.told(record.at, told);
            }
        }
    }

    /// What only the client moves, it looks at again.
    fn look_again(&mut self, session: &impl Sits, before: Asked, client: &mut Client) {
        if let Some(view) = self.notice.looks_again(self.now, before, session.asked()) {
            client.sees(&view);
        }
    }

    /// Where the tiles stand is said when the session asks, and the client makes for what is wanted of them.
    fn point(&mut self, session: &mut impl Sits, client: &mut Client, out: &mut Vec<Record>) {
        if !session.session().takes_pointer() {
            return;
        }
        if session.session().wants_tiles() {
            session.input(self.now, Input::Tiles { spots: pointer::spots(session.scene()) }, out);
        }
        let spots = pointer::spots(session.scene());
        let wanted = session.session().wanted_tile(client.wants_rest());
        client.points_at(self.now, wanted.and_then(|tile| spots.get(tile)).copied(), &spots);
    }

    /// A new scene goes to the screen.
    fn look(&mut self, session: &impl Sits, now: Moment) {
        let number = session.scene().number;
        if self.last_scene != Some(number) {
            self.last_scene = Some(number);
            self.frames.push_back((now + FRAME, number));
        }
    }
}

/// What a virtual client says of every block: a little effort, and that this switch will do.
fn said(question: Rating) -> u8 {
    match question {
        Rating::Effort | Rating::Discomfort | Rating::Dizziness => 3,
        Rating::Preference => 1,
    }
}
