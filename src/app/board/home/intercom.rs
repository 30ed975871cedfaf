//! The speech link to the front door: silent or talking.

use super::super::shapes::{Area, Pen};
use super::super::theme::Theme;
use super::{LINE, case, waves};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    case(pen, Area::new(7.0, 4.0, 24.0, 40.0), 3.0, theme.surface, theme);
    for y in [11.0, 15.5, 20.0] {
        pen.line(&[(13.0, y), (25.0, y)], LINE, theme.ink);
    }
    pen.disc(19.0, 33.0, 4.6, theme.background.towards(theme.glow, level));
    pen.circle(19.0, 33.0, 4.6, LINE, theme.ink);
    if level > 0.5 {
        waves(pen, 31.0, 15.5, 1.0, theme);
    }
}
