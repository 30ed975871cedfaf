//! A bed: flat or raised.

use super::super::shapes::{Area, Pen, polyline};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    // The head end turns about its middle.
    let rise = 19.0 * level;
    let back = 21.0 - 5.0 * level;
    let head = (22.0 - back, 25.0 - rise);
    let (across, along) = (6.0 * level, 6.0 - 1.5 * level);
    let mattress = [head, (22.0, 25.0), (22.0, 31.0), (head.0 - across * 0.3, head.1 + along)];
    pen.polygon(&mattress, theme.surface);
    pen.stroke(polyline(&mattress, true), LINE, theme.ink);
    case(pen, Area::new(22.0, 25.0, 25.0, 6.0), 2.0, theme.surface, theme);
    // Whoever lies in it.
    pen.disc(head.0 + 4.2 + 2.0 * level, head.1 - 3.9 + 2.0 * level, 3.8, theme.ink.towards(theme.glow, level));
    pen.line(&[(3.0, 35.0), (45.0, 35.0)], LINE, theme.ink);
    for x in [7.0, 41.0] {
        pen.line(&[(x, 35.0), (x, 42.0)], LINE, theme.ink);
        pen.disc(x, 43.3, 2.2, theme.ink);
    }
    if level > 0.1 {
        pen.line(&[(22.0, 34.0), (head.0 + 5.0, head.1 + along + 3.0)], LINE, theme.ink);
    }
}
