//! One selection after the other at the engine, counted and not logged.
//!
//! The runner jumps from one instant that matters to the next: an entry lights that the person waits
//! for, the switch changes, a group is entered or left. It never reads a clock and never looks at the
//! inside of person or engine. A selection lasts from the start of the scan (or the end of the pause
//! after the one before) to the choice of the wanted item, all errors and pauses between included.
//!
//! A scan that has stopped and waits for a press is started by the person; one that waits for
//! nothing is started by the runner.

use std::collections::VecDeque;
use std::sync::Arc;

use super::counts::Counts;
use super::errand::{Errand, Instant};
use super::person::{Heeds, Person};
use super::plan::Plan;
use super::view::{Told, View, stays};
use crate::engine::effect::{Input, Lit};
use crate::engine::tree::{EntryIx, GroupIx, ItemIx};
use crate::engine::{Engine, Watch};
use crate::rng::Stream;
use crate::session::Asked;
use crate::settings::Technique;
use crate::time::{Moment, Span};

/// A person at the engine.
pub struct Selecting<'a, P> {
    plan: &'a Plan,
    person: P,
    heeds: Heeds,
    engine: Engine,
    errand: Errand<'a>,
    /// Highlights whose frames are on their way.
    frames: VecDeque<(Moment, Lit)>,
}

