//! Where a client who wants an item has to press in each group.

use crate::engine::tree::{Entry, EntryIx, GroupIx, ItemIx, ScanGroup, ScanTree};

/// For every item and group the entry to wait for.
#[derive(Clone, Debug)]
pub struct Aims {
    /// Item by item, group by group; `None` where there is nothing to wait for.
    aims: Vec<Option<Aim>>,
    groups: usize,
}

/// What to wait for in a group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Aim {
    /// The entry.
    pub entry: EntryIx,
    /// The group lies on the way to the item.
    pub on_the_way: bool,
}

impl Aims {
    /// The ways to the first `items` items of `tree`. In a group off the way `exits` tells whether the
    /// client takes the exit, where there is one, or waits the loops out.
    #[must_use]
    pub fn new(tree: &ScanTree, items: u16, exits: bool) -> Aims {
        let exit = |group: &ScanGroup| {
            let exit = group.entries.iter().position(|entry| *entry == Entry::Exit).filter(|_| exits)?;
            Some(Aim { entry: EntryIx(exit as u16), on_the_way: false })
        };
        let elsewhere: Vec<Option<Aim>> = tree.groups.iter().map(exit).collect();
        let mut aims = Vec::with_capacity(usize::from(items) * elsewhere.len());
        for item in 0..items {
            let first = aims.len();
            aims.extend_from_slice(&elsewhere);
            for (group, entry) in tree.path(ItemIx(item)).into_iter().flatten() {
                aims[first + usize::from(group.0)] = Some(Aim { entry, on_the_way: true });
            }
        }
        Aims { aims, groups: elsewhere.len() }
    }

    /// What leads to `item` in `group`, or out of a group that does not.
    ///
    /// # Panics
    /// For an item beyond those that [`Aims::new`] was given.
    #[inline]
    #[must_use]
    pub fn aim(&self, item: ItemIx, group: GroupIx) -> Option<Aim> {
        self.aims[usize::from(item.0) * self.groups + usize::from(group.0)]
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
        let on_the_way = |entry| Some(Aim { entry: EntryIx(entry), on_the_way: true });
        assert_eq!(aims.aim(tile, ScanTree::TOP), on_the_way(1));
        let row = tree.path(tile).unwrap()[1].0;
        assert_eq!(aims.aim(tile, row), on_the_way(2));
        // Another row has no exit here.
        let other = tree.path(ItemIx(0)).unwrap()[1].0;
        assert_eq!(aims.aim(tile, other), None);
    }
}
