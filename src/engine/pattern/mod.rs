//! Scan patterns: from a menu to the tree that the scanner walks and the pages that are seen.
//!
//! A pattern decides where the tiles of a page stand and in which order they are scanned; it is one
//! function in a file of its own. Everything else (pages of their own, questions before risky
//! choices, ways back) is the same for all and stands in `build.rs`.

mod build;
mod columns;
mod groups;
mod layout;
mod linear;
mod rows;

use std::sync::Arc;

use super::tree::{EntryIx, GroupIx, ItemIx, ScanTree};
use crate::menu::{self, Menu};
use crate::settings::{PatternChoice, Settings};

pub use layout::near_square;
use layout::{Cell, Frame, Layout};

/// Up to this many tiles a page is scanned one by one where the pattern goes by size.
pub const LINEAR_UP_TO: usize = 9;

/// A menu under one pattern.
#[derive(Clone, Debug, PartialEq)]
pub struct Arrangement {
    /// What the scanner walks.
    pub tree: Arc<ScanTree>,
    pages: Vec<Page>,
    items: Vec<menu::Item>,
    places: Vec<Place>,
}

/// One page of tiles, filled row by row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// Tiles in a row.
    pub columns: usize,
    /// The tiles; the last row may be shorter.
    pub tiles: Vec<TileRef>,
}

/// What stands on a tile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TileRef {
    /// An item.
    Item(ItemIx),
    /// A group that opens a page of its own.
    Opens(GroupIx),
    /// The way back.
    Back,
    /// The second choice of a question: yes, this item.
    Yes(ItemIx),
    /// Nothing: it keeps the columns in line.
    Blank,
}

/// Where a group of the tree is seen.
#[derive(Clone, Debug, Default, PartialEq)]
struct Place {
    page: usize,
    /// The tiles that light for each entry.
    lit: Vec<Vec<usize>>,
    /// Words and picture of the group's tile, where it has one.
    face: Option<Face>,
}

/// Words and picture of a group's tile.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Face {
    /// Id of the group.
    pub id: String,
    /// Its words.
    pub label: String,
    /// What is spoken.
    pub spoken: String,
    /// Name of its picture.
    pub icon: String,
}

impl Arrangement {
    /// The menu under the pattern and with the exits of these settings. Items are numbered as they
    /// stand in the menu, depth first.
    #[must_use]
    pub fn new(menu: &Menu, settings: &Settings) -> Arrangement {
        build::build(menu, settings)
    }

    /// All items; an [`ItemIx`] is a place in it.
    #[must_use]
    pub fn items(&self) -> &[menu::Item] {
        &self.items
    }

    /// The item with this index.
    #[must_use]
    pub fn item(&self, item: ItemIx) -> &menu::Item {
        &self.items[usize::from(item.0)]
    }

    /// The item with this id.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<ItemIx> {
        self.items.iter().position(|item| item.id == id).map(|index| ItemIx(index as u16))
    }

    /// The page on which a group is scanned.
    #[must_use]
    pub fn page_of(&self, group: GroupIx) -> usize {
        self.place(group).page
    }

    /// All pages, the top one first.
    #[must_use]
    pub fn pages(&self) -> &[Page] {
        &self.pages
    }

    /// One page.
    #[must_use]
    pub fn page(&self, page: usize) -> &Page {
        &self.pages[page]
    }

    /// The tiles of the group's page that light for one of its entries.
    #[must_use]
    pub fn lit_tiles(&self, group: GroupIx, entry: EntryIx) -> &[usize] {
        &self.place(group).lit[usize::from(entry.0)]
    }

    /// The question that is asked before this item is taken, if it needs confirming.
    #[must_use]
    pub fn question(&self, item: ItemIx) -> Option<GroupIx> {
        let asks = self.item(item).needs_confirming;
        self.tree.path(item).filter(|_| asks)?.last().map(|(group, _)| *group)
    }

    /// Words and picture of the tile that opens this group.
    #[must_use]
    pub fn face(&self, group: GroupIx) -> Option<&Face> {
        self.place(group).face.as_ref()
    }

    fn place(&self, group: GroupIx) -> &Place {
        &self.places[usize::from(group.0)]
    }
}

/// How one page is laid out and scanned under a pattern.
fn lay_out(pattern: PatternChoice, cells: &[Cell<'_>], frame: Frame) -> Layout {
    match pattern {
        PatternChoice::Linear => linear::lay_out(cells, frame),
        PatternChoice::RowColumn => rows::lay_out(cells, frame),
        PatternChoice::ColumnRow => columns::lay_out(cells, frame),
        PatternChoice::GroupItem => groups::lay_out(cells, frame),
        PatternChoice::BySize if layout::leaves(cells) <= LINEAR_UP_TO => linear::lay_out(cells, frame),
        PatternChoice::BySize => rows::lay_out(cells, frame),
    }
}

#[cfg(test)]
mod tests;
