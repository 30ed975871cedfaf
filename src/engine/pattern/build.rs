//! Compiles a menu: pages, questions before risky choices, ways back.

use std::sync::Arc;

use super::layout::{Cell, Frame, Layout, Slot, Stop};
use super::{Arrangement, Face, Page, Place, TileRef, lay_out};
use crate::engine::tree::{Entry, GroupIx, ItemIx, ScanGroup, ScanTree};
use crate::menu::{Group, Item, Menu, Node};
use crate::settings::Settings;

pub(super) fn build(menu: &Menu, settings: &Settings) -> Arrangement {
    let mut items = Vec::new();
    collect(&menu.top, &mut items);
    let mut builder =
        Builder { settings, items, groups: Vec::new(), places: Vec::new(), pages: Vec::new(), opened: Vec::new() };
    builder.page(&menu.top, None, &mut 0);
    let Builder { items, groups, places, pages, .. } = builder;
    Arrangement { tree: Arc::new(ScanTree { groups }), pages, items: items.into_iter().cloned().collect(), places }
}

fn collect<'a>(group: &'a Group, items: &mut Vec<&'a Item>) {
    for entry in &group.entries {
        match entry {
            Node::Item(item) => items.push(item),
            Node::Group(group) => collect(group, items),
        }
    }
}

struct Builder<'a> {
    settings: &'a Settings,
    items: Vec<&'a Item>,
    groups: Vec<ScanGroup>,
    places: Vec<Place>,
    pages: Vec<Page>,
    /// The groups with pages of their own, and what is scanned there.
    opened: Vec<(&'a Group, GroupIx)>,
}

impl<'a> Builder<'a> {
    /// Adds a page and all that it opens; gives the group that is scanned on it. `next_item` counts
    /// the items in the order of the menu.
    fn page(&mut self, group: &'a Group, parent: Option<GroupIx>, next_item: &mut u16) -> GroupIx {
        let mut opened = Vec::new();
        let cells = cells(group, next_item, &mut opened);
        let frame = Frame { exit: self.settings.exit(), sub_page: parent.is_some() };
        let Layout { columns, slots, stops } = lay_out(self.settings.pattern_in_force(), &cells, frame);
        let page = self.pages.len();
        self.pages.push(Page { columns, tiles: Vec::new() });
        let flat = flatten(&cells);
        let whole = self.reserve(parent);
        self.fill(whole, page, &stops, &Content { slots: &slots, cells: &flat, first_items: &opened });
        let tiles = slots.iter().map(|slot| self.tile(*slot, &flat)).collect();
        self.pages[page].tiles = tiles;
        self.places[usize::from(whole.0)].face = Some(face(group));
        self.opened.push((group, whole));
        whole
    }

    fn reserve(&mut self, parent: Option<GroupIx>) -> GroupIx {
        self.groups.push(ScanGroup { parent, entries: Vec::new() });
        self.places.push(Place::default());
        GroupIx(self.groups.len() as u16 - 1)
    }

    /// Turns the stops of a page, or of a group on it, into the entries of `group`.
    fn fill(&mut self, group: GroupIx, page: usize, stops: &[Stop], content: &Content<'_, 'a>) {
        let mut entries = Vec::with_capacity(stops.len());
        for stop in stops {
            entries.push(match stop {
                Stop::Group(inner) => {
                    let inside = self.reserve(Some(group));
                    self.fill(inside, page, inner, content);
                    Entry::Group(inside)
                }
                Stop::Slot(slot) => self.entry(content.slots[*slot], group, content),
            });
        }
        self.groups[usize::from(group.0)].entries = entries;
        let place = &mut self.places[usize::from(group.0)];
        place.page = page;
        place.lit = stops.iter().map(Stop::slots).collect();
    }

    fn entry(&mut self, slot: Slot, group: GroupIx, content: &Content<'_, 'a>) -> Entry {
        let Slot::Cell(cell) = slot else { return Entry::Exit };
        match content.cells[cell] {
            Cell::Item(item) if self.items[usize::from(item.0)].needs_confirming => {
                Entry::Group(self.question(*item, group))
            }
            Cell::Item(item) => Entry::Item(*item),
            Cell::Opens(opens) => {
                let first = content.first_items.iter().find(|(known, _)| std::ptr::eq(*known, *opens));
                Entry::Group(self.page(opens, Some(group), &mut first.map_or(0, |(_, first)| *first)))
            }
            Cell::Group(_) => unreachable!("cells are flat here"),
        }
    }

    /// The page with the two choices before a risky item: back first, then yes.
    fn question(&mut self, item: ItemIx, parent: GroupIx) -> GroupIx {
        let page = self.pages.len();
        self.pages.push(Page { columns: 2, tiles: vec![TileRef::Back, TileRef::Yes(item)] });
        self.groups.push(ScanGroup { parent: Some(parent), entries: vec![Entry::Exit, Entry::Item(item)] });
        self.places.push(Place { page, lit: vec![vec![0], vec![1]], face: None });
        GroupIx(self.groups.len() as u16 - 1)
    }

    fn tile(&self, slot: Slot, cells: &[&Cell<'a>]) -> TileRef {
        match slot {
            Slot::Blank => TileRef::Blank,
            Slot::Back => TileRef::Back,
            Slot::Cell(cell) => match cells[cell] {
                Cell::Item(item) => TileRef::Item(*item),
                Cell::Opens(group) => TileRef::Opens(self.scanned_in(group)),
                Cell::Group(_) => unreachable!("cells are flat here"),
            },
        }
    }

    /// What is scanned on the page of its own that `group` opens.
    fn scanned_in(&self, group: &Group) -> GroupIx {
        let found = self.opened.iter().find(|(known, _)| std::ptr::eq(*known, group));
        found.map_or(ScanTree::TOP, |(_, scanned)| *scanned)
    }
}

/// What stands on a page.
struct Content<'b, 'a> {
    slots: &'b [Slot],
    cells: &'b [&'b Cell<'a>],
    /// The first item of each group that opens a page.
    first_items: &'b [(&'a Group, u16)],
}

/// The cells of a page; a group that opens a page of its own is noted with its first item's number.
fn cells<'a>(group: &'a Group, next_item: &mut u16, opened: &mut Vec<(&'a Group, u16)>) -> Vec<Cell<'a>> {
    let mut cells = Vec::with_capacity(group.entries.len());
    for entry in &group.entries {
        cells.push(match entry {
            Node::Item(_) => {
                *next_item += 1;
                Cell::Item(ItemIx(*next_item - 1))
            }
            Node::Group(inner) if inner.page => {
                opened.push((inner, *next_item));
                let mut items = Vec::new();
                collect(inner, &mut items);
                *next_item += items.len() as u16;
                Cell::Opens(inner)
            }
            Node::Group(inner) => Cell::Group(self::cells(inner, next_item, opened)),
        });
    }
    cells
}

fn flatten<'b, 'a>(cells: &'b [Cell<'a>]) -> Vec<&'b Cell<'a>> {
    let each = |cell: &'b Cell<'a>| if let Cell::Group(inner) = cell { flatten(inner) } else { vec![cell] };
    cells.iter().flat_map(each).collect()
}

fn face(group: &Group) -> Face {
    Face { id: group.id.clone(), label: group.label.clone(), spoken: group.spoken.clone(), icon: group.icon.clone() }
}
