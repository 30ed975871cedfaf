//! Music: silent or playing.

use super::super::shapes::{Area, Pen};
use super::super::theme::Theme;
use super::{LINE, case, waves};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    case(pen, Area::new(8.0, 4.0, 24.0, 40.0), 3.0, theme.surface, theme);
    let cone = theme.background.towards(theme.glow, level);
    for (y, radius) in [(13.0, 4.0), (30.0, 8.5)] {
        pen.disc(20.0, y, radius, cone);
        pen.circle(20.0, y, radius, LINE, theme.ink);
    }
    pen.disc(20.0, 30.0, 2.4, theme.ink);
    if level > 0.5 {
        waves(pen, 32.0, 26.0, 1.0, theme);
    }
}