impl<'a, P: Person> Selecting<'a, P> {
    /// A person before the scan, which has just begun.
    #[must_use]
    pub fn new(plan: &'a Plan, person: P) -> Selecting<'a, P> {
        let mut engine = Engine::new(Arc::clone(&plan.tree), &plan.settings);
        engine.shown_after(plan.lag());
        let moves_itself = plan.settings.technique() == Technique::Automatic;
        Selecting {
            plan,
            heeds: if moves_itself { person.heeds() } else { Heeds::All },
            person,
            engine,
            errand: Errand::new(plan),
            frames: VecDeque::new(),
        }
    }

    /// Makes `count` selections more, the wanted items drawn from `targets`, and gives what all so far
    /// add up to. `time` gets the microseconds of each that reached its item.
    pub fn run(&mut self, count: u64, targets: &mut Stream, mut time: impl FnMut(u64)) -> Counts {
        for _ in 0..count {
            let target = ItemIx(self.plan.wanted.draw(targets));
            self.make(target, self.errand.pause_until + self.plan.patience, &mut time);
        }
        self.errand.counts
    }

    /// Makes one selection more, or one trial.
    pub fn select(&mut self, target: ItemIx, time: &mut impl FnMut(u64)) -> Counts {
        self.make(target, self.errand.pause_until + self.plan.patience, time);
        self.errand.counts
    }

    /// Takes all these items, the patience of the plan being for all together. Gives how long it took; `None` when
    /// it was given up.
    pub fn take_all(&mut self, items: &[ItemIx]) -> Option<Span> {
        let began = self.errand.pause_until;
        for item in items {
            self.make(*item, began + self.plan.patience, &mut |_| ());
            if self.errand.counts.given_up > 0 {
                return None;
            }
        }
        Some(self.engine.now().since(began))
    }

    /// What all selections so far add up to.
    #[must_use]
    pub fn counts(&self) -> Counts {
        self.errand.counts
    }

    #[inline]
    fn make(&mut self, target: ItemIx, give_up: Moment, time: &mut impl FnMut(u64)) {
        let again = self.errand.set_out(target);
        let began = self.errand.began;
        self.person.told(Moment(began.0 - self.plan.lead().0), Told::Trial { again });
        // The highlight has moved, and has not been seen yet.
        let mut fresh = false;
        let mut pauses = true;
        loop {
            if pauses {
                fresh = self.resume();
            }
            // Where the highlight moves by itself it says all that is new.
            let before = (self.heeds == Heeds::All).then(|| self.asked());
            self.errand.instant = Instant::default();
            self.go_on(give_up, fresh);
            let Instant { moved, taken, left, over, reached, in_vain } = self.errand.instant;
            if over && self.plan.trials.is_some() {
                self.trial_ends();
            }
            pauses = taken || (left && self.stands_idle());
            if pauses && moved && self.engine.lit() == Lit::Nothing {
                self.lights();
            }
            if over {
                if reached {
                    time(self.engine.now().since(began).0);
                }
                break;
            }
            if self.engine.now() >= give_up {
                self.errand.give_up(self.engine.now());
                break;
            }
            fresh = moved;
            if !pauses && !moved {
                self.look(before, in_vain);
            }
        }
    }

    /// Waits out the pause, and sees to it that the scan begins; `true` when something is lit.
    #[inline]
    fn resume(&mut self) -> bool {
        if self.engine.now() < self.errand.pause_until {
            self.wait();
        }
        if self.stands_idle() {
            self.engine.input(self.engine.now(), Input::Start, &mut |_, _| ());
        }
        let lit = self.engine.lit() != Lit::Nothing;
        if lit {
            self.errand.counts.passes += 1;
        } else {
            self.looks_again();
        }
        lit
    }

    #[inline(never)]
    fn wait(&mut self) {
        while self.engine.now() < self.errand.pause_until {
            // What is lit at the end is counted when the scan goes on.
            self.errand.instant = Instant { taken: true, ..Instant::default() };
            self.pass_time(self.errand.pause_until, None);
            if self.errand.instant.moved && self.engine.now() < self.errand.pause_until {
                self.lights();
            }
        }
    }

    /// Nothing moves, and no press would change that.
    #[inline]
    fn stands_idle(&self) -> bool {
        !self.engine.is_scanning() && !self.engine.waits_for_start()
    }

    /// What is asked for.
    #[inline(always)]
    fn asked(&self) -> Asked {
        if self.engine.now() < self.errand.pause_until {
            return Asked::Nothing;
        }
        // In inverse scanning the press that starts the scan is the one that is held.
        if self.engine.waits_for_start() && self.plan.settings.technique() != Technique::Inverse {
            return Asked::Press;
        }
        self.errand.aim.map_or(Asked::Nothing, |aim| Asked::Entry(self.errand.group, aim.entry))
    }

    /// To the next instant that matters, and through it.
    #[inline(always)]
    fn go_on(&mut self, give_up: Moment, fresh: bool) {
        if self.heeds == Heeds::Wanted && self.plan.trials.is_none() && self.stride(give_up, fresh) {
            return;
        }
        if fresh {
            self.lights();
        }
        let mut limit = give_up;
        let entry = match self.heeds {
            Heeds::Wanted => self.errand.aim.map(|aim| (self.errand.group, aim.entry)),
            Heeds::Before => self.next_of_interest(),
            Heeds::All => None,
        };
        if entry.is_none() {
            limit = limit.min(self.engine.deadline().unwrap_or(Moment::NEVER));
        }
        self.pass_time(limit, entry);
    }

    /// Where only the clock moves the scan: to the lighting of the wanted entry and on to the next edge in this
    /// pass. `false` if that does not lie before an edge.
    #[inline(always)]
    fn stride(&mut self, give_up: Moment, fresh: bool) -> bool {
        let Some(rest) = self.engine.rest() else { return false };
        let limit = rest.ends().min(give_up);
        let wanted = self.errand.aim.and_then(|aim| rest.lights(self.errand.group, aim.entry, fresh));
        if let Some((at, lit)) = wanted {
            if at >= self.person.next_edge().min(limit) {
                return false;
            }
            self.show(at, lit);
        }
        let edge = self.person.next_edge();
        let ends = edge >= limit;
        if ends && wanted.is_none() {
            return false;
        }
        if ends {
            self.engine.skip_to(Moment(limit.0 - 1), &rest);
        } else if let Some((switch, down)) = self.person.edge() {
            if down && self.person.next_edge() == edge {
                self.person.edge();
                self.engine.skip_and_tap(edge, &rest, switch, &mut self.errand);
            } else {
                self.engine.skip_to(edge, &rest);
                self.engine.edge(edge, switch, down, &mut self.errand);
            }
        }
        true
    }

    /// For one who foresees: the entry before the wanted one, and from there on the wanted one.
    fn next_of_interest(&self) -> Option<(GroupIx, EntryIx)> {
        let wanted = self.errand.aim?.entry;
        let before = EntryIx(wanted.0.saturating_sub(1));
        let past = matches!(self.engine.lit(), Lit::Entry { entry, .. } if entry >= before && entry < wanted);
        Some((self.errand.group, if past { wanted } else { before }))
    }

    /// To the next edge, frame or lighting of `entry`, but not beyond `limit`.
    #[inline(always)]
    fn pass_time(&mut self, limit: Moment, entry: Option<(GroupIx, EntryIx)>) {
        let edge = self.person.next_edge();
        let frame = self.frames.front().map_or(Moment::NEVER, |(at, _)| *at);
        let next = limit.min(edge).min(frame);
        let seen = self.engine.run_until(next, Watch { entry }, &mut self.errand);
        if seen.is_some() || (entry.is_none() && self.errand.instant.moved) {
            return;
        }
        if next == frame {
            self.frame();
        } else if next == edge && (edge < limit || limit > self.errand.pause_until) {
            self.switch(edge);
        }
    }

    /// The switch changes, or closes and opens if the closure lasts no time.
    #[inline(always)]
    fn switch(&mut self, at: Moment) {
        let Some((switch, down)) = self.person.edge() else { return };
        if down && self.person.next_edge() == at {
            self.person.edge();
            self.engine.tap(at, switch, &mut self.errand);
        } else {
            self.engine.edge(at, switch, down, &mut self.errand);
        }
    }

    /// Nothing is lit and nothing acts until the next trial.
    fn trial_ends(&mut self) {
        let now = self.engine.now();
        self.engine.input(now, Input::Halt, &mut |_, _| ());
        self.errand.pause_until = now + self.plan.pause();
    }

    /// Where nothing moved the person looks again.
    #[inline(always)]
    fn look(&mut self, before: Option<Asked>, in_vain: bool) {
        if in_vain || before.is_some_and(|before| before != self.asked()) {
            self.looks_again();
        }
    }

    /// The highlight moved: its frame comes.
    #[inline(always)]
    fn lights(&mut self) {
        let lit = self.engine.lit();
        if self.plan.trials.is_some() {
            self.frames.push_back((self.engine.now() + self.plan.lag(), lit));
        } else {
            self.show(self.engine.now(), lit);
        }
    }

    fn frame(&mut self) {
        if let Some((_, lit)) = self.frames.pop_front() {
            self.show(self.engine.now(), lit);
        }
    }

    /// The highlight is seen, if it matters.
    #[inline(always)]
    fn show(&mut self, at: Moment, lit: Lit) {
        if let (Lit::Entry { group, entry, .. }, Some(aim)) = (lit, self.errand.aim)
            && (group, entry) == (self.errand.group, aim.entry)
            && at >= self.errand.pause_until
        {
            self.errand.counts.lightings += u64::from(aim.on_the_way);
        } else if self.heeds == Heeds::Wanted && lit != Lit::Nothing {
            return;
        }
        self.sees(at, Some(lit));
    }

    /// Where nothing moves but by the person, it looks again.
    fn looks_again(&mut self) {
        let waits = match self.asked() {
            Asked::Press => true,
            Asked::Entry(..) => self.plan.settings.technique() != Technique::Automatic,
            Asked::Pair | Asked::Hold(..) | Asked::Nothing => false,
        };
        if waits && self.frames.is_empty() {
            self.sees(self.engine.now(), Some(self.engine.lit()));
        }
    }

    #[inline(always)]
    fn sees(&mut self, at: Moment, lit: Option<Lit>) {
        let settings = &self.plan.settings;
        self.person.sees(&View {
            at,
            asked: self.asked(),
            lit,
            technique: settings.technique(),
            question: false,
            astray: self.errand.aim.is_none_or(|aim| !aim.on_the_way),
            interval: settings.scan_interval(),
            stays: stays(settings, lit),
        });
    }
}

#[cfg(test)]
#[path = "selecting_tests.rs"]
mod tests;
