//! A computer: off or on.

use super::super::shapes::{Area, Pen, polyline};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    let screen = theme.background.towards(theme.glow, 0.85 * level);
    case(pen, Area::new(8.0, 8.0, 32.0, 24.0), 2.0, screen, theme);
    if level > 0.5 {
        for (y, to) in [(15.0, 33.0), (20.0, 28.0), (25.0, 31.0)] {
            pen.line(&[(14.0, y), (to, y)], LINE, theme.background);
        }
    }
    let keys = [(8.0, 34.0), (40.0, 34.0), (46.0, 42.0), (2.0, 42.0)];
    pen.polygon(&keys, theme.surface);
    pen.stroke(polyline(&keys, true), LINE, theme.ink);
}
