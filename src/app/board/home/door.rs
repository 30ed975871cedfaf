//! A door: closed or open.

use super::super::shapes::{Area, Pen, polyline};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    let beyond = theme.background.towards(theme.glow, 0.55 * level);
    case(pen, Area::new(11.0, 4.0, 26.0, 40.0), 1.0, beyond, theme);
    let (edge, lean) = (35.0 - 14.0 * level, 3.5 * level);
    let leaf = [(13.0, 6.0), (edge, 6.0 + lean), (edge, 42.0 + 0.5 * lean), (13.0, 44.0)];
    pen.polygon(&leaf, theme.surface);
    pen.stroke(polyline(&leaf, true), LINE, theme.ink);
    pen.disc(edge - 3.2, 25.0, 1.5, theme.ink);
    pen.line(&[(5.0, 44.5), (43.0, 44.5)], LINE, theme.ink);
}
