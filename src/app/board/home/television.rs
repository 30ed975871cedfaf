//! A television: dark or playing.

use super::super::shapes::{Area, Pen, circle, polyline};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    let screen = theme.background.towards(theme.glow, 0.85 * level);
    case(pen, Area::new(3.0, 8.0, 42.0, 28.0), 2.5, screen, theme);
    if level > 0.5 {
        let hill = [(6.0, 33.0), (17.0, 20.0), (24.0, 27.0), (30.0, 22.0), (42.0, 33.0)];
        pen.fill(polyline(&hill, true), theme.background);
        pen.fill(circle(35.0, 15.5, 3.4), theme.background);
    }
    pen.line(&[(15.0, 42.0), (33.0, 42.0)], 1.4 * LINE, theme.ink);
    pen.line(&[(24.0, 36.0), (24.0, 42.0)], LINE, theme.ink);
}
