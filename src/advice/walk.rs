//! The levels of a tree and the ways through them, gathered in one walk.

use std::ops::Range;

use super::visit::{Level, Lighting, Others};
use crate::engine::tree::{Entry, GroupIx, ItemIx, ScanTree};

/// A walk over a tree that gathers its levels, each once, and the way to every item.
pub(super) struct Walk<'a> {
    tree: &'a ScanTree,
    pub levels: Vec<Level>,
    /// By item: where its steps stand.
    pub paths: Vec<Option<Range<usize>>>,
    /// The steps of all ways, from the top down: places in `levels`.
    pub steps: Vec<usize>,
    here: Vec<usize>,
}

impl<'a> Walk<'a> {
    /// All of the tree.
    pub fn over(tree: &'a ScanTree) -> Walk<'a> {
        let mut walk = Walk { tree, levels: Vec::new(), paths: Vec::new(), steps: Vec::new(), here: Vec::new() };
        walk.group(ScanTree::TOP);
        walk
    }

    fn group(&mut self, group: GroupIx) {
        let entries = &self.tree.group(group).entries;
        let all = entries.iter().map(|entry| Lead::of(self.tree, entry)).fold(Lead::default(), Lead::plus);
        for (position, entry) in entries.iter().enumerate() {
            if *entry == Entry::Exit {
                continue;
            }
            let lighting = Lighting { first: position == 0, top: group == ScanTree::TOP, count: entries.len() };
            let others = all.without(Lead::of(self.tree, entry)).others(entries.len() - 1);
            let level = self.place_of(Level { position, lighting, others });
            self.here.push(level);
            match entry {
                Entry::Item(item) => self.reach(*item),
                Entry::Group(inner) => self.group(*inner),
                Entry::Exit => {}
            }
            self.here.pop();
        }
    }

    fn reach(&mut self, item: ItemIx) {
        let place = usize::from(item.0);
        if self.paths.len() <= place {
            self.paths.resize(place + 1, None);
        }
        if self.paths[place].is_none() {
            self.paths[place] = Some(self.steps.len()..self.steps.len() + self.here.len());
            self.steps.extend_from_slice(&self.here);
        }
    }

    fn place_of(&mut self, level: Level) -> usize {
        self.levels.iter().rposition(|known| *known == level).unwrap_or_else(|| {
            self.levels.push(level);
            self.levels.len() - 1
        })
    }
}

/// What entries lead to: whole numbers, so that one can be taken out again.
#[derive(Clone, Copy, Debug, Default)]
struct Lead {
    groups: usize,
    exits: usize,
    /// Entries of these groups.
    entries: usize,
    /// Groups that have an exit, and the sum of its positions.
    with_exit: usize,
    exits_at: usize,
}

impl Lead {
    fn of(tree: &ScanTree, entry: &Entry) -> Lead {
        match entry {
            Entry::Item(_) => Lead::default(),
            Entry::Exit => Lead { exits: 1, ..Lead::default() },
            Entry::Group(inner) => {
                let entries = &tree.group(*inner).entries;
                let exit = entries.iter().position(|entry| *entry == Entry::Exit);
                let (with_exit, exits_at) = (usize::from(exit.is_some()), exit.unwrap_or(0));
                Lead { groups: 1, exits: 0, entries: entries.len(), with_exit, exits_at }
            }
        }
    }

    fn plus(self, other: Lead) -> Lead {
        Lead {
            groups: self.groups + other.groups,
            exits: self.exits + other.exits,
            entries: self.entries + other.entries,
            with_exit: self.with_exit + other.with_exit,
            exits_at: self.exits_at + other.exits_at,
        }
    }

    fn without(self, one: Lead) -> Lead {
        Lead {
            groups: self.groups - one.groups,
            exits: self.exits - one.exits,
            entries: self.entries - one.entries,
            with_exit: self.with_exit - one.with_exit,
            exits_at: self.exits_at - one.exits_at,
        }
    }

    /// Shares and means among so many.
    fn others(self, count: usize) -> Others {
        let (all, groups) = (count.max(1) as f64, self.groups as f64);
        let mean = |sum: usize| if self.groups == 0 { 0.0 } else { sum as f64 / groups };
        Others {
            groups: groups / all,
            exits: self.exits as f64 / all,
            entries: mean(self.entries),
            exit_at: (self.groups > 0 && self.with_exit == self.groups).then(|| mean(self.exits_at)),
        }
    }
}
