//! A menu in the order in which it is scanned, ways back left out: for people, and as JSON.

use serde_json::{Value, json};

use crate::engine::pattern::Arrangement;
use crate::engine::tree::{Entry, GroupIx, ScanTree};
use crate::menu::Item;

/// What is lit at a time.
#[derive(Clone, Debug, PartialEq)]
pub enum Stop<'a> {
    /// One item.
    Item(&'a Item),
    /// A group: its name, where it has one, and what is lit in it.
    Group(Option<&'a str>, Vec<Stop<'a>>),
}

/// What is lit at the top, one after the other.
#[must_use]
pub fn stops(arrangement: &Arrangement) -> Vec<Stop<'_>> {
    inside(arrangement, ScanTree::TOP)
}

fn inside(arrangement: &Arrangement, group: GroupIx) -> Vec<Stop<'_>> {
    let stop = |entry: &Entry| match entry {
        Entry::Item(item) => Some(Stop::Item(arrangement.item(*item))),
        Entry::Group(inner) => Some(opened(arrangement, group, *inner)),
        Entry::Exit => None,
    };
    arrangement.tree.group(group).entries.iter().filter_map(stop).collect()
}

/// A question is the item that it asks about.
fn opened(arrangement: &Arrangement, around: GroupIx, group: GroupIx) -> Stop<'_> {
    let page = arrangement.page_of(group) != arrangement.page_of(around);
    let mut stops = inside(arrangement, group);
    match (arrangement.face(group).filter(|_| page), stops.len()) {
        (None, 1) if page => stops.remove(0),
        (face, _) => Stop::Group(face.map(|face| face.label.as_str()), stops),
    }
}

/// One stop a line; `kept` says which items keep their place.
#[must_use]
pub fn lines(stops: &[Stop], kept: &dyn Fn(&str) -> bool) -> Vec<String> {
    let mut lines = Vec::new();
    add_lines(stops, kept, "  ", &mut lines);
    lines
}

fn add_lines(stops: &[Stop], kept: &dyn Fn(&str) -> bool, margin: &str, lines: &mut Vec<String>) {
    for (number, stop) in (1..).zip(stops) {
        match stop {
            Stop::Item(item) => lines.push(format!("{margin}{number:>2}  {}", name(item, kept))),
            Stop::Group(None, inner) if inner.iter().all(|stop| matches!(stop, Stop::Item(_))) => {
                let names = inner
                    .iter()
                    .filter_map(|stop| if let Stop::Item(item) = stop { Some(name(item, kept)) } else { None });
                lines.push(format!("{margin}{number:>2}  row: {}", names.collect::<Vec<_>>().join(" · ")));
            }
            Stop::Group(page, inner) => {
                lines
                    .push(format!("{margin}{number:>2}  {}", page.map_or("row".into(), |page| format!("page {page}"))));
                add_lines(inner, kept, &format!("{margin}    "), lines);
            }
        }
    }
}

fn name(item: &Item, kept: &dyn Fn(&str) -> bool) -> String {
    let asks = if item.needs_confirming { " (asks first)" } else { "" };
    let stays = if kept(&item.id) { " (keeps its place)" } else { "" };
    format!("{}{asks}{stays}", item.label)
}

/// Items by their ids; a row as a list, a page as an object.
#[must_use]
pub fn json(stops: &[Stop]) -> Value {
    let each = |stop: &Stop| match stop {
        Stop::Item(item) => json!(item.id),
        Stop::Group(None, inner) => json(inner),
        Stop::Group(Some(page), inner) => json!({ "page": page, "entries": json(inner) }),
    };
    stops.iter().map(each).collect()
}
