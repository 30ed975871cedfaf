//! What is to be taken, where the scan is on the way to it, and what that adds up to.
//!
//! It follows the effects of the engine as they come. What is left of an instant for the runner stands in
//! [`Instant`].

use super::aims::Aim;
use super::counts::Counts;
use super::plan::Plan;
use crate::engine::Sink;
use crate::engine::effect::{Effect, Lit, Why};
use crate::engine::tree::{EntryIx, GroupIx, ItemIx, ScanTree};
use crate::settings::AfterSelection;
use crate::time::Moment;

/// A person's way to one item after the other.
pub(super) struct Errand<'a> {
    plan: &'a Plan,
    /// The group that is scanned, and what to wait for in it.
    pub group: GroupIx,
    pub aim: Option<Aim>,
    target: ItemIx,
    /// Wrong items that have to be taken once more first, the latest at the end.
    undo: Vec<ItemIx>,
    /// The last choice went wrong.
    went_wrong: bool,
    pub began: Moment,
    /// Until then nothing is asked for: the scan has not begun.
    pub pause_until: Moment,
    pub counts: Counts,
    pub instant: Instant,
}

/// What happened in one instant.
#[derive(Default)]
pub(super) struct Instant {
    /// The highlight moved.
    pub moved: bool,
    /// An item was taken.
    pub taken: bool,
    /// A group was left, or the scan stopped.
    pub left: bool,
    /// The selection is over.
    pub over: bool,
    /// It is over with the wanted item.
    pub reached: bool,
    /// A press had no effect.
    pub in_vain: bool,
}

impl<'a> Errand<'a> {
    pub fn new(plan: &'a Plan) -> Errand<'a> {
        Errand {
            plan,
            group: ScanTree::TOP,
            aim: None,
            target: ItemIx(0),
            undo: Vec::new(),
            went_wrong: false,
            began: Moment::START,
            pause_until: plan.trials.map_or(Moment::START, |trials| trials.begin) + plan.lead(),
            counts: Counts::default(),
            instant: Instant::default(),
        }
    }

    /// Sets out for the next item; `true` when it is the one that was missed before.
    #[inline]
    pub fn set_out(&mut self, target: ItemIx) -> bool {
        let again = self.went_wrong && target == self.target;
        (self.target, self.began, self.went_wrong) = (target, self.pause_until, false);
        self.aims();
        again
    }

    /// The person gives this item up at `now`; the next one begins at the top.
    pub fn give_up(&mut self, now: Moment) {
        self.counts.given_up += 1;
        self.undo.clear();
        self.pause_until = now;
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

    /// The scan left this group, or the top when it stopped.
    #[inline]
    fn left(&mut self, group: GroupIx, why: Why) {
        let parent = self.plan.tree.group(group).parent;
        self.counts.left_groups += u64::from(why == Why::Loops && parent.is_some());
        self.group = parent.unwrap_or(ScanTree::TOP);
        self.aims();
        self.counts.stops += u64::from(parent.is_none());
        self.instant.left = true;
        self.instant.over |= parent.is_none() && self.plan.trials.is_some();
    }

    #[inline]
    fn took(&mut self, item: ItemIx, now: Moment) {
        self.counts.in_time += u64::from(item == self.next_item());
        self.pause_until = now + self.plan.pause();
        if self.plan.settings.after_selection() != AfterSelection::CarryOn {
            self.group = ScanTree::TOP;
        }
        let reached = self.undo.is_empty() && item == self.target;
        if reached {
            self.counts.selected(now.since(self.began).0);
        } else {
            self.took_wrong(item);
        }
        (self.instant.taken, self.instant.reached) = (true, reached);
        self.instant.over |= reached || self.plan.trials.is_some();
    }

    #[cold]
    fn took_wrong(&mut self, item: ItemIx) {
        if let Some(place) = self.undo.iter().position(|wrong| *wrong == item) {
            self.undo.remove(place);
        } else {
            (self.counts.wrong_items, self.went_wrong) = (self.counts.wrong_items + 1, true);
            self.undo.extend(Some(item).filter(|item| self.plan.undo[usize::from(item.0)]));
        }
        self.aims();
    }
}

impl Sink for Errand<'_> {
    #[inline(always)]
    fn effect(&mut self, at: Moment, effect: Effect) {
        match effect {
            Effect::Highlight { lit, .. } => {
                let begins = matches!(lit, Lit::Entry { entry: EntryIx(0), .. });
                self.counts.passes += u64::from(begins && !self.instant.taken);
                self.instant.moved = true;
            }
            Effect::Pressed { .. } => self.counts.hits += 1,
            Effect::Taken { item, .. } => self.took(item, at),
            Effect::Entered { group, entry, into, .. } => self.entered(group, entry, into),
            Effect::Left { why, group, .. } => self.left(group, why),
            Effect::Stopped { why } => self.left(ScanTree::TOP, why),
            Effect::NotCounted { .. } => self.instant.in_vain = true,
            _ => {}
        }
    }
}
