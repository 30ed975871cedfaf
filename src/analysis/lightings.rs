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
