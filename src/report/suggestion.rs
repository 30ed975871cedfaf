//! The suggested scan rate, how sure it is, and what to do next.

use super::text::{or_dash, two};
use super::{Told, svg};
use crate::analysis::findings::Suggestion;
use crate::analysis::words::{count, kind, seconds};
use crate::settings::{Id, show_value};

pub(super) fn section(told: &Told) -> String {
    let content = match &told.findings.suggestion {
        Some(suggestion) => suggested(told, suggestion),
        None => NONE.into(),
    };
    format!(
        "<section class=\"suggestion\" aria-labelledby=\"try\">\n<h2 id=\"try\">What to try next</h2>\n{content}</section>\n"
    )
}

const NONE: &str = "<p>No scan rate can be suggested from this session.</p>\n\
    <ol>\n<li>Check position, mounting and switch together with the client.</li>\n\
    <li>Run a timed press block, rested and slowly, before anything is changed.</li>\n</ol>\n";

fn suggested(told: &Told, suggestion: &Suggestion) -> String {
    let rate = seconds(suggestion.scan_interval_s);
    format!(
        "<p class=\"rate\"><strong>{rate}</strong> per item</p>\n{}<p>{} {} {}</p>\n<ol>\n\
         <li>Try {rate} per item with the client rested and in the same position.</li>\n\
         <li>Run the confirm block of ten trials at that rate before it is used at home.</li>\n\
         <li>Go slower when presses come late or effort rises; go no faster while presses are missed.</li>\n</ol>\n",
        svg::suggested(suggestion, told.header.settings.scan_interval().as_seconds()),
        uncertainty(suggestion),
        basis(suggestion),
        began_at(told)
    )
}

fn uncertainty(suggestion: &Suggestion) -> String {
    match (suggestion.low_s, suggestion.high_s) {
        (Some(low), Some(high)) => {
            format!("With 90 % confidence the rate lies between {} and {}.", two(low), seconds(high))
        }
        _ => "How sure it is cannot be stated: a single press shows no scatter.".into(),
    }
}

fn basis(suggestion: &Suggestion) -> String {
    let presses = count(suggestion.count, "press", "presses");
    let late = match suggestion.late {
        0 => String::new(),
        late => format!(", {late} of them late"),
    };
    format!("It rests on {presses} in {}{late}, and on the published 0.65 rule.", kind(suggestion.kind))
}

fn began_at(told: &Told) -> String {
    let now = show_value(Id::ScanInterval, told.header.settings.raw(Id::ScanInterval));
    format!("This session began at {now} per item.")
}

/// How the suggestion came about, with the numbers before rounding.
pub(super) fn exactly(suggestion: &Suggestion) -> String {
    let held = if suggestion.held_s > 0.0 {
        format!(", of which {} is hold time", seconds(suggestion.held_s))
    } else {
        String::new()
    };
    format!(
        "Here: mean {:.3} s{held}, coefficient of variation {}, {:.3} s before rounding up.",
        suggestion.mean_s,
        or_dash(suggestion.cv, two),
        suggestion.exact_s
    )
}
