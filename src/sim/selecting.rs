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

use super::aims::Aim;
use super::counts::Counts;
use super::happening::Happening;
use super::person::{Heeds, Person};
use super::plan::Plan;
use super::view::{Told, View, stays};
use crate::engine::effect::{Input, Lit, Why};
use crate::engine::tree::{EntryIx, GroupIx, ItemIx, ScanTree};
use crate::engine::{Engine, Watch};
use crate::rng::Stream;
use crate::session::Asked;
use crate::settings::{AfterSelection, Technique};
use crate::time::Moment;

/// A person at the engine.
pub struct Selecting<'a, P> {
    plan: &'a Plan,
    person: P,
    heeds: Heeds,
    engine: Engine,
    /// The group that is scanned, and what to wait for in it.
    group: GroupIx,
    aim: Option<Aim>,
    target: ItemIx,
    /// Wrong items that have to be taken once more first, the latest at the end.
    undo: Vec<ItemIx>,
    /// The last choice went wrong.
    went_wrong: bool,
    /// Highlights whose frames are on their way.
    frames: VecDeque<(Moment, Lit)>,
    /// What is on the screen.
    shown: Lit,
    /// Until then nothing is asked for: the scan has not begun.
    pause_until: Moment,
    began: Moment,
    counts: Counts,
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
            group: ScanTree::TOP,
            aim: None,
            target: ItemIx(0),
            undo: Vec::new(),
            went_wrong: false,
            frames: VecDeque::new(),
            shown: Lit::Nothing,
            pause_until: plan.trials.map_or(Moment::START, |trials| trials.begin) + plan.lead(),
            began: Moment::START,
            counts: Counts::default(),
        }
    }

    /// Makes `count` selections more, the wanted items drawn from `targets`, and gives what all so far
    /// add up to. `time` gets the microseconds of each that reached its item.
    pub fn run(&mut self, count: u64, targets: &mut Stream, mut time: impl FnMut(u64)) -> Counts {
        for _ in 0..count {
            let target = ItemIx(self.plan.wanted.draw(targets));
            self.make(target, &mut time);
        }
        self.counts
    }

    /// Makes one selection more, or one trial.
    pub fn select(&mut self, target: ItemIx, time: &mut impl FnMut(u64)) -> Counts {
        self.make(target, time);
        self.counts
    }

    #[inline]
    fn make(&mut self, target: ItemIx, time: &mut impl FnMut(u64)) {
        let again = self.went_wrong && target == self.target;
        (self.target, self.began, self.went_wrong) = (target, self.pause_until, false);
        self.aims();
        let give_up = self.began + self.plan.patience;
        self.person.told(Moment(self.began.0 - self.plan.lead().0), Told::Trial { again });
        let mut pauses = true;
        loop {
            if pauses {
                self.resume();
            }
            // Where the highlight moves by itself it says all that is new.
            let before = (self.heeds == Heeds::All).then(|| self.asked());
            let mut happening = Happening::default();
            self.go_on(give_up, &mut happening);
            let over = self.take_in(&happening, time);
            pauses = happening.taken.is_some() || (happening.left.is_some() && self.stands_idle());
            if pauses && happening.lit == Some(Lit::Nothing) {
                self.lights(Lit::Nothing);
            }
            if over {
                break;
            }
            if self.engine.now() >= give_up {
                self.give_up();
                break;
            }
            if !pauses {
                self.look(before, &happening);
            }
        }
    }

    /// The person gives this item up; the next one begins at the top.
    fn give_up(&mut self) {
        self.counts.given_up += 1;
        self.undo.clear();
        self.pause_until = self.engine.now();
    }

    /// Waits out the pause, and sees to it that the scan begins.
    #[inline]
    fn resume(&mut self) {
        if self.engine.now() < self.pause_until {
            self.wait();
        }
        if self.stands_idle() {
            self.engine.input(self.engine.now(), Input::Start, &mut Happening::default());
        }
        let lit = self.engine.lit();
        if lit == Lit::Nothing {
            self.looks_again();
        } else {
            self.counts.passes += 1;
            self.lights(lit);
        }
    }

    #[inline(never)]
    fn wait(&mut self) {
        while self.engine.now() < self.pause_until {
            let mut happening = Happening::default();
            self.pass_time(self.pause_until, None, &mut happening);
            self.counts.hits += happening.hits;
            if let Some(lit) = happening.lit
                && self.engine.now() < self.pause_until
            {
                self.lights(lit);
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
        if self.engine.now() < self.pause_until {
            return Asked::Nothing;
        }
        if self.engine.waits_for_start() {
            return Asked::Press;
        }
        self.aim.map_or(Asked::Nothing, |aim| Asked::Entry(self.group, aim.entry))
    }

    /// The item to be taken next.
    #[inline]
    fn next_item(&self) -> ItemIx {
        self.undo.last().copied().unwrap_or(self.target)
    }

    /// The group or the item has changed.
    #[inline]
    fn aims(&mut self) {
        self.aim = self.plan.aims.aim(self.next_item(), self.group);
    }

    /// To the next instant that matters, and through it.
    #[inline(always)]
    fn go_on(&mut self, give_up: Moment, happening: &mut Happening) {
        let mut limit = give_up;
        let entry = match self.heeds {
            Heeds::Wanted => self.aim.map(|aim| (self.group, aim.entry)),
            Heeds::Before => self.next_of_interest(),
            Heeds::All => None,
        };
        if entry.is_none() {
            limit = limit.min(self.engine.deadline().unwrap_or(Moment::NEVER));
        }
        self.pass_time(limit, entry, happening);
    }

    /// For one who foresees: the entry before the wanted one, and from there on the wanted one.
    fn next_of_interest(&self) -> Option<(GroupIx, EntryIx)> {
        let wanted = self.aim?.entry;
        let before = EntryIx(wanted.0.saturating_sub(1));
        let past = matches!(self.engine.lit(), Lit::Entry { entry, .. } if entry >= before && entry < wanted);
        Some((self.group, if past { wanted } else { before }))
    }

    /// To the next edge, frame or lighting of `entry`, but not beyond `limit`.
    #[inline(always)]
    fn pass_time(&mut self, limit: Moment, entry: Option<(GroupIx, EntryIx)>, happening: &mut Happening) {
        let edge = self.person.next_edge();
        let frame = self.frames.front().map_or(Moment::NEVER, |(at, _)| *at);
        let next = limit.min(edge).min(frame);
        let seen = self.engine.run_until(next, Watch { entry }, happening);
        if seen.is_some() || (entry.is_none() && happening.lit.is_some()) {
            return;
        }
        if next == frame {
            self.frame();
        } else if next == edge && (edge < limit || limit > self.pause_until) {
            self.switch(edge, happening);
        }
    }

    /// The switch changes, or closes and opens if the closure lasts no time.
    #[inline(always)]
    fn switch(&mut self, at: Moment, happening: &mut Happening) {
        let Some((switch, down)) = self.person.edge() else { return };
        if down && self.person.next_edge() == at {
            self.person.edge();
            self.engine.tap(at, switch, happening);
        } else {
            self.engine.input(at, Input::Edge { switch, down }, happening);
        }
    }

    /// Counts what happened; `true` when the selection is over.
    #[inline(always)]
    fn take_in(&mut self, happening: &Happening, time: &mut impl FnMut(u64)) -> bool {
        self.counts.hits += happening.hits;
        self.counts.passes += happening.passes;
        if let Some((group, entry, into)) = happening.entered {
            self.entered(group, entry, into);
        }
        if let Some((group, why)) = happening.left
            && self.left(group, why)
        {
            return true;
        }
        happening.taken.is_some_and(|item| self.took(item, time))
    }

    #[inline]
    fn entered(&mut self, group: GroupIx, entry: EntryIx, into: GroupIx) {
        // A press may still act in a group that was left an instant ago.
        let aim = if group == self.group { self.aim } else { self.plan.aims.aim(self.next_item(), group) };
        match aim {
            Some(aim) if aim.entry == entry => self.counts.in_time += u64::from(aim.on_the_way),
            _ => self.counts.wrong_groups += 1,
        }
        self.group = into;
        self.aims();
    }

    /// The scan left a group or stopped; `true` when the selection is over by that.
    #[inline]
    fn left(&mut self, group: GroupIx, why: Why) -> bool {
        let parent = self.plan.tree.group(group).parent;
        self.counts.left_groups += u64::from(why == Why::Loops && parent.is_some());
        self.group = parent.unwrap_or(ScanTree::TOP);
        self.aims();
        self.counts.stops += u64::from(parent.is_none());
        let over = parent.is_none() && self.plan.trials.is_some();
        if over {
            self.trial_ends();
        }
        over
    }

    /// An item was taken; `true` when the selection is over.
    fn took(&mut self, item: ItemIx, time: &mut impl FnMut(u64)) -> bool {
        let now = self.engine.now();
        self.counts.in_time += u64::from(item == self.next_item());
        self.pause_until = now + self.plan.pause();
        if self.plan.settings.after_selection() != AfterSelection::CarryOn {
            self.group = ScanTree::TOP;
        }
        let reached = self.undo.is_empty() && item == self.target;
        if reached {
            let us = now.since(self.began).0;
            self.counts.selected(us);
            time(us);
        } else {
            self.took_wrong(item);
            self.aims();
        }
        if self.plan.trials.is_some() {
            self.trial_ends();
        }
        reached || self.plan.trials.is_some()
    }

    fn took_wrong(&mut self, item: ItemIx) {
        if let Some(place) = self.undo.iter().position(|wrong| *wrong == item) {
            self.undo.remove(place);
            return;
        }
        self.counts.wrong_items += 1;
        self.went_wrong = true;
        if self.plan.undo {
            self.undo.push(item);
        }
    }

    /// Nothing is lit and nothing acts until the next trial.
    fn trial_ends(&mut self) {
        let now = self.engine.now();
        self.engine.input(now, Input::Halt, &mut Happening::default());
        self.pause_until = now + self.plan.pause();
    }

    /// The person sees what moved, or looks again.
    #[inline(always)]
    fn look(&mut self, before: Option<Asked>, happening: &Happening) {
        if let Some(lit) = happening.lit {
            self.lights(lit);
        } else if happening.in_vain || before.is_some_and(|before| before != self.asked()) {
            self.looks_again();
        }
    }

    /// The highlight moved: its frame comes.
    #[inline(always)]
    fn lights(&mut self, lit: Lit) {
        if self.plan.trials.is_some() {
            self.frames.push_back((self.engine.now() + self.plan.lag(), lit));
        } else {
            self.show(lit);
        }
    }

    fn frame(&mut self) {
        if let Some((_, lit)) = self.frames.pop_front() {
            self.show(lit);
        }
    }

    /// The highlight is seen, if it matters.
    #[inline(always)]
    fn show(&mut self, lit: Lit) {
        self.shown = lit;
        if let (Lit::Entry { group, entry, .. }, Some(aim)) = (lit, self.aim)
            && (group, entry) == (self.group, aim.entry)
            && self.engine.now() >= self.pause_until
        {
            self.counts.lightings += u64::from(aim.on_the_way);
        } else if self.heeds == Heeds::Wanted && lit != Lit::Nothing {
            return;
        }
        self.sees(Some(lit));
    }

    /// Where nothing moves but by the person, it looks again.
    fn looks_again(&mut self) {
        let waits = match self.asked() {
            Asked::Press => true,
            Asked::Entry(..) => self.plan.settings.technique() != Technique::Automatic,
            Asked::Pair | Asked::Nothing => false,
        };
        if waits && self.frames.is_empty() {
            self.sees(Some(self.shown));
        }
    }

    #[inline(always)]
    fn sees(&mut self, lit: Option<Lit>) {
        let settings = &self.plan.settings;
        self.person.sees(&View {
            at: self.engine.now(),
            asked: self.asked(),
            lit,
            technique: settings.technique(),
            question: false,
            astray: self.aim.is_none_or(|aim| !aim.on_the_way),
            interval: settings.scan_interval(),
            stays: stays(settings, lit),
        });
    }
}

#[cfg(test)]
#[path = "selecting_tests.rs"]
mod tests;
