//! The shipped menus under every pattern with every exit.

use super::*;
use crate::engine::tree::Entry;
use crate::menu::shipped;
use crate::settings::Id;

const PATTERNS: [&str; 5] = ["by-size", "linear", "row-column", "column-row", "group-item"];
const EXITS: [&str; 3] = ["last", "first", "none"];

fn arranged(menu: &str, pattern: &str, exit: &str) -> Arrangement {
    let value = |id, text| crate::settings::parse_value(id, text).unwrap();
    let settings =
        Settings::default().with(Id::Pattern, value(Id::Pattern, pattern)).with(Id::Exit, value(Id::Exit, exit));
    Arrangement::new(&shipped::find(menu).unwrap(), &settings)
}

/// Every menu that ships under every pattern with every exit.
fn all() -> impl Iterator<Item = (String, Arrangement)> {
    let menus = shipped::MENUS.iter().map(|(name, _)| *name);
    let patterns = move |menu| PATTERNS.into_iter().map(move |pattern| (menu, pattern));
    menus.flat_map(patterns).flat_map(|(menu, pattern)| {
        let name = move |exit| format!("{menu} {pattern} {exit}");
        EXITS.into_iter().map(move |exit| (name(exit), arranged(menu, pattern, exit)))
    })
}

#[test]
fn every_item_can_be_reached_and_lights_its_own_tile() {
    for (name, arrangement) in all() {
        for index in 0..arrangement.items().len() as u16 {
            let path = arrangement.tree.path(ItemIx(index)).unwrap_or_else(|| panic!("{name}: item {index}"));
            let (group, entry) = *path.last().unwrap();
            let page = arrangement.page(arrangement.page_of(group));
            let lit: Vec<TileRef> = arrangement.lit_tiles(group, entry).iter().map(|tile| page.tiles[*tile]).collect();
            let risky = arrangement.item(ItemIx(index)).needs_confirming;
            let wanted = if risky { TileRef::Yes(ItemIx(index)) } else { TileRef::Item(ItemIx(index)) };
            assert_eq!(lit, [wanted], "{name}");
        }
    }
}

#[test]
fn every_entry_lights_tiles_of_its_page_and_no_blank_one() {
    for (name, arrangement) in all() {
        for (index, group) in arrangement.tree.groups.iter().enumerate() {
            let index = GroupIx(index as u16);
            let page = arrangement.page(arrangement.page_of(index));
            assert!(!group.entries.is_empty(), "{name}");
            for entry in 0..group.entries.len() as u16 {
                let lit = arrangement.lit_tiles(index, EntryIx(entry));
                assert!(!lit.is_empty() && lit.iter().all(|tile| page.tiles[*tile] != TileRef::Blank), "{name}");
            }
        }
    }
}

#[test]
fn a_risky_item_is_asked_for_back_first_then_yes() {
    let arrangement = arranged("flat", "by-size", "last");
    let risky = arrangement.items().iter().position(|item| item.needs_confirming).unwrap() as u16;
    let path = arrangement.tree.path(ItemIx(risky)).unwrap();
    let (question, yes) = *path.last().unwrap();
    assert_eq!(yes, EntryIx(1));
    assert_eq!(arrangement.question(ItemIx(risky)), Some(question));
    let harmless = arrangement.items().iter().position(|item| !item.needs_confirming).unwrap() as u16;
    assert_eq!(arrangement.question(ItemIx(harmless)), None);
    assert_eq!(arrangement.tree.group(question).entries[0], Entry::Exit);
    let page = arrangement.page(arrangement.page_of(question));
    assert_eq!(page.tiles, [TileRef::Back, TileRef::Yes(ItemIx(risky))]);
}

#[test]
fn the_way_back_stands_where_the_setting_says() {
    for (exit, place) in [("last", Some(true)), ("first", Some(false)), ("none", None)] {
        let arrangement = arranged("flat", "linear", exit);
        let opened = arrangement.tree.groups.iter().find(|group| group.parent.is_some() && group.entries.len() > 2);
        let entries = &opened.unwrap().entries;
        let ends = (entries.first() == Some(&Entry::Exit), entries.last() == Some(&Entry::Exit));
        assert_eq!(ends, place.map_or((false, false), |last| (!last, last)), "{exit}");
    }
}

#[test]
fn the_top_of_a_small_menu_is_linear_and_has_no_way_back() {
    let arrangement = arranged("six", "by-size", "last");
    let top = arrangement.tree.group(ScanTree::TOP);
    assert_eq!(top.entries.len(), 6);
    assert!(!top.entries.contains(&Entry::Exit));
    assert_eq!(arrangement.page(0).columns, 3);
}

#[test]
fn rows_and_columns_group_the_tiles_of_a_grid() {
    let rows = arranged("nine", "row-column", "none");
    let columns = arranged("nine", "column-row", "none");
    assert_eq!(rows.lit_tiles(ScanTree::TOP, EntryIx(1)), [3, 4, 5]);
    assert_eq!(columns.lit_tiles(ScanTree::TOP, EntryIx(1)), [1, 4, 7]);
}

#[test]
fn pages_are_wider_than_high() {
    assert_eq!([1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 36].map(near_square), [1, 2, 3, 2, 3, 3, 4, 4, 3, 4, 6]);
}
