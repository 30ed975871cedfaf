//! What is left of a pass over a group while nothing but the clock moves the highlight: plain arithmetic.

use super::Engine;
use super::effect::{Activation, Effect, Lit, Switch};
use super::scan::{Clock, Scan, Scanner, State};
use super::screen::Flash;
use super::sink::Sink;
use super::tree::{EntryIx, GroupIx};
use crate::settings::Technique;
use crate::time::{Moment, Span};

/// The rest of a pass, from the entry that is lit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rest {
    scan: Scan,
    /// When the next entry lights, or the pass ends.
    next: Moment,
    interval: Span,
    /// The last entry.
    last: u16,
}

impl Rest {
    /// What lights and when, if it is this entry and later in this pass; or, if `fresh`, the one that is lit.
    #[inline]
    #[must_use]
    pub fn lights(&self, group: GroupIx, entry: EntryIx, fresh: bool) -> Option<(Moment, Lit)> {
        let comes = entry > self.scan.entry || (fresh && entry == self.scan.entry);
        (comes && group == self.scan.group).then(|| (self.due(entry.0), Scan { entry, ..self.scan }.lit()))
    }

    /// When the pass ends.
    #[inline]
    #[must_use]
    pub fn ends(&self) -> Moment {
        self.due(self.last + 1)
    }

    /// The entry that is lit at this instant, and how far on it is.
    #[inline]
    fn at(&self, at: Moment) -> (Scan, u64) {
        let steps = if at < self.next { 0 } else { at.since(self.next).0 / self.interval.0 + 1 };
        let entry = EntryIx(self.scan.entry.0 + steps as u16);
        let due = self.due(entry.0);
        (Scan { entry, due, wanted: due, clock: Clock::At(due + self.interval), ..self.scan }, steps)
    }

    /// When this entry is due, or was if it is the one that is lit.
    #[inline]
    fn due(&self, entry: u16) -> Moment {
        let steps = u64::from(entry - self.scan.entry.0);
        if steps == 0 { self.scan.due } else { Moment(self.next.0 + self.interval.0 * (steps - 1)) }
    }
}

impl Engine {
    /// The rest of the pass, where each highlight counts as shown at once ([`Engine::assume_shown`]), the
    /// highlight moves by itself, and until the end of the pass nothing but the clock does anything.
    #[inline]
    #[must_use]
    pub fn rest(&self) -> Option<Rest> {
        let scanner = &self.scanner;
        let State::Lit(scan) = scanner.state else { return None };
        let Clock::At(next) = scan.clock else { return None };
        let moves_itself = scanner.assume_shown == Some(Span::ZERO) && scanner.rules.technique == Technique::Automatic;
        let last = scanner.tree.group(scan.group).entries.len() as u16 - 1;
        let rest = Rest { scan, next, interval: scanner.rules.interval, last };
        (moves_itself && next >= scanner.now && rest.ends() < self.filters_due).then_some(rest)
    }

    /// Goes on to this instant, before the end of the pass. Nobody is told of the highlights on the way.
    #[inline]
    pub fn skip_to(&mut self, at: Moment, rest: &Rest) {
        if at >= rest.next {
            let (scan, steps) = rest.at(at);
            self.scanner.state = State::Lit(scan);
            self.scanner.screen.skip_numbers(steps - 1);
            self.scanner.screen.send(scan.due, scan.due, scan.lit());
        }
        self.scanner.reach(at);
    }

    /// [`Engine::skip_to`], and [`Engine::tap`] there.
    #[inline(always)]
    pub fn skip_and_tap(&mut self, at: Moment, rest: &Rest, switch: Switch, sink: &mut impl Sink) {
        let takes = self.scanner.roles.is_none() && at >= self.scanner.acts_from && self.scanner.screen.is_usable();
        match self.filters.get_mut(usize::from(switch.0)) {
            Some(filter) if takes && !self.filter_rules.lockout_restarts && filter.is_clear_at(at) => {
                filter.counts_at(at);
                self.scanner.skip_and_take(at, rest, switch, sink);
            }
            _ => {
                self.skip_to(at, rest);
                self.tap(at, switch, sink);
            }
        }
    }
}

impl Scanner {
    /// A press takes what is lit then, and no state is left behind of what lit before.
    #[inline(always)]
    fn skip_and_take(&mut self, at: Moment, rest: &Rest, switch: Switch, sink: &mut impl Sink) {
        let (scan, steps) = rest.at(at);
        let number = self.screen.number_after(steps);
        self.reach(at);
        let by = Activation { switch, pressed: at, accepted: at };
        self.tell(Effect::Pressed { switch, edge: at }, sink);
        self.tell(Effect::Activated(by), sink);
        self.act(Flash { number, due: scan.due, shown: scan.due, lit: scan.lit() }, by, sink);
        self.tell(Effect::Released { switch, pressed: at, edge: at }, sink);
    }
}
