//! What a pattern is given and what it gives back.

use crate::engine::tree::ItemIx;
use crate::menu::Group;
use crate::settings::ExitPlace;

/// Something that stands on a page.
#[derive(Clone, Debug)]
pub(super) enum Cell<'a> {
    /// An item.
    Item(ItemIx),
    /// A group that opens a page of its own.
    Opens(&'a Group),
    /// A group on this page.
    Group(Vec<Cell<'a>>),
}

/// What a page is like beside its cells.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    /// Where groups offer the way back.
    pub exit: ExitPlace,
    /// The page was opened from another one, so it offers a way back itself.
    pub sub_page: bool,
}

/// A page under a pattern.
#[derive(Debug)]
pub(super) struct Layout {
    pub columns: usize,
    pub slots: Vec<Slot>,
    pub stops: Vec<Stop>,
}

/// What stands in a place of the page. `Cell` counts the cells of the page without groups, in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Slot {
    Cell(usize),
    Back,
    Blank,
}

/// Where the highlight stops: on the tile in this slot, or on several as a group.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Stop {
    Slot(usize),
    Group(Vec<Stop>),
}

impl Stop {
    /// The slots that light.
    pub fn slots(&self) -> Vec<usize> {
        match self {
            Stop::Slot(slot) => vec![*slot],
            Stop::Group(stops) => stops.iter().flat_map(Stop::slots).collect(),
        }
    }
}

impl Layout {
    pub fn new(columns: usize) -> Layout {
        Layout { columns: columns.max(1), slots: Vec::new(), stops: Vec::new() }
    }

    /// Puts something into the next place and stops on it.
    pub fn put(&mut self, slot: Slot) -> Stop {
        self.slots.push(slot);
        Stop::Slot(self.slots.len() - 1)
    }

    /// Fills the row up, so that the next place begins a new one.
    pub fn new_row(&mut self) {
        while !self.slots.len().is_multiple_of(self.columns) {
            self.slots.push(Slot::Blank);
        }
    }
}

/// Puts the way back where the setting wants it.
pub(super) fn with_exit(cells: impl Iterator<Item = usize>, exit: ExitPlace) -> Vec<Slot> {
    let mut slots: Vec<Slot> = cells.map(Slot::Cell).collect();
    match exit {
        ExitPlace::First => slots.insert(0, Slot::Back),
        ExitPlace::Last => slots.push(Slot::Back),
        ExitPlace::None => {}
    }
    slots
}

/// How many tiles the cells come to.
pub(super) fn leaves(cells: &[Cell<'_>]) -> usize {
    cells.iter().map(|cell| if let Cell::Group(inner) = cell { leaves(inner) } else { 1 }).sum()
}

/// Columns that make `count` tiles nearly square on a screen that is wider than high: 6 stand as
/// 3 × 2, 8 as 4 × 2, 9 as 3 × 3.
#[must_use]
pub fn near_square(count: usize) -> usize {
    let rows = count.isqrt().max(1);
    count.div_ceil(rows).max(1)
}
