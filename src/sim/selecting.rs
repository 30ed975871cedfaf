//! One selection after the other at the engine, counted and not logged.
//!
//! The runner jumps from one instant that matters to the next: the wanted entry lights, the switch
//! changes, a group is entered or left. It never reads a clock and never looks at the inside of
//! client or engine.

use std::sync::Arc;

use super::aims::Aims;
use super::counts::Counts;
use super::weighted::Weighted;
use crate::engine::effect::{Effect, Input, Lit, Switch, Why};
use crate::engine::tree::{EntryIx, GroupIx, ItemIx, ScanTree};
use crate::engine::{Engine, Sink, Watch};
use crate::rng::Stream;
use crate::settings::Settings;
use crate::time::{Moment, Span};

/// Whoever works the switch.
pub trait Person {
    /// When the switch changes next; [`Moment::NEVER`] for not at all.
    fn next_edge(&self) -> Moment;
    /// The switch changes, at [`Person::next_edge`]; `true` when it closes.
    fn edge(&mut self) -> bool;
    /// What the person waits for lights at `at`.
    fn sees(&mut self, at: Moment);
}

/// A menu, its timings, and how errors on it are put right.
#[derive(Clone, Debug)]
pub struct Plan {
    tree: Arc<ScanTree>,
    settings: Settings,
    aims: Aims,
    wanted: Weighted,
    /// A wrong item has to be taken once more before the person goes on.
    undo: bool,
    /// Passes over the top and inside a group, where they are limited.
    loops: (u32, u32),
    patience: Span,
}

impl Plan {
    /// Items are wanted as often as `weights` say, in the order of their numbers; `undo` tells whether a
    /// wrong item is taken once more to put it right, `exits` whether the person takes the exit of a
    /// wrong group or waits its loops out. A selection is given up after `patience`.
    ///
    /// `None` unless every weight is a number of at least 0, one is above it, and each item that is
    /// wanted is on the menu.
    #[must_use]
    pub fn new(
        tree: Arc<ScanTree>,
        settings: Settings,
        weights: &[f64],
        undo: bool,
        exits: bool,
        patience: Span,
    ) -> Option<Plan> {
        let wanted = Weighted::new(weights)?;
        let there = |item: usize| tree.path(ItemIx(item as u16)).is_some();
        if !weights.iter().enumerate().all(|(item, weight)| *weight == 0.0 || there(item)) {
            return None;
        }
        let aims = Aims::new(&tree, weights.len() as u16, exits);
        let loops = (settings.loops_top().unwrap_or(0), settings.loops_inside().unwrap_or(0));
        Some(Plan { tree, settings, aims, wanted, undo, loops, patience })
    }
}

/// A person at the engine.
pub struct Selecting<'a, P> {
    plan: &'a Plan,
    person: P,
    engine: Engine,
    targets: Stream,
    target: ItemIx,
    /// Wrong items that have to be taken once more first, the latest at the end.
    undo: Vec<ItemIx>,
    began: Moment,
    counts: Counts,
}

