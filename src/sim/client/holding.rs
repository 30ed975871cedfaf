//! A switch that is held: in inverse scanning, and on a tile that has to be.

use super::super::hand::{Press, seconds};
use super::super::view::View;
use super::{Client, MOVES, on, press};
use crate::engine::effect::Lit;
use crate::engine::tree::{EntryIx, GroupIx};

impl Client {
    /// One press that is held until nothing is asked any more.
    pub(super) fn holds_down(&mut self, view: &View, wanted: (GroupIx, EntryIx)) {
        if view.lit.is_some_and(|lit| on(lit, wanted)) && self.hand.rests() && self.goes_for(view) {
            let latency = self.latency_s(view.at, true);
            self.hand.presses.push(Press { holds: true, ..press(view.at, latency, MOVES) });
            self.made(view);
        }
    }

    /// Inverse scanning: holds, and lets go on the wanted entry or when nothing is lit any more.
    pub(super) fn holds(&mut self, view: &View, wanted: (GroupIx, EntryIx)) {
        let Some(lit) = view.lit else { return };
        if !self.hand.holds() {
            if !self.hand.rests() {
                (self.seen, self.busy) = (Some(*view), true);
            } else if lit == Lit::Nothing && !self.lets_be {
                let latency = self.latency_s(view.at, false);
                self.hand.presses.push(Press { holds: true, ..press(view.at, latency, MOVES) });
            }
        } else if lit == Lit::Nothing || (on(lit, wanted) && self.goes_for(view)) {
            let latency = self.latency_s(view.at, on(lit, (wanted.0, EntryIx(0))));
            self.hand.let_go(view.at + seconds(latency));
            if lit == Lit::Nothing {
                // The hold came to nothing: it begins anew.
                (self.seen, self.busy) = (Some(*view), true);
            }
            self.made(view);
        }
    }

    /// Nothing is asked: a switch that is held is let go.
    pub(super) fn lets_loose(&mut self, view: &View) {
        if self.hand.holds() {
            let latency = self.latency_s(view.at, false);
            self.hand.let_go(view.at + seconds(latency));
        }
    }
}
