//! A window: closed or swung open.

use super::super::shapes::{Area, Pen, polyline};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    case(pen, Area::new(9.0, 5.0, 30.0, 38.0), 1.0, theme.surface.towards(theme.background, level), theme);
    // Closed, the wing covers the frame; open, it stands out to the left, seen from the side.
    let (near, lean) = (36.0 - 22.0 * level, 4.0 * level);
    let wing = [(12.0, 8.0), (near, 8.0 - lean), (near, 40.0 + lean), (12.0, 40.0)];
    pen.polygon(&wing, theme.surface);
    pen.stroke(polyline(&wing, true), LINE, theme.ink);
    let middle = (12.0 + near) / 2.0;
    pen.line(&[(middle, 8.0 - lean / 2.0), (middle, 40.0 + lean / 2.0)], 0.7 * LINE, theme.ink);
    pen.line(&[(12.0, 24.0), (near, 24.0)], 0.7 * LINE, theme.ink);
    if level > 0.5 {
        for y in [16.0, 24.0, 32.0] {
            pen.line(&[(22.0, y), (26.0, y - 1.6), (30.0, y + 1.6), (34.0, y)], LINE, theme.glow);
        }
    }
    pen.line(&[(6.0, 44.0), (42.0, 44.0)], 1.4 * LINE, theme.ink);
}
