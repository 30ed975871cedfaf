//! The picture: which points become which lines.

use super::{swept, value};
use crate::report::{Curve, Curves, Place};
use crate::settings::{Kind, show_value};
use crate::sim::outcome::Outcome;
use crate::sim::sweep::{Axis, Point};
use crate::sim::tally::{Figure, Measure};

/// More lines could not be told apart.
const MOST_LINES: usize = 6;

/// The outcome as an SVG file: seconds and errors over the first setting with several values that is
/// a number, or else over the first one; a line for each combination of the others.
///
/// # Errors
/// When nothing varies, or too much.
pub fn svg(outcome: &Outcome) -> Result<String, &'static str> {
    let swept = swept(outcome);
    let is_number = |axis: &&&Axis| !matches!(axis.id.setting().kind, Kind::Choice(_));
    let across = swept.iter().find(is_number).or(swept.first()).ok_or("nothing varies that could be drawn")?;
    let others: Vec<&Axis> = swept.iter().filter(|axis| axis.id != across.id).copied().collect();
    let mut curves: Vec<Curve> = Vec::new();
    for (point, tally) in &outcome.points {
        let name = name(&others, point);
        let place = Place {
            x: place(across, value(&point.values, across.id)),
            seconds: tally.figure(Measure::Seconds).map(ends),
            errors: tally.error_rate().map(ends),
        };
        match curves.iter_mut().find(|curve| curve.name == name) {
            Some(curve) => curve.places.push(place),
            None => curves.push(Curve { name, places: vec![place] }),
        }
    }
    if curves.len() > MOST_LINES {
        return Err("it would have more than six lines, which nobody could tell apart");
    }
    let names = across.values.iter().map(|raw| (place(across, *raw), show_value(across.id, *raw))).collect();
    let (client, menu) = (&outcome.profile.name, &outcome.menu.name);
    Ok(crate::report::sweep(&Curves {
        title: format!("{client} at {menu}, {} selections a point, simulated", outcome.blocks.selections),
        across: across.id.setting().label.to_lowercase(),
        names: if is_number(&across) { None } else { Some(names) },
        curves,
    }))
}

/// Where a value stands: a number at itself, a name at its turn.
fn place(axis: &Axis, raw: i64) -> f64 {
    match axis.id.setting().kind {
        Kind::Time { .. } | Kind::OptionalTime { .. } => raw as f64 / 1e6,
        Kind::Share { .. } => raw as f64 / 10.0,
        Kind::Angle { .. } => raw as f64 / 1e3,
        Kind::Count { .. } => raw as f64,
        Kind::Choice(_) => axis.values.iter().position(|value| *value == raw).unwrap_or(0) as f64,
    }
}

fn name(others: &[&Axis], point: &Point) -> String {
    let told =
        |axis: &&Axis| format!("{} {}", axis.id.setting().name, show_value(axis.id, value(&point.values, axis.id)));
    others.iter().map(told).collect::<Vec<_>>().join(", ")
}

/// The value with the ends of its interval, or itself thrice.
fn ends(figure: Figure) -> [f64; 3] {
    let [low, high] = figure.interval.map_or([figure.value; 2], |interval| interval.ends());
    [low, figure.value, high]
}
