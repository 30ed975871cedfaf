//! What the window runs: something that takes stamped inputs and says what is to be seen.

use std::any::Any;

use crate::practice::sitting::Sitting;
use crate::session::Session;
use crate::session::input::{Input, Rating};
use crate::session::record::Record;
use crate::session::scene::Scene;
use crate::sound::cue::{Cue, cues};
use crate::time::{Moment, Span};

/// A session, or whatever stands in its place in a test or a bench. It never reads a clock. Whichever thread has a stamp
/// hands it in, one at a time.
pub trait Machine: Any + Send {
    /// Something happened at `at`; all that follows is added to `out`.
    fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>);

    /// Does all that is due up to and including `now`.
    fn advance(&mut self, now: Moment, out: &mut Vec<Record>);

    /// When [`Machine::advance`] has to be called next.
    fn deadline(&self) -> Option<Moment>;

    /// What is to be seen now.
    fn scene(&self) -> &Scene;

    /// It is over.
    fn finished(&self) -> bool;

    /// A wake later than this after the deadline is a stall.
    fn stall_limit(&self) -> Span;

    /// The question that a digit answers now.
    fn question(&self) -> Option<Rating>;

    /// The switch is in the assessor's hands now.
    fn in_assessors_hands(&self) -> bool;

    /// The scan interval from the next trial on, where the clinician may change it.
    fn interval(&self) -> Option<Span> {
        None
    }

    /// It waits because the clinician asked it to.
    fn paused_by_clinician(&self) -> bool {
        false
    }

    /// The client works it alone: what needs somebody is rung for.
    fn alone(&self) -> bool {
        false
    }

    /// Somebody who is not the client has to confirm something before it goes on.
    fn to_confirm(&self) -> bool {
        false
    }

    /// A pointer works it, and it has to be told where the tiles of its scene stand.
    fn wants_tiles(&self) -> bool {
        false
    }

    /// A pointer works it.
    fn takes_pointer(&self) -> bool {
        false
    }

    /// What is to be heard of what it has just done.
    fn cues(&self, _: &[Record]) -> Vec<Cue> {
        Vec::new()
    }
}

impl Machine for Session {
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

    fn finished(&self) -> bool {
        Session::finished(self)
    }
    fn stall_limit(&self) -> Span {
        Session::stall_limit(self)
    }

    fn question(&self) -> Option<Rating> {
        Session::rating_asked(self)
    }

    fn in_assessors_hands(&self) -> bool {
        Session::in_assessors_hands(self)
    }

    fn interval(&self) -> Option<Span> {
        Some(Session::scan_interval(self))
    }

    fn paused_by_clinician(&self) -> bool {
        Session::paused_by_clinician(self)
    }

    fn wants_tiles(&self) -> bool {
        Session::wants_tiles(self)
    }

    fn takes_pointer(&self) -> bool {
        Session::takes_pointer(self)
    }

    fn cues(&self, records: &[Record]) -> Vec<Cue> {
        cues(self, records)
    }
}

impl Machine for Sitting {
    fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        Sitting::input(self, at, input, out);
    }

    fn advance(&mut self, now: Moment, out: &mut Vec<Record>) {
        Sitting::advance(self, now, out);
    }

    fn deadline(&self) -> Option<Moment> {
        Sitting::deadline(self)
    }

    fn scene(&self) -> &Scene {
        Sitting::scene(self)
    }

    fn finished(&self) -> bool {
        Sitting::finished(self)
    }

    fn stall_limit(&self) -> Span {
        self.session().stall_limit()
    }

    /// Nobody is there to type an answer.
    fn question(&self) -> Option<Rating> {
        None
    }

    fn in_assessors_hands(&self) -> bool {
        self.session().in_assessors_hands()
    }

    fn alone(&self) -> bool {
        true
    }

    fn wants_tiles(&self) -> bool {
        self.session().wants_tiles()
    }

    fn takes_pointer(&self) -> bool {
        self.session().takes_pointer()
    }

    fn cues(&self, records: &[Record]) -> Vec<Cue> {
        cues(self.session(), records)
    }

    fn to_confirm(&self) -> bool {
        Sitting::to_confirm(self).is_some()
    }
}
