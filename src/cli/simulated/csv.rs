//! The table for programs: numbers in seconds and shares, nothing rounded.

use super::value;
use crate::settings::value_to_json;
use crate::sim::closed::exact;
use crate::sim::outcome::{Outcome, seconds_at};
use crate::sim::sweep::Point;
use crate::sim::tally::{Figure, Measure, Tally};

/// Columns behind the settings.
const COLUMNS: [&str; 19] = [
    "selections",
    "given_up",
    "seconds_per_selection",
    "seconds_per_selection_low",
    "seconds_per_selection_high",
    "median_s",
    "p95_s",
    "error_rate",
    "error_rate_low",
    "error_rate_high",
    "hits_per_selection",
    "hits_per_selection_low",
    "hits_per_selection_high",
    "omissions_per_selection",
    "omissions_per_selection_low",
    "omissions_per_selection_high",
    "exact_seconds_per_selection",
    "exact_error_rate",
    "exact_hits_per_selection",
];

/// The outcome as comma-separated values; what there is none of is empty.
pub fn table(outcome: &Outcome) -> String {
    let names = outcome.axes.iter().map(|axis| axis.id.setting().name).chain(COLUMNS);
    let head = names.collect::<Vec<_>>().join(",");
    let rows = outcome.points.iter().map(|(point, tally)| row(outcome, point, tally).join(","));
    std::iter::once(head).chain(rows).map(|line| line + "\n").collect()
}

fn row(outcome: &Outcome, point: &Point, tally: &Tally) -> Vec<String> {
    let settings = outcome.axes.iter().map(|axis| value_to_json(axis.id, value(&point.values, axis.id)));
    // Names of choices hold no comma and no quote.
    let mut cells: Vec<String> =
        settings.map(|value| value.as_str().map_or_else(|| value.to_string(), str::to_string)).collect();
    let reached = tally.counts.selections > 0;
    let at = |share| if reached { seconds_at(&tally.times, share).to_string() } else { String::new() };
    cells.extend([tally.counts.selections.to_string(), tally.counts.given_up.to_string()]);
    cells.extend(figure(tally.figure(Measure::Seconds)));
    cells.extend([at(0.5), at(0.95)]);
    cells.extend(figure(tally.error_rate()));
    cells.extend(figure(tally.figure(Measure::Hits)));
    cells.extend(figure(tally.figure(Measure::Omissions)));
    let exact = exact(&outcome.profile.traits, &outcome.menu, &point.settings, outcome.undo);
    cells.extend(exact.map_or_else(Default::default, |exact| {
        [exact.seconds, exact.error_rate(), exact.hits].map(|value| value.to_string())
    }));
    cells
}

fn figure(figure: Option<Figure>) -> [String; 3] {
    let Some(Figure { value, interval }) = figure else { return Default::default() };
    let ends = interval.map_or_else(Default::default, |interval| interval.ends().map(|end| end.to_string()));
    let [low, high] = ends;
    [value.to_string(), low, high]
}
