//! For comparison: the scan rate by the published ratio alone, and how sure that is.

use super::text::{or_dash, two};
use super::{Told, svg};
use crate::analysis::findings::Suggestion;
use crate::analysis::words::{count, kind, seconds};
use crate::settings::{Id, show_value};

pub(super) fn section(told: &Told) -> String {
    let content = match &told.findings.suggestion {
        Some(suggestion) => suggested(told, suggestion),
        None => "<p>Nothing can be said: no right or late press was measured.</p>\n".into(),
    };
    format!(
        "<section class=\"suggestion\" aria-labelledby=\"ratio\">\n\
         <h2 id=\"ratio\">For comparison: the published ratio</h2>\n{content}</section>\n"
    )
}

fn suggested(told: &Told, suggestion: &Suggestion) -> String {
    format!(
        "<p>Mean latency over 0.65 gives {} per item; what to set stands on the first page.</p>\n{}<p>{} {} {}</p>\n",
        seconds(suggestion.scan_interval_s),
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
