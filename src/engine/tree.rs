//! What the scanner walks: groups of entries, as indices.
//!
//! A menu page and a scan pattern are compiled into this tree once (`engine/pattern`); the scanner
//! knows nothing of labels, pictures or rows. Group 0 is the top.

use serde::{Deserialize, Serialize};

/// Index of a group in [`ScanTree::groups`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct GroupIx(pub u16);

/// Index of an entry in [`ScanGroup::entries`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct EntryIx(pub u16);

/// Index of an item in the menu's list of items.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ItemIx(pub u16);

/// The tree of one menu under one pattern.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScanTree {
    /// All groups; the first is the top. Never empty, and no group is without entries.
    pub groups: Vec<ScanGroup>,
}

/// One group that a pass runs over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScanGroup {
    /// The group that this one goes back to; `None` for the top.
    pub parent: Option<GroupIx>,
    /// What is lit one after the other.
    pub entries: Vec<Entry>,
}

/// One stop of the highlight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Entry {
    /// An item is taken.
    Item(ItemIx),
    /// A group is entered: a row, a block of tiles, another page or a question.
    Group(GroupIx),
    /// Back one level.
    Exit,
}

impl ScanTree {
    /// The top group.
    pub const TOP: GroupIx = GroupIx(0);

    /// The group with this index.
    #[must_use]
    pub fn group(&self, group: GroupIx) -> &ScanGroup {
        &self.groups[usize::from(group.0)]
    }

    /// The entries to take, level by level, to reach an item; `None` when it is not in the tree.
    #[must_use]
    pub fn path(&self, item: ItemIx) -> Option<Vec<(GroupIx, EntryIx)>> {
        let mut path = Vec::new();
        self.search(ScanTree::TOP, item, &mut path).then_some(path)
    }

    fn search(&self, group: GroupIx, item: ItemIx, path: &mut Vec<(GroupIx, EntryIx)>) -> bool {
        for (index, entry) in self.group(group).entries.iter().enumerate() {
            path.push((group, EntryIx(index as u16)));
            let found = match entry {
                Entry::Item(found) => *found == item,
                Entry::Group(inner) => self.search(*inner, item, path),
                Entry::Exit => false,
            };
            if found {
                return true;
            }
            path.pop();
        }
        false
    }

    /// A list of `count` items scanned one by one, with no exit.
    ///
    /// # Panics
    /// When `count` is 0.
    #[must_use]
    pub fn linear(count: u16) -> ScanTree {
        assert!(count > 0, "a group needs at least one entry");
        ScanTree {
            groups: vec![ScanGroup { parent: None, entries: (0..count).map(|i| Entry::Item(ItemIx(i))).collect() }],
        }
    }

    /// `rows` rows of `columns` items each, rows first, with no exits; item `r·columns + c`.
    ///
    /// # Panics
    /// When either count is 0.
    #[must_use]
    pub fn row_column(rows: u16, columns: u16) -> ScanTree {
        assert!(rows > 0 && columns > 0, "a group needs at least one entry");
        let top = ScanGroup { parent: None, entries: (1..=rows).map(|g| Entry::Group(GroupIx(g))).collect() };
        let row = |r: u16| ScanGroup {
            parent: Some(ScanTree::TOP),
            entries: (0..columns).map(|c| Entry::Item(ItemIx(r * columns + c))).collect(),
        };
        ScanTree { groups: std::iter::once(top).chain((0..rows).map(row)).collect() }
    }
}
