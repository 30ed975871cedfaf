//! A lock: locked or unlocked.

use super::super::shapes::{Area, Pen};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    let body = theme.surface.towards(theme.glow, level);
    // Unlocked, the shackle is lifted out on its right.
    let (top, right_foot) = (7.0 - 3.0 * level, 23.0 - 8.0 * level);
    pen.line(
        &[(15.0, 23.0), (15.0, top + 5.0), (19.0, top), (29.0, top), (33.0, top + 5.0), (33.0, right_foot)],
        2.0 * LINE,
        theme.ink,
    );
    case(pen, Area::new(9.0, 22.0, 30.0, 22.0), 3.0, body, theme);
    let hole = if level > 0.5 { theme.background } else { theme.ink };
    pen.disc(24.0, 31.0, 3.0, hole);
    pen.line(&[(24.0, 31.0), (24.0, 38.0)], LINE, hole);
}
