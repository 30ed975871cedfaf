//! The practice alarm call: quiet or calling. Nobody is ever called.

use super::super::shapes::{Area, Pen, arc, polyline};
use super::super::theme::Theme;
use super::{LINE, case};

pub(super) fn draw(pen: &mut Pen, level: f32, theme: &Theme) {
    let fill = theme.surface.towards(theme.glow, level);
    let dome = [
        (13.0, 35.0),
        (13.0, 24.0),
        (15.0, 17.5),
        (19.5, 13.5),
        (24.0, 12.5),
        (28.5, 13.5),
        (33.0, 17.5),
        (35.0, 24.0),
        (35.0, 35.0),
    ];
    pen.polygon(&dome, fill);
    pen.stroke(polyline(&dome, true), LINE, theme.ink);
    case(pen, Area::new(8.0, 35.0, 32.0, 8.0), 2.0, theme.surface, theme);
    pen.stroke(arc(24.0, 24.5, 6.5, 180.0, 270.0), LINE, theme.ink);
    if level > 0.5 {
        for (from, to) in [
            ((24.0, 3.0), (24.0, 8.0)),
            ((9.0, 7.0), (12.5, 11.0)),
            ((39.0, 7.0), (35.5, 11.0)),
            ((3.0, 20.0), (8.0, 21.0)),
            ((45.0, 20.0), (40.0, 21.0)),
        ] {
            pen.line(&[from, to], 1.3 * LINE, theme.glow);
        }
    }
}
