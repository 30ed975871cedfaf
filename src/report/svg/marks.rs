//! What plots are put together from: lines, bars, dots and words.

use crate::report::text::escape;

/// A line.
pub(super) fn line(class: &str, from: (f64, f64), to: (f64, f64)) -> String {
    path(class, &[from, to])
}

/// A line through all these points.
pub(super) fn path(class: &str, points: &[(f64, f64)]) -> String {
    format!("<path class=\"{class}\" d=\"{}\"/>\n", through(points))
}

/// The area between these points.
pub(super) fn area(class: &str, points: &[(f64, f64)]) -> String {
    format!("<path class=\"{class}\" d=\"{}Z\"/>\n", through(points))
}

fn through(points: &[(f64, f64)]) -> String {
    let step = |(nth, (x, y)): (usize, &(f64, f64))| format!("{}{x:.1} {y:.1}", if nth == 0 { 'M' } else { 'L' });
    points.iter().enumerate().map(step).collect()
}

/// A rectangle; never thinner than it can be seen.
pub(super) fn bar(class: &str, at: (f64, f64), size: (f64, f64)) -> String {
    let width = size.0.max(1.0);
    format!(
        "<rect class=\"{class}\" x=\"{:.1}\" y=\"{:.1}\" width=\"{width:.1}\" height=\"{:.1}\"/>\n",
        at.0, at.1, size.1
    )
}

/// A dot.
pub(super) fn dot(class: &str, at: (f64, f64), radius: f64) -> String {
    format!("<circle class=\"{class}\" cx=\"{:.1}\" cy=\"{:.1}\" r=\"{radius}\"/>\n", at.0, at.1)
}

/// Words; escaped here.
pub(super) fn words(class: &str, at: (f64, f64), text: &str) -> String {
    format!("<text class=\"{class}\" x=\"{:.1}\" y=\"{:.1}\">{}</text>\n", at.0, at.1, escape(text))
}
