//! The tree that the engine would scan, without a menu and its pages: the search looks at thousands of
//! arrangements, and of those that promise something [`Judge::judge`] asks the engine itself.

use super::judge::{Judge, Judged};
use super::parts::{Part, items};
use crate::advice::expected_time::Presses;
use crate::engine::tree::{Entry, GroupIx, ItemIx, ScanGroup, ScanTree};
use crate::settings::ExitPlace;

impl<P: Presses> Judge<'_, P> {
    /// The parts as [`Judge::judge`] finds them when the groups of the menu are scanned as they stand; limits
    /// of pages and kept places are not looked at.
    pub fn quick(&self, parts: &[Part]) -> Option<Judged> {
        self.scanned(&self.tree(parts), &items(parts)).filter(|judged| judged.takes.seconds.is_finite())
    }

    /// What the engine would scan.
    fn tree(&self, parts: &[Part]) -> ScanTree {
        let mut growing = Growing { groups: Vec::new(), items: 0, exit: self.settings.exit() };
        growing.group(self, parts, None);
        ScanTree { groups: growing.groups }
    }
}

struct Growing {
    groups: Vec<ScanGroup>,
    items: u16,
    exit: ExitPlace,
}

impl Growing {
    /// Every group but the top has the way back where the settings want it.
    fn group<P: Presses>(&mut self, judge: &Judge<P>, parts: &[Part], parent: Option<GroupIx>) -> GroupIx {
        let group = self.reserve(parent);
        let exit = parent.map_or(ExitPlace::None, |_| self.exit);
        let mut entries = Vec::with_capacity(parts.len() + 1);
        entries.extend((exit == ExitPlace::First).then_some(Entry::Exit));
        for part in parts {
            entries.push(match part {
                Part::Item(item) => self.item(judge.stock.items[usize::from(*item)].needs_confirming, group),
                Part::Group(_, inside) => Entry::Group(self.group(judge, inside, Some(group))),
            });
        }
        entries.extend((exit == ExitPlace::Last).then_some(Entry::Exit));
        self.groups[usize::from(group.0)].entries = entries;
        group
    }

    fn reserve(&mut self, parent: Option<GroupIx>) -> GroupIx {
        self.groups.push(ScanGroup { parent, entries: Vec::new() });
        GroupIx(self.groups.len() as u16 - 1)
    }

    fn item(&mut self, asks: bool, around: GroupIx) -> Entry {
        let item = Entry::Item(ItemIx(self.items));
        self.items += 1;
        if !asks {
            return item;
        }
        let question = self.reserve(Some(around));
        self.groups[usize::from(question.0)].entries = vec![Entry::Exit, item];
        Entry::Group(question)
    }
}

#[cfg(test)]
mod tests {
    use super::super::parts::Stock;
    use super::super::search::GROUP_ITEM;
    use super::super::shapes::{shaped, shapes};
    use super::*;
    use crate::advice::by_traits::ByTraits;
    use crate::menu::shipped;
    use crate::settings::{Id, Settings};
    use crate::sim::traits::STEADY;

    #[test]
    fn the_tree_is_the_one_of_the_engine() {
        let menu = shipped::find("flat").unwrap();
        for exit in 0..3 {
            let settings = Settings::default().with(Id::Exit, exit);
            let (stock, parts) = Stock::of(&menu, |_| false);
            let judge = Judge::new(&menu, stock, &settings, ByTraits::new(&STEADY, &settings), |_| false);
            for shape in shapes() {
                let parts = shaped(&judge.stock, &parts, shape);
                let engine = judge.arrangement(&parts, GROUP_ITEM).tree;
                // Groups may be numbered otherwise; the ways to the items are the same.
                let way = |tree: &ScanTree, item| {
                    tree.path(ItemIx(item)).unwrap().iter().map(|step| step.1).collect::<Vec<_>>()
                };
                let quick = judge.tree(&parts);
                assert!((0..35).all(|item| way(&quick, item) == way(&engine, item)), "{exit} {shape:?}");
                let found = judge.judge(&parts, GROUP_ITEM);
                assert!(found.is_none() || found == judge.quick(&parts), "{exit} {shape:?}");
            }
        }
    }
}
