//! Shapes of a plot.

use super::WIDTH;
use crate::analysis::words::decimals;
use crate::report::markup::{Html, element, plain};

/// Ink of words.
pub(super) const INK: &str = "#1c2630";
/// Ink of what is measured.
pub(super) const DEEP: &str = "#0b5563";
/// Ink of what went wrong or is advised; tells apart by shape too.
pub(super) const WARM: &str = "#8a4b08";

/// A coordinate: two digits after the point, so that the file stays small and the same.
pub(super) fn unit(value: f64) -> String {
    decimals(value, 2)
}

/// The plot itself, with its name and a description for those who cannot see it.
pub(super) fn frame(height: f64, title: &str, description: &str, shapes: Vec<Html>) -> Html {
    let size = format!("0 0 {} {}", unit(WIDTH), unit(height));
    let label = format!("{title}. {description}");
    let attributes = [("viewBox", size.as_str()), ("role", "img"), ("aria-label", &label), ("font-size", "13")];
    element("svg", &attributes, &[plain("title", title)].into_iter().chain(shapes).collect::<Vec<_>>())
}

pub(super) fn line(colour: &str, width: f64, from: (f64, f64), to: (f64, f64)) -> Html {
    let (x1, y1, x2, y2) = (unit(from.0), unit(from.1), unit(to.0), unit(to.1));
    let ends = [("x1", x1.as_str()), ("y1", &y1), ("x2", &x2), ("y2", &y2)];
    let width = unit(width);
    element("line", &[ends.as_slice(), &[("stroke", colour), ("stroke-width", &width)]].concat(), &[])
}

/// A rectangle from its left upper corner, with a fill and an outline.
pub(super) fn rectangle(fill: &str, outline: &str, corner: (f64, f64), size: (f64, f64)) -> Html {
    let (x, y, width, height) = (unit(corner.0), unit(corner.1), unit(size.0.max(0.0)), unit(size.1));
    let place = [("x", x.as_str()), ("y", &y), ("width", &width), ("height", &height)];
    element("rect", &[place.as_slice(), &[("fill", fill), ("stroke", outline)]].concat(), &[])
}

pub(super) fn dot(fill: &str, outline: &str, centre: (f64, f64), radius: f64) -> Html {
    let (x, y, radius) = (unit(centre.0), unit(centre.1), unit(radius));
    element("circle", &[("cx", &x), ("cy", &y), ("r", &radius), ("fill", fill), ("stroke", outline)], &[])
}

/// Words; `anchor` is "start", "middle" or "end".
pub(super) fn text(anchor: &str, at: (f64, f64), words: &str) -> Html {
    coloured(INK, anchor, at, words)
}

pub(super) fn coloured(colour: &str, anchor: &str, at: (f64, f64), words: &str) -> Html {
    let (x, y) = (unit(at.0), unit(at.1));
    element("text", &[("x", &x), ("y", &y), ("text-anchor", anchor), ("fill", colour)], &[Html::text(words)])
}
