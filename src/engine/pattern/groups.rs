//! Group-item: the menu's own groups, then a tile in one; groups may hold groups.

use super::layout::{Cell, Frame, Layout, Slot, Stop, leaves, near_square, with_exit};
use crate::settings::ExitPlace;

/// Most tiles in a row.
const WIDEST: usize = 6;

pub(super) fn lay_out(cells: &[Cell<'_>], frame: Frame) -> Layout {
    let back = usize::from(frame.exit != ExitPlace::None);
    let longest = cells.iter().map(|cell| if let Cell::Group(inner) = cell { leaves(inner) + back } else { 1 }).max();
    let width = longest.unwrap_or(1).max(near_square(leaves(cells))).min(WIDEST);
    let mut layout = Layout::new(width);
    let mut next = 0;
    let own = if frame.sub_page { frame.exit } else { ExitPlace::None };
    layout.stops = stops(cells, own, frame.exit, &mut layout, &mut next);
    layout
}

/// The stops of one level; groups begin a row of their own.
fn stops(cells: &[Cell<'_>], own: ExitPlace, inner: ExitPlace, layout: &mut Layout, next: &mut usize) -> Vec<Stop> {
    let mut stops = Vec::new();
    for slot in with_exit(0..cells.len(), own) {
        let Slot::Cell(index) = slot else {
            stops.push(layout.put(Slot::Back));
            continue;
        };
        if let Cell::Group(cells) = &cells[index] {
            layout.new_row();
            stops.push(Stop::Group(self::stops(cells, inner, inner, layout, next)));
            layout.new_row();
        } else {
            stops.push(layout.put(Slot::Cell(*next)));
            *next += 1;
        }
    }
    stops
}
