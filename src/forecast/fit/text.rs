//! What a fitted profile rests on, as lines of text.

use crate::analysis::words::{count, decimals, percent};
use crate::sim::profile::fitted::{Fitted, Measured};

/// What was measured, then what was assumed.
#[must_use]
pub fn lines(fitted: &Fitted) -> Vec<String> {
    let mut lines = vec![format!(
        "Fitted to {} of {}, {}, with 90 % intervals:",
        count(fitted.presses, "press", "presses"),
        count(fitted.sessions, "session", "sessions"),
        fitted.set_up
    )];
    lines.extend(fitted.measured.iter().map(measured));
    lines.push("Assumed, for these logs cannot tell:".into());
    lines.extend(fitted.assumed.iter().map(|one| format!("- {}: {} ({})", one.name, one.value, one.why)));
    if fitted.invented {
        lines.push("Invented data: a virtual client pressed.".into());
    }
    lines
}

fn measured(one: &Measured) -> String {
    let shown = |value: f64| figure(value, &one.unit);
    let unit = match one.unit.as_str() {
        "share" | "" => String::new(),
        unit => format!(" {unit}"),
    };
    let what = match (one.name.as_str(), one.unit.as_str()) {
        ("involuntary presses", _) => format!("{} s watched", one.count),
        ("lapses" | "late presses not made", _) => format!("{} lightings", one.count),
        _ => format!("{} seen", one.count),
    };
    format!("- {}: {}{unit} (90 %: {} to {}; {what})", one.name, shown(one.value), shown(one.low), shown(one.high))
}

fn figure(value: f64, unit: &str) -> String {
    match unit {
        "share" => percent(value),
        "s" => decimals(value, 3),
        "presses" => decimals(value, 0),
        _ => decimals(value, 2),
    }
}