impl<'a, P: Person> Selecting<'a, P> {
    /// A person before the scan, which has just begun.
    #[must_use]
    pub fn new(plan: &'a Plan, person: P, targets: Stream) -> Selecting<'a, P> {
        let mut engine = Engine::new(Arc::clone(&plan.tree), &plan.settings);
        engine.assume_shown(true);
        engine.input(Moment::START, Input::Start, &mut Instant::default());
        Selecting {
            plan,
            person,
            engine,
            targets,
            target: ItemIx(0),
            undo: Vec::new(),
            began: Moment::START,
            counts: Counts::default(),
        }
    }

    /// Makes `count` selections more, and gives what all so far add up to.
    pub fn run(&mut self, count: u64) -> Counts {
        for _ in 0..count {
            self.target = ItemIx(self.plan.wanted.draw(&mut self.targets));
            self.select();
        }
        self.counts
    }

    /// From one wanted item to the next.
    fn select(&mut self) {
        let give_up = self.began + self.plan.patience;
        let (mut lights, mut aim) = (true, None);
        loop {
            if lights {
                aim = self.look();
            }
            let mut instant = Instant::default();
            self.go_on(aim, give_up, &mut instant);
            if self.take_in(&instant) {
                break;
            }
            if self.engine.now() >= give_up {
                self.counts.given_up += 1;
                self.undo.clear();
                break;
            }
            lights = instant.lights;
        }
        self.began = self.engine.now();
    }

    /// To the next instant that matters, and through it, for one who waits for the entry `aim`.
    #[inline]
    fn go_on(&mut self, aim: Option<(GroupIx, EntryIx)>, give_up: Moment, instant: &mut Instant) {
        let edge = self.person.next_edge();
        let mut limit = edge.min(give_up);
        if aim.is_none() && self.engine.lit() == Lit::Nothing {
            // Nobody knows yet what to wait for when it lights again.
            limit = limit.min(self.engine.deadline().unwrap_or(Moment::NEVER));
        }
        let seen = self.engine.run_until(limit, Watch { entry: aim }, instant);
        if seen.is_none() && limit == edge {
            self.switch(edge, instant);
        }
    }

    /// The switch changes, or closes and opens if the closure lasts no time.
    #[inline]
    fn switch(&mut self, at: Moment, instant: &mut Instant) {
        let pass = self.pass();
        let down = self.person.edge();
        self.counts.hits += u64::from(down);
        if down && self.person.next_edge() == at {
            self.person.edge();
            self.engine.tap(at, Switch(0), instant);
        } else {
            self.engine.edge(at, Switch(0), down, instant);
        }
        if instant.is_choice() {
            self.counts.passes += u64::from(pass) + 1;
        }
    }

    /// Counts what happened; `true` when the target has been taken.
    #[inline]
    fn take_in(&mut self, instant: &Instant) -> bool {
        if let Some((group, entry)) = instant.entered
            && self.aim_in(group) != Some(entry)
        {
            self.counts.wrong_groups += 1;
        }
        if let Some(loops) = instant.loops_over {
            self.counts.passes += u64::from(if loops == ScanTree::TOP { self.plan.loops.0 } else { self.plan.loops.1 });
            self.counts.left_groups += u64::from(loops != ScanTree::TOP);
            self.counts.stops += u64::from(loops == ScanTree::TOP);
        }
        instant.taken.is_some_and(|item| self.took(item))
    }

    /// An item was taken; `true` when nothing is left to do.
    fn took(&mut self, item: ItemIx) -> bool {
        if self.undo.is_empty() && item == self.target {
            self.counts.selected(self.engine.now().since(self.began).0);
            return true;
        }
        if let Some(place) = self.undo.iter().position(|wrong| *wrong == item) {
            self.undo.remove(place);
            return false;
        }
        self.counts.wrong_items += 1;
        if self.plan.undo {
            self.undo.push(item);
        }
        false
    }

    /// The person looks at what is lit; gives what to wait for in the group that is scanned.
    #[inline]
    fn look(&mut self) -> Option<(GroupIx, EntryIx)> {
        let Lit::Entry { group, entry, .. } = self.engine.lit() else { return None };
        let aim = self.aim_in(group)?;
        if aim == entry {
            self.person.sees(self.engine.now());
        }
        Some((group, aim))
    }

    #[inline]
    fn aim_in(&self, group: GroupIx) -> Option<EntryIx> {
        self.plan.aims.entry(self.undo.last().copied().unwrap_or(self.target), group)
    }

    #[inline]
    fn pass(&self) -> u32 {
        if let Lit::Entry { pass, .. } = self.engine.lit() { pass } else { 0 }
    }
}

/// What happened in one instant.
#[derive(Default)]
struct Instant {
    /// The highlight moved.
    lights: bool,
    taken: Option<ItemIx>,
    /// The group and the entry in it from which another group was entered.
    entered: Option<(GroupIx, EntryIx)>,
    exited: bool,
    /// The group whose loops were over.
    loops_over: Option<GroupIx>,
}

impl Instant {
    /// A press took something.
    fn is_choice(&self) -> bool {
        self.taken.is_some() || self.entered.is_some() || self.exited
    }
}

impl Sink for Instant {
    #[inline]
    fn effect(&mut self, _: Moment, effect: Effect) {
        match effect {
            Effect::Highlight { .. } => self.lights = true,
            Effect::Taken { item, .. } => self.taken = Some(item),
            Effect::Entered { group, entry, .. } => self.entered = Some((group, entry)),
            Effect::Left { why: Why::Exit, .. } => self.exited = true,
            Effect::Left { why: Why::Loops, group, .. } => self.loops_over = Some(group),
            Effect::Stopped { why: Why::Loops } => self.loops_over = Some(ScanTree::TOP),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::exact::{Reaction, RowColumn};
    use super::super::reactor::Reactor;
    use super::*;
    use crate::settings::{find, parse_value};

    /// The menu of the exact model.
    fn plan(rows: u16, columns: u16, interval: &str, first: &str) -> Plan {
        let changes = [
            ("scan_interval", interval),
            ("first_after_start", first),
            ("first_in_group", first),
            ("first_item_on", "every-pass"),
            ("pause_after_selection", "0"),
            ("loops_top", "no limit"),
            ("loops_inside", "1"),
            ("debounce", "0"),
            ("lockout", "0"),
        ];
        let settings = changes.iter().fold(Settings::default(), |settings, (name, value)| {
            let id = find(name).expect("a setting");
            settings.with(id, parse_value(id, value).expect("a value"))
        });
        let tree = Arc::new(ScanTree::row_column(rows, columns));
        let weights = vec![1.0; usize::from(rows * columns)];
        Plan::new(tree, settings, &weights, false, false, Span::from_ms(3_600_000)).unwrap()
    }

    #[test]
    fn many_selections_agree_with_the_exact_solution() {
        let reaction = Reaction { mu: 0.45, sigma: 0.08, tau: 0.15 };
        let model =
            RowColumn { rows: 4, columns: 5, interval: 0.9, first: 0.3, reaction, omission: 0.05, accidents: 0.02 };
        let exact = model.solve().unwrap();
        let plan = plan(4, 5, "0.9", "0.3");
        let reactor = Reactor::new(reaction, 0.05, 0.02, Stream::named(1, "reactor"));
        let counts = Selecting::new(&plan, reactor, Stream::named(1, "targets")).run(40_000);
        let off = (counts.seconds() - exact.seconds) / counts.seconds_error();
        assert!(off.abs() < 4.0, "{off} standard errors");
        let near = |found: u64, wanted: f64| {
            let found = counts.each(found);
            assert!((found - wanted).abs() < 0.03 * wanted + 1e-3, "{found} is not {wanted}");
        };
        near(counts.hits, exact.hits);
        near(counts.wrong_items, exact.errors);
        near(counts.wrong_groups, exact.wrong_rows);
        near(counts.left_groups, exact.abandons);
        near(counts.passes, exact.passes);
    }

    #[test]
    fn one_who_never_presses_is_given_up() {
        let plan = plan(2, 2, "1", "0");
        let reactor = Reactor::new(Reaction { mu: 0.4, sigma: 0.0, tau: 0.0 }, 1.0, 0.0, Stream::named(1, "reactor"));
        let counts = Selecting::new(&plan, reactor, Stream::named(1, "targets")).run(3);
        assert_eq!((counts.selections, counts.given_up, counts.hits), (0, 3, 0));
    }

    #[test]
    fn weights_that_make_no_sense_make_no_plan() {
        let make = |weights: &[f64]| {
            let tree = Arc::new(ScanTree::linear(3));
            Plan::new(tree, Settings::default(), weights, false, false, Span::from_ms(1)).is_some()
        };
        assert!(make(&[1.0, 0.0, 2.0]));
        assert!(!make(&[0.0; 3]) && !make(&[1.0, -1.0]) && !make(&[f64::NAN]) && !make(&[1.0; 4]) && !make(&[]));
    }
}
