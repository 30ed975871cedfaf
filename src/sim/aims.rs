//! Where a client who wants an item has to press in each group.

use crate::engine::tree::{Entry, EntryIx, GroupIx, ItemIx, ScanTree};

/// For every item and group the entry to wait for.
#[derive(Clone, Debug)]
pub struct Aims {
    /// Item by item, group by group; [`NONE`] where there is nothing to wait for.
    entries: Vec<u16>,
    groups: usize,
}

const NONE: u16 = u16::MAX;

impl Aims {
    /// The ways to the first `items` items of `tree`. In a group off the way `exits` tells whether the
    /// client takes the exit, where there is one, or waits the loops out.
    #[must_use]
    pub fn new(tree: &ScanTree, items: u16, exits: bool) -> Aims {
        let elsewhere = tree.groups.iter().map(|group| {
            let exit = group.entries.iter().position(|entry| *entry == Entry::Exit);
            exit.filter(|_| exits).map_or(NONE, |exit| exit as u16)
        });
        let elsewhere: Vec<u16> = elsewhere.collect();
        let mut entries = Vec::with_capacity(usize::from(items) * elsewhere.len());
        for item in 0..items {
            let first = entries.len();
            entries.extend_from_slice(&elsewhere);
            for (group, entry) in tree.path(ItemIx(item)).into_iter().flatten() {
                entries[first + usize::from(group.0)] = entry.0;
            }
        }
        Aims { entries, groups: elsewhere.len() }
    }

    /// The entry of `group` that leads to `item`, or out of a group that does not.
    #[inline]
    #[must_use]
    pub fn entry(&self, item: ItemIx, group: GroupIx) -> Option<EntryIx> {
        let entry = self.entries[usize::from(item.0) * self.groups + usize::from(group.0)];
        (entry != NONE).then_some(EntryIx(entry))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tile_is_reached_through_its_row() {
        let tree = ScanTree::row_column(3, 4);
        let aims = Aims::new(&tree, 12, true);
        let tile = ItemIx(6);
        assert_eq!(aims.entry(tile, ScanTree::TOP), Some(EntryIx(1)));
        let row = tree.path(tile).unwrap()[1].0;
        assert_eq!(aims.entry(tile, row), Some(EntryIx(2)));
        // Another row has no exit here.
        let other = tree.path(ItemIx(0)).unwrap()[1].0;
        assert_eq!(aims.entry(tile, other), None);
    }
}
