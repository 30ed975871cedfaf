//! Row-column: a row, then a tile in it.

use super::layout::{Cell, Frame, Layout, Slot, Stop, leaves, near_square, with_exit};
use crate::settings::ExitPlace;

pub(super) fn lay_out(cells: &[Cell<'_>], frame: Frame) -> Layout {
    let count = leaves(cells);
    let width = near_square(count);
    let back = usize::from(frame.exit != ExitPlace::None);
    let mut layout = Layout::new(width + back);
    let mut stops = Vec::new();
    if frame.sub_page && frame.exit == ExitPlace::First {
        stops.push(layout.put(Slot::Back));
    }
    for first in (0..count).step_by(width) {
        layout.new_row();
        let row = with_exit(first..count.min(first + width), frame.exit);
        stops.push(Stop::Group(row.into_iter().map(|slot| layout.put(slot)).collect()));
    }
    if frame.sub_page && frame.exit == ExitPlace::Last {
        layout.new_row();
        stops.push(layout.put(Slot::Back));
    }
    layout.stops = stops;
    layout
}
