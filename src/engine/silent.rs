//! The silent path: to the next thing worth seeing, without every step between.

use super::Engine;
use super::effect::{Effect, Lit};
use super::scan::{Clock, Scanner, State};
use super::sink::Sink;
use super::tree::{EntryIx, GroupIx};
use crate::settings::Technique;
use crate::time::{Moment, Span};

/// What [`Engine::run_until`] stops at. Whatever is no highlight always stops it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Watch {
    /// The entry whose lighting stops it; `None` for no entry.
    pub entry: Option<(GroupIx, EntryIx)>,
}

impl Watch {
    /// Whether this effect stops it.
    #[must_use]
    pub fn sees(self, effect: &Effect) -> bool {
        match effect {
            Effect::Highlight { lit: Lit::Entry { group, entry, .. }, .. } => self.entry == Some((*group, *entry)),
            Effect::Highlight { lit: Lit::Nothing, .. } => false,
            _ => true,
        }
    }
}

impl Engine {
    /// Runs to the first instant, not after `limit`, at which something watched happens, and gives
    /// that instant. Without one everything up to `limit` is done and nothing is given.
    ///
    /// The sink gets all that is watched, and highlights besides: those of the last instant, and of
    /// those on the way the ones that it did not jump over.
    ///
    /// Where each highlight counts as shown at once ([`Engine::assume_shown`]) and the highlight moves
    /// by itself, it jumps over the entries between in one addition. What it leaves behind is the
    /// same as after [`Engine::advance`], but for the memory of highlights that nobody saw.
    // Its callers are loops of counted selections, where it is most of the work.
    #[inline(always)]
    pub fn run_until(&mut self, limit: Moment, watch: Watch, sink: &mut impl Sink) -> Option<Moment> {
        loop {
            // In the instant of a filter's deadline that comes first, and the step may not come at all.
            let quiet_until = limit.min(Moment(self.filters_due.0.saturating_sub(1)));
            match self.scanner.jump(quiet_until, watch, sink) {
                Jump::ToWatched => return Some(self.now()),
                Jump::On => continue,
                Jump::Not => {}
            }
            let due = self.due();
            if due > limit || due == Moment::NEVER {
                self.scanner.reach(limit);
                return None;
            }
            if self.advance_seeing(due, watch, sink) {
                return Some(due);
            }
        }
    }

    /// As [`Engine::advance`]; `true` when something watched happened.
    fn advance_seeing(&mut self, now: Moment, watch: Watch, sink: &mut impl Sink) -> bool {
        let mut seen = false;
        self.advance(now, &mut |at, effect: Effect| {
            seen |= watch.sees(&effect);
            sink.effect(at, effect);
        });
        seen
    }
}

/// What became of a jump.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Jump {
    /// There was nothing to jump over.
    Not,
    /// Over entries that nobody watches.
    On,
    ToWatched,
}

impl Scanner {
    /// Moves the highlight on to the watched entry, or else as far as it gets in this pass by
    /// `quiet_until`.
    #[inline]
    fn jump(&mut self, quiet_until: Moment, watch: Watch, sink: &mut impl Sink) -> Jump {
        let State::Lit(scan) = &mut self.state else { return Jump::Not };
        let Clock::At(next) = scan.clock else { return Jump::Not };
        let moves_itself = self.assume_shown == Some(Span::ZERO) && self.rules.technique == Technique::Automatic;
        // What an old stamp has begun may be overdue; then several steps fall into this instant.
        if !moves_itself || next > quiet_until || next < self.now {
            return Jump::Not;
        }
        let last = self.tree.group(scan.group).entries.len() as u16 - 1;
        let stop = match watch.entry {
            Some((group, entry)) if group == scan.group && entry > scan.entry => last.min(entry.0),
            _ => last,
        };
        if stop <= scan.entry.0 {
            return Jump::Not;
        }
        let interval = self.rules.interval;
        let due_after = |steps: u64| next + interval.times(steps - 1);
        let mut steps = u64::from(stop - scan.entry.0);
        if due_after(steps) > quiet_until {
            steps = quiet_until.since(next).0 / interval.0 + 1;
        }
        let due = due_after(steps);
        scan.entry.0 += steps as u16;
        (scan.due, scan.wanted, scan.clock) = (due, due, Clock::At(due + interval));
        let jump = if watch.entry == Some((scan.group, scan.entry)) { Jump::ToWatched } else { Jump::On };
        let lit = scan.lit();
        self.screen.skip_numbers(steps - 1);
        self.reach(due);
        self.send(lit, due, sink);
        jump
    }
}
