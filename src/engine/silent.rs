//! The silent path: to the next thing worth seeing, without every step between.

use super::Engine;
use super::effect::{Effect, Lit};
use super::scan::{Clock, Scan, State};
use super::sink::Sink;
use super::tree::{EntryIx, GroupIx};
use crate::settings::Technique;
use crate::time::Moment;

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

/// The effects of one instant, until it is known whether they are wanted. More than a few come only
/// when several switches change together, and only those need memory of their own.
#[derive(Default)]
struct Held {
    few: [Option<(Moment, Effect)>; 4],
    count: usize,
    more: Vec<(Moment, Effect)>,
}

impl Held {
    #[inline]
    fn add(&mut self, at: Moment, effect: Effect) {
        match self.few.get_mut(self.count) {
            Some(place) => *place = Some((at, effect)),
            None => self.more.push((at, effect)),
        }
        self.count += 1;
    }

    fn pass_on(self, sink: &mut impl Sink) {
        self.few.into_iter().flatten().chain(self.more).for_each(|(at, effect)| sink.effect(at, effect));
    }
}

impl Engine {
    /// Runs to the first instant, not after `limit`, at which something watched happens, and gives
    /// that instant; all effects of that instant go to the sink, those before it go nowhere. Without
    /// such an instant everything up to `limit` is done and nothing is given.
    ///
    /// Where each highlight counts as shown at once ([`Engine::assume_shown`]) and the highlight moves
    /// by itself, it jumps over the entries between in one addition. What it leaves behind is the
    /// same as after [`Engine::advance`], but for the memory of highlights that nobody saw.
    pub fn run_until(&mut self, limit: Moment, watch: Watch, sink: &mut impl Sink) -> Option<Moment> {
        loop {
            self.jump(limit, watch);
            let due = self.deadline().filter(|due| *due <= limit);
            let Some(due) = due else {
                self.now = self.now.max(limit);
                return None;
            };
            let mut seen = false;
            let mut held = Held::default();
            self.advance(due, &mut |at, effect: Effect| {
                seen |= watch.sees(&effect);
                held.add(at, effect);
            });
            if seen {
                held.pass_on(sink);
                return Some(due);
            }
        }
    }

    /// Moves the highlight to the entry before the next one that matters: the watched one, or the
    /// last of the pass.
    fn jump(&mut self, limit: Moment, watch: Watch) {
        let State::Lit(scan) = self.state else { return };
        let Clock::At(next) = scan.clock else { return };
        let moves_itself = self.assume_shown && self.rules.technique == Technique::Automatic;
        if !moves_itself || next > limit {
            return;
        }
        let last = self.tree.group(scan.group).entries.len() as u16 - 1;
        let stop = match watch.entry {
            Some((group, entry)) if group == scan.group && entry > scan.entry => last.min(entry.0 - 1),
            _ => last,
        };
        // In the instant of a filter's deadline that comes first, and the step may not come at all.
        let quiet_until = limit.min(Moment(self.filters_due().0.saturating_sub(1)));
        let in_time = quiet_until.since(next).0 / self.rules.interval.0.max(1) + u64::from(next <= quiet_until);
        let steps = u64::from(stop.saturating_sub(scan.entry.0)).min(in_time);
        if steps == 0 {
            return;
        }
        let due = next + self.rules.interval.times(steps - 1);
        let entry = EntryIx(scan.entry.0 + steps as u16);
        self.screen.skip_numbers(steps - 1);
        let lit = Lit::Entry { group: scan.group, entry, pass: scan.pass };
        self.screen.send(due, due, lit);
        let clock = Clock::At(due + self.rules.interval);
        self.state = State::Lit(Scan { entry, due, wanted: due, clock, ..scan });
        self.now = self.now.max(due);
    }
}
