//! A telephone: hung up or in a call.

use super::super::shapes::{Area, Pen};
use super::super::theme::Theme;
use super::{LINE, case, waves};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    case(pen, Area::new(12.0, 3.0, 20.0, 42.0), 4.0, theme.surface, theme);
    let screen = theme.background.towards(theme.glow, level);
    pen.panel(Area::new(15.0, 9.0, 14.0, 26.0), 1.0, screen);
    if level > 0.5 {
        pen.disc(22.0, 18.0, 3.2, theme.background);
        pen.panel(Area::new(17.0, 23.0, 10.0, 7.0), 3.5, theme.background);
        waves(pen, 32.0, 14.0, 1.0, theme);
    }
    pen.line(&[(20.0, 40.0), (24.0, 40.0)], LINE, theme.ink);
}
