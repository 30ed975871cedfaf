//! What the pointer makes the scanner do in dwell.

use super::Engine;
use super::effect::{Activation, Effect, Lit, Spot, Switch};
use super::pointer::Move;
use super::scan::{Scan, Scanner, State};
use super::sink::Sink;
use super::tree::{EntryIx, GroupIx};
use crate::settings::Technique;
use crate::time::Moment;

impl Engine {
    /// Where the entries of the group stand that is to be chosen from, in their order. Needed anew
    /// whenever [`Engine::wants_layout`]; a spot without width is nowhere.
    pub fn lay_out(&mut self, now: Moment, spots: Vec<Spot>, sink: &mut impl Sink) {
        self.advance(now, sink);
        let moved = self.scanner.pointer.lay_out(self.scanner.now, spots);
        self.scanner.follow(moved, sink);
    }

    /// The pointer is here, or has left the screen.
    pub fn point(&mut self, at: Moment, place: Option<(i32, i32)>, sink: &mut impl Sink) {
        self.advance(at, sink);
        let moved = self.scanner.pointer.point(self.scanner.now, place);
        self.scanner.follow(moved, sink);
    }

    /// A pointer works this, and nobody has said yet where the entries stand.
    #[must_use]
    pub fn wants_layout(&self) -> bool {
        let scanner = &self.scanner;
        scanner.points() && scanner.is_scanning() && scanner.pointer.is_unplaced()
    }
}

impl Scanner {
    pub fn points(&self) -> bool {
        self.rules.technique == Technique::Dwell
    }

    pub fn pointer_due(&self) -> Moment {
        if self.points() { self.pointer.due() } else { Moment::NEVER }
    }

    /// Does what is due of the pointer, where this entry is lit.
    pub fn pointer_runs(&mut self, scan: Scan, at: Moment, sink: &mut impl Sink) {
        match self.pointer.run() {
            Some(Move::Filled { eighths }) => self.tell(Effect::Filled { eighths }, sink),
            Some(Move::Take { since, .. }) => self.take_rested(scan, since, sink),
            Some(Move::Off { since, until, .. }) => {
                self.stayed((scan.group, scan.entry), since, until, false, sink);
                self.state = State::Ready { group: scan.group };
                self.darken(sink);
                let moved = self.pointer.after_leaving(at);
                self.follow(moved, sink);
            }
            Some(Move::On { .. }) | None => {}
        }
    }

    /// The pointer has come to rest on an entry: it is lit.
    fn follow(&mut self, moved: Option<Move>, sink: &mut impl Sink) {
        let (Some(Move::On { entry }), State::Ready { group }) = (moved, self.state) else { return };
        let count = self.tree.group(group).entries.len();
        if self.points() && usize::from(entry) < count {
            let scan = Scan { entry: EntryIx(entry), ..Scan::first(group, self.now) };
            self.light(scan, self.now, sink);
        }
    }

    fn take_rested(&mut self, scan: Scan, since: Moment, sink: &mut impl Sink) {
        self.stayed((scan.group, scan.entry), since, self.now, true, sink);
        let flash = *self.screen.newest();
        if flash.shown == Moment::NEVER || flash.lit == Lit::Nothing {
            return self.stalled(sink);
        }
        self.act(flash, Activation { switch: Switch(0), pressed: since, accepted: self.now }, sink);
    }

    fn stayed(
        &self,
        (group, entry): (GroupIx, EntryIx),
        since: Moment,
        until: Moment,
        taken: bool,
        sink: &mut impl Sink,
    ) {
        self.tell(Effect::Rested { group, entry, since, until, taken }, sink);
    }
}
