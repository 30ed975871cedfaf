//! When the wanted entry was lit in a trial, and whether it went by.
//!
//! The log counts the passes that went by over all levels, and not the last one, which ends the
//! trial or the group. Here the highlights themselves are followed, so that each lighting has its
//! level and place and every pass that went by is there once.

use crate::engine::effect::{Effect, Lit, Why};
use crate::engine::tree::{Entry, EntryIx, GroupIx, ScanTree};
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::time::Moment;

/// One lighting of the wanted entry that was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Lighting {
    /// Levels below the top.
    pub level: u8,
    /// Position of the wanted entry, from 0.
    pub position: u16,
    /// Entries in its group.
    pub count: u16,
    /// Passes over the group that came before.
    pub pass: u32,
    /// When its frame was shown.
    pub shown: Moment,
    /// The highlight went on before a press took anything.
    pub went_by: bool,
}

/// The lightings among the records of one trial, whose target is reached by `path`.
pub(super) fn lightings(tree: &ScanTree, path: &[(GroupIx, EntryIx)], records: &[Record]) -> Vec<Lighting> {
    let mut watch = Watch { tree, path, level: 0, lit: None, lightings: Vec::new() };
    records.iter().for_each(|record| watch.take(record));
    watch.lightings
}

struct Watch<'a> {
    tree: &'a ScanTree,
    path: &'a [(GroupIx, EntryIx)],
    level: u8,
    /// The wanted entry is lit.
    lit: Option<Wanted>,
    lightings: Vec<Lighting>,
}

/// A wanted entry while it is lit.
struct Wanted {
    number: u64,
    group: GroupIx,
    entry: EntryIx,
    pass: u32,
    /// Its place among the lightings, once it was shown.
    seen: Option<usize>,
}

impl Watch<'_> {
    fn take(&mut self, record: &Record) {
        match &record.what {
            What::Input(Input::Shown { number }) => self.shown(*number, record.at),
            What::Effect(Effect::Highlight { number, lit, .. }) => {
                self.went_by();
                self.lit = self.wanted(*number, *lit);
            }
            What::Effect(Effect::Entered { .. }) => {
                self.lit = None;
                self.level = self.level.saturating_add(1);
            }
            What::Effect(Effect::Taken { .. }) => self.lit = None,
            What::Effect(Effect::Left { why, .. }) => {
                if *why == Why::Loops {
                    self.went_by();
                }
                self.lit = None;
                self.level = self.level.saturating_sub(1);
            }
            What::Effect(Effect::Stopped { why: Why::Loops }) => self.went_by(),
            _ => {}
        }
    }

    /// The entry that is lit, if it is the wanted one: the next step of the path, or the way out of
    /// a group that was entered by mistake.
    fn wanted(&self, number: u64, lit: Lit) -> Option<Wanted> {
        let Lit::Entry { group, entry, pass } = lit else { return None };
        let entries = &self.tree.groups.get(usize::from(group.0))?.entries;
        let step = self.path.iter().find(|(on_path, _)| *on_path == group).map(|(_, entry)| usize::from(entry.0));
        let wanted = step.or_else(|| entries.iter().position(|entry| *entry == Entry::Exit))?;
        (usize::from(entry.0) == wanted).then_some(Wanted { number, group, entry, pass, seen: None })
    }

    /// The scene `number` and with it every highlight up to it was shown.
    fn shown(&mut self, number: u64, at: Moment) {
        let Some(wanted) = self.lit.as_mut().filter(|wanted| wanted.seen.is_none() && wanted.number <= number) else {
            return;
        };
        wanted.seen = Some(self.lightings.len());
        self.lightings.push(Lighting {
            level: self.level,
            position: wanted.entry.0,
            count: self.tree.group(wanted.group).entries.len() as u16,
            pass: wanted.pass,
            shown: at,
            went_by: false,
        });
    }

    fn went_by(&mut self) {
        if let Some(seen) = self.lit.take().and_then(|wanted| wanted.seen) {
            self.lightings[seen].went_by = true;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::effect::{Activation, Switch};
    use crate::engine::tree::ItemIx;

    /// Entry `entry` of the group is lit as number `number`, at once shown.
    fn lit(number: u64, group: u16, entry: u16, pass: u32) -> [Record; 2] {
        let at = Moment(number * 1_000);
        let lit = Lit::Entry { group: GroupIx(group), entry: EntryIx(entry), pass };
        [
            Record { at, what: What::Effect(Effect::Highlight { number, due: at, lit }) },
            Record { at: Moment(at.0 + 8), what: What::Input(Input::Shown { number }) },
        ]
    }

    fn effect(effect: Effect) -> Record {
        Record { at: Moment(0), what: What::Effect(effect) }
    }

    fn by() -> Activation {
        Activation { switch: Switch(0), pressed: Moment(0), accepted: Moment(0) }
    }

    fn found(tree: &ScanTree, item: u16, records: &[Record]) -> Vec<(u8, u16, u32, bool)> {
        let path = tree.path(ItemIx(item)).unwrap();
        let all = lightings(tree, &path, records);
        all.iter().map(|found| (found.level, found.position, found.pass, found.went_by)).collect()
    }

    #[test]
    fn the_last_pass_over_the_last_entry_went_by_too() {
        let stopped = effect(Effect::Stopped { why: Why::Loops });
        let records = [&lit(1, 0, 0, 0)[..], &lit(2, 0, 1, 0), &lit(3, 0, 0, 1), &lit(4, 0, 1, 1), &[stopped]].concat();
        assert_eq!(found(&ScanTree::linear(2), 1, &records), [(0, 1, 0, true), (0, 1, 1, true)]);
    }

    #[test]
    fn a_lighting_that_is_taken_or_never_shown_did_not_go_by() {
        let (group, entry) = (ScanTree::TOP, EntryIx(1));
        let (number, latency_us, shown) = (4, 0, Moment(0));
        let taken = effect(Effect::Taken { number, group, entry, item: ItemIx(1), latency_us, shown, by: by() });
        let [unseen, _] = lit(2, 0, 1, 0);
        let records = [&lit(1, 0, 0, 0)[..], &[unseen], &lit(3, 0, 0, 1), &lit(4, 0, 1, 1), &[taken]].concat();
        assert_eq!(found(&ScanTree::linear(2), 1, &records), [(0, 1, 1, false)]);
    }

    #[test]
    fn each_level_has_its_own_and_a_group_that_is_left_goes_by() {
        let tree = ScanTree::row_column(2, 2);
        let path = tree.path(ItemIx(2)).unwrap();
        let (row, item) = (path[0], path[1]);
        let entered = effect(Effect::Entered {
            number: 1,
            into: item.0,
            group: row.0,
            entry: row.1,
            latency_us: 0,
            shown: Moment(0),
            by: by(),
        });
        let left = effect(Effect::Left { group: item.0, why: Why::Loops, by: None });
        let lit_at = |number, (group, entry): (GroupIx, EntryIx)| lit(number, group.0, entry.0, 0);
        let records = [&lit_at(1, row)[..], &[entered], &lit_at(2, item), &[left], &lit_at(3, row)].concat();
        let expected = [(0, row.1.0, 0, false), (1, item.1.0, 0, true), (0, row.1.0, 0, false)];
        assert_eq!(found(&tree, 2, &records), expected);
    }
}
