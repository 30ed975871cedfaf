//! A lamp: dark or lit.

use super::super::shapes::{Area, Pen, arc, polyline};
use super::super::theme::Theme;
use super::LINE;

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    let shade = [(15.0, 6.0), (33.0, 6.0), (40.0, 24.0), (8.0, 24.0)];
    let fill = theme.surface.towards(theme.glow, level);
    if level > 0.0 {
        pen.veil(polyline(&[(9.0, 24.0), (39.0, 24.0), (47.0, 44.0), (1.0, 44.0)], true), theme.glow, 0.28 * level);
    }
    pen.polygon(&shade, fill);
    pen.stroke(polyline(&shade, true), LINE, theme.ink);
    pen.line(&[(24.0, 25.0), (24.0, 42.0)], LINE, theme.ink);
    pen.fill(arc(24.0, 24.5, 3.5, 0.0, 180.0), fill);
    pen.panel(Area::new(15.0, 41.5, 18.0, 3.5), 1.7, theme.ink);
}
