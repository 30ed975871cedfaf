//! A fan: still or turning.

use super::super::shapes::{Area, Pen, arc, polyline};
use super::super::theme::Theme;
use super::LINE;

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    pen.line(&[(24.0, 34.0), (24.0, 43.0)], LINE, theme.ink);
    pen.panel(Area::new(14.0, 42.0, 20.0, 3.5), 1.7, theme.ink);
    pen.disc(24.0, 20.0, 16.5, theme.background);
    pen.circle(24.0, 20.0, 16.5, LINE, theme.ink);
    let fill = theme.surface.towards(theme.glow, level);
    for blade in 0..3 {
        let turned = |angle: f32, radius: f32| {
            let angle = (angle + 120.0 * blade as f32 + 40.0 * level).to_radians();
            (24.0 + radius * angle.cos(), 20.0 + radius * angle.sin())
        };
        let shape = [turned(0.0, 2.0), turned(-30.0, 9.0), turned(-22.0, 13.0), turned(8.0, 13.5), turned(26.0, 9.0)];
        pen.polygon(&shape, fill);
        pen.stroke(polyline(&shape, true), 0.7 * LINE, theme.ink);
        if level > 0.5 {
            let from = 120.0 * blade as f32 + 75.0;
            pen.stroke(arc(24.0, 20.0, 12.5, from, from + 45.0), LINE, theme.glow);
        }
    }
    pen.disc(24.0, 20.0, 2.8, theme.ink);
}
