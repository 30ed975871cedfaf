//! The suggested scan rate with its interval, beside the rate at which the session began.

use super::scale::Scale;
use super::{Drawing, Plot, WIDTH, bar, line, words};
use crate::analysis::findings::Suggestion;
use crate::analysis::words::seconds;
use crate::report::text::two;

const HEIGHT: f64 = 74.0;
const MIDDLE: f64 = 34.0;
const AXIS: f64 = 52.0;

/// The picture alone: it stands inside the suggestion, under its heading. `began_s` is the scan
/// interval at the start of the session, in seconds.
pub(in crate::report) fn suggested(suggestion: &Suggestion, began_s: f64) -> String {
    let plot = Plot {
        name: "suggested",
        heading: "The scan rate by the published ratio and its uncertainty",
        reading: "",
        draw: |_| None,
    };
    let description = description(suggestion, began_s);
    plot.picture(&Drawing { height: HEIGHT, description, marks: marks(suggestion, began_s) })
}

fn marks(suggestion: &Suggestion, began_s: f64) -> String {
    let rate = suggestion.scan_interval_s;
    let highest = [Some(rate), suggestion.high_s, Some(began_s)].into_iter().flatten().fold(0.0, f64::max);
    let scale = Scale::new((0.0, highest * 1.2), (16.0, WIDTH - 8.0));
    let interval = suggestion.low_s.zip(suggestion.high_s).map_or_else(String::new, |(low, high)| {
        let (left, right) = (scale.place(low), scale.place(high));
        bar("range", (left, MIDDLE - 7.0), (right - left, 14.0))
    });
    let (x, began) = (scale.place(rate), scale.place(began_s));
    let dot = format!("<circle class=\"chosen\" cx=\"{x:.1}\" cy=\"{MIDDLE}\" r=\"7\"/>\n");
    interval
        + &axis(&scale)
        + &line("began", (began, MIDDLE - 12.0), (began, AXIS))
        + &dot
        + &words("strong middle", (x, MIDDLE - 14.0), &format!("ratio {}", seconds(rate)))
        + &beside(began, began < x && began > 100.0, &format!("began at {}", seconds(began_s)))
}

/// Words beside a mark, on its left or right.
fn beside(x: f64, left: bool, text: &str) -> String {
    let (class, x) = if left { ("tick warn end", x - 6.0) } else { ("tick warn", x + 6.0) };
    words(class, (x, MIDDLE + 4.0), text)
}

fn axis(scale: &Scale) -> String {
    let marks = scale.marks(8.0, &[1.0, 2.0, 5.0], 10.0).into_iter().map(|value| {
        let x = scale.place(value);
        line("axis", (x, AXIS), (x, AXIS + 4.0)) + &words("tick middle", (x, AXIS + 17.0), &two(value))
    });
    marks.collect::<String>() + &line("axis", (16.0, AXIS), (WIDTH - 8.0, AXIS))
}

fn description(suggestion: &Suggestion, began_s: f64) -> String {
    let interval = match (suggestion.low_s, suggestion.high_s) {
        (Some(low), Some(high)) => format!(", 90 % interval {} to {}", two(low), seconds(high)),
        _ => String::new(),
    };
    format!(
        "Suggested: {} per item{interval}. The session began at {}.",
        seconds(suggestion.scan_interval_s),
        seconds(began_s)
    )
}
