//! For comparison: the scan rate by the published ratio alone, and how sure that is.

use super::Told;
use super::cautions::beside_ratio;
use super::text::{or_dash, two};
use crate::analysis::findings::Suggestion;
use crate::analysis::words::{count, kind, seconds};

pub(super) fn compared(told: &Told) -> String {
    match &told.findings.suggestion {
        Some(suggestion) => format!(
            "For comparison: mean latency over 0.65 gives {} per item. {} {} {}{}",
            seconds(suggestion.scan_interval_s),
            uncertainty(suggestion),
            basis(suggestion),
            exactly(suggestion),
            beside_ratio(told.cautions)
        ),
        None => "For comparison: no right or late press was measured, so the published ratio gives nothing.".into(),
    }
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

/// How the suggestion came about, with the numbers before rounding.
fn exactly(suggestion: &Suggestion) -> String {
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
