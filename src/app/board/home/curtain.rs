//! A curtain before a window: closed or open.

use super::super::shapes::{Area, Pen};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    let glass = theme.background.towards(theme.glow, 0.45 * level);
    case(pen, Area::new(8.0, 10.0, 32.0, 34.0), 1.0, glass, theme);
    pen.line(&[(24.0, 10.0), (24.0, 44.0)], LINE, theme.ink);
    // Each half hangs from its side; open, it takes a fifth of the window.
    let width = 18.0 - 11.5 * level;
    for x in [6.0, 42.0 - width] {
        case(pen, Area::new(x, 7.0, width, 37.5), 1.0, theme.surface, theme);
        for fold in 1..3 {
            let at = x + width * fold as f32 / 3.0;
            pen.line(&[(at, 11.0), (at, 41.0)], 0.6 * LINE, theme.ink);
        }
    }
    pen.line(&[(2.0, 6.0), (46.0, 6.0)], 1.6 * LINE, theme.ink);
}
