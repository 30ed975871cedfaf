//! Grounds of bars that are told apart without colour: each outcome has a pattern of its own.

use super::marks::words;
use crate::session::trial::Outcome;

/// The outcomes that have a pattern.
pub(super) fn shown() -> impl Iterator<Item = &'static str> {
    Outcome::ALL.into_iter().filter(|outcome| *outcome != Outcome::Aborted).map(Outcome::word)
}

/// The patterns, once for all plots of a page: a ground of its own colour, and lines or dots in ink.
pub(super) fn patterns() -> String {
    let patterns: String = shown().map(pattern).collect();
    format!("<svg class=\"fills\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>\n{patterns}</defs></svg>\n")
}

fn pattern(outcome: &str) -> String {
    let marks = match outcome {
        "early" => "<path class=\"hatch\" d=\"M-2 2L2 -2M0 8L8 0M6 10L10 6\"/>",
        "late" => "<path class=\"hatch\" d=\"M-2 6L2 10M0 0L8 8M6 -2L10 2\"/>",
        "omission" => "<circle class=\"spot\" cx=\"4\" cy=\"4\" r=\"1.1\"/>",
        "extra" => "<path class=\"hatch\" d=\"M0 4H8\"/>",
        "wrong" => "<path class=\"hatch\" d=\"M0 0L8 8M0 8L8 0\"/>",
        _ => "",
    };
    format!(
        "<pattern id=\"fill-{outcome}\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\">\
         <rect width=\"8\" height=\"8\" style=\"fill:var(--{outcome})\"/>{marks}</pattern>\n"
    )
}

/// A bar with the pattern of an outcome; an unknown outcome is filled like an omission.
pub(super) fn filled(outcome: &str, (x, y): (f64, f64), (width, height): (f64, f64)) -> String {
    let fill = shown().find(|known| *known == outcome).unwrap_or("omission");
    format!(
        "<rect class=\"part\" x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"url(#fill-{fill})\"/>\n"
    )
}

/// A line of a key in the column at the left: a patch and its meaning.
pub(super) fn key(outcome: &str, y: f64, text: &str) -> String {
    filled(outcome, (8.0, y - 10.0), (16.0, 12.0)) + &words("label", (30.0, y), text)
}
