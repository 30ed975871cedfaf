//! Linear: one tile after the other.

use super::layout::{Cell, Frame, Layout, leaves, near_square, with_exit};
use crate::settings::ExitPlace;

pub(super) fn lay_out(cells: &[Cell<'_>], frame: Frame) -> Layout {
    let exit = if frame.sub_page { frame.exit } else { ExitPlace::None };
    let slots = with_exit(0..leaves(cells), exit);
    let mut layout = Layout::new(near_square(slots.len()));
    layout.stops = slots.into_iter().map(|slot| layout.put(slot)).collect();
    layout
}
