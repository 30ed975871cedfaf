//! What the engine did in one instant, as far as counted selections have to know.

use crate::engine::Sink;
use crate::engine::effect::{Effect, Lit, Why};
use crate::engine::tree::{EntryIx, GroupIx, ItemIx, ScanTree};
use crate::time::Moment;

/// What happened in one instant.
#[derive(Default)]
pub(super) struct Happening {
    /// The highlight moved there.
    pub lit: Option<Lit>,
    /// Passes begun before an item was taken.
    pub passes: u64,
    /// Presses, debounced.
    pub hits: u64,
    pub taken: Option<ItemIx>,
    /// The group and the entry in it from which another group was entered, and that one.
    pub entered: Option<(GroupIx, EntryIx, GroupIx)>,
    /// The group that was left, or the top when the scan stopped.
    pub left: Option<(GroupIx, Why)>,
    /// A press had no effect.
    pub in_vain: bool,
}

impl Sink for Happening {
    #[inline]
    fn effect(&mut self, _: Moment, effect: Effect) {
        match effect {
            Effect::Highlight { lit, .. } => {
                let begins = matches!(lit, Lit::Entry { entry: EntryIx(0), .. });
                self.passes += u64::from(begins && self.taken.is_none());
                self.lit = Some(lit);
            }
            Effect::Pressed { .. } => self.hits += 1,
            Effect::Taken { item, .. } => self.taken = Some(item),
            Effect::Entered { group, entry, into, .. } => self.entered = Some((group, entry, into)),
            Effect::Left { why, group, .. } => self.left = Some((group, why)),
            Effect::Stopped { why } => self.left = Some((ScanTree::TOP, why)),
            Effect::NotCounted { .. } => self.in_vain = true,
            _ => {}
        }
    }
}
