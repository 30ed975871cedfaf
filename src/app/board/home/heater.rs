//! A heater: off or on.

use super::super::shapes::{Area, Pen};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    let warm = theme.surface.towards(theme.glow, level);
    for column in 0..5 {
        case(pen, Area::new(7.0 + 7.0 * column as f32, 20.0, 6.0, 22.0), 2.5, warm, theme);
    }
    pen.line(&[(10.0, 42.0), (10.0, 45.5)], LINE, theme.ink);
    pen.line(&[(38.0, 42.0), (38.0, 45.5)], LINE, theme.ink);
    if level > 0.5 {
        for x in [14.0, 24.0, 34.0] {
            pen.line(&[(x, 15.5), (x - 2.2, 12.5), (x + 2.2, 8.5), (x, 5.0)], 1.2 * LINE, theme.glow);
        }
    }
}
