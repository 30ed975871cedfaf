//! A lift between floors: down or up.

use super::super::shapes::{Area, Pen};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    case(pen, Area::new(10.0, 2.0, 28.0, 44.0), 1.5, theme.background, theme);
    pen.line(&[(3.0, 24.0), (10.0, 24.0)], LINE, theme.ink);
    pen.line(&[(38.0, 24.0), (45.0, 24.0)], LINE, theme.ink);
    let top = 25.0 - 21.0 * level;
    pen.line(&[(24.0, 3.0), (24.0, top)], 0.7 * LINE, theme.ink);
    case(pen, Area::new(13.0, top, 22.0, 19.0), 1.0, theme.surface.towards(theme.glow, level), theme);
    pen.line(&[(24.0, top + 1.0), (24.0, top + 18.0)], 0.7 * LINE, theme.ink);
}
