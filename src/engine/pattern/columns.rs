//! Column-row: a column, then a tile in it.

use super::layout::{Cell, Frame, Layout, Slot, Stop, leaves, near_square};
use crate::settings::ExitPlace;

pub(super) fn lay_out(cells: &[Cell<'_>], frame: Frame) -> Layout {
    let count = leaves(cells);
    let width = near_square(count);
    // The page's own way back is a column of one.
    let own = usize::from(frame.sub_page && frame.exit != ExitPlace::None);
    let shift = if frame.exit == ExitPlace::First { own } else { 0 };
    let mut layout = Layout::new(width + own);
    layout.slots = grid(count, width, shift, layout.columns, frame.exit);
    if own == 1 {
        let corner = if shift == 1 { 0 } else { width };
        layout.slots[corner] = Slot::Back;
    }
    let columns = layout.columns;
    let stop = |column: usize| {
        let taken = |slot: &usize| layout.slots[*slot] != Slot::Blank;
        let slots: Vec<usize> = (column..layout.slots.len()).step_by(columns).filter(taken).collect();
        let is_cells = slots.iter().any(|slot| matches!(layout.slots[*slot], Slot::Cell(_)));
        if is_cells { Stop::Group(slots.into_iter().map(Stop::Slot).collect()) } else { Stop::Slot(slots[0]) }
    };
    layout.stops = (0..columns).map(stop).collect();
    layout
}

/// The cells row by row, `shift` columns from the left, with a row of ways back above or below.
fn grid(count: usize, width: usize, shift: usize, columns: usize, exit: ExitPlace) -> Vec<Slot> {
    let rows = count.div_ceil(width);
    let above = usize::from(exit == ExitPlace::First);
    let below = usize::from(exit == ExitPlace::Last);
    let mut slots = vec![Slot::Blank; (rows + above + below) * columns];
    for cell in 0..count {
        slots[(above + cell / width) * columns + shift + cell % width] = Slot::Cell(cell);
    }
    if above + below > 0 {
        let row = if above == 1 { 0 } else { rows };
        (0..width).for_each(|column| slots[row * columns + shift + column] = Slot::Back);
    }
    slots
}
