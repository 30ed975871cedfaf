//! The table for people.

use super::{swept, value};
use crate::analysis::words::decimals;
use crate::settings::show_value;
use crate::sim::closed::exact;
use crate::sim::outcome::{Outcome, seconds_at};
use crate::sim::sweep::Point;
use crate::sim::tally::{Figure, Measure, Tally};

/// The outcome as text.
pub fn table(outcome: &Outcome) -> String {
    let rows: Vec<Vec<String>> = outcome.points.iter().map(|(point, tally)| row(outcome, point, tally)).collect();
    let mut heads: Vec<String> = swept(outcome).iter().map(|axis| axis.id.setting().name.into()).collect();
    heads.extend(
        ["seconds per selection", "half within", "95 % within", "errors", "hits", "omissions"].map(String::from),
    );
    let (given_up, closed) = (given_up(outcome), has_exact(outcome));
    heads.extend(given_up.then(|| "given up".into()));
    heads.extend(closed.then(|| "exact: seconds, errors, hits".into()));
    let lines = aligned(&[vec![heads], rows].concat());
    [head(outcome), lines, notes(outcome)].concat()
}

fn head(outcome: &Outcome) -> String {
    let (client, menu, count) = (&outcome.profile.name, &outcome.menu.name, outcome.blocks.selections);
    let undo = if outcome.undo { ", each wrong item undone" } else { "" };
    let fixed = outcome.axes.iter().filter(|axis| axis.values.len() == 1);
    let fixed: Vec<String> =
        fixed.map(|axis| format!("{} {}", axis.id.setting().name, show_value(axis.id, axis.values[0]))).collect();
    let fixed = if fixed.is_empty() { String::new() } else { format!("With {}.\n", fixed.join(", ")) };
    let part = match outcome.blocks.parts {
        1 => String::new(),
        parts => format!("Part {} of {parts}.\n", outcome.blocks.part + 1),
    };
    format!(
        "The virtual client `{client}` at the menu `{menu}`: {count} selections a row{undo}, seed {}. Simulated, not \
         measured.\n{fixed}{part}\n",
        outcome.seed
    )
}

fn row(outcome: &Outcome, point: &Point, tally: &Tally) -> Vec<String> {
    let mut cells: Vec<String> =
        swept(outcome).iter().map(|axis| show_value(axis.id, value(&point.values, axis.id))).collect();
    let at = |share| match tally.counts.selections {
        0 => "–".into(),
        _ => format!("{} s", decimals(seconds_at(&tally.times, share), 1)),
    };
    cells.push(shown(tally.figure(Measure::Seconds), 1.0, 2, " s"));
    cells.extend([at(0.5), at(0.95)]);
    cells.push(shown(tally.error_rate(), 100.0, 2, " %"));
    cells.push(shown(tally.figure(Measure::Hits), 1.0, 3, ""));
    cells.push(shown(tally.figure(Measure::Omissions), 1.0, 3, ""));
    if given_up(outcome) {
        cells.push(tally.counts.given_up.to_string());
    }
    if has_exact(outcome) {
        let exact = exact(&outcome.profile.traits, &outcome.menu, &point.settings, outcome.undo);
        cells.push(exact.map_or("–".into(), |exact| {
            let (seconds, hits) = (decimals(exact.seconds, 3), decimals(exact.hits, 4));
            format!("{seconds} s, {} %, {hits}", decimals(100.0 * exact.error_rate(), 3))
        }));
    }
    cells
}

/// "5.31 s (5.28 to 5.34)".
fn shown(figure: Option<Figure>, scale: f64, digits: usize, unit: &str) -> String {
    let Some(Figure { value, interval }) = figure else { return "–".into() };
    let number = |value: f64| decimals(scale * value, digits);
    let interval = interval.map(|interval| format!(" ({} to {})", number(interval.low), number(interval.high)));
    format!("{}{unit}{}", number(value), interval.unwrap_or_default())
}

fn given_up(outcome: &Outcome) -> bool {
    outcome.points.iter().any(|(_, tally)| tally.counts.given_up > 0)
}

fn has_exact(outcome: &Outcome) -> bool {
    let known = |point: &Point| exact(&outcome.profile.traits, &outcome.menu, &point.settings, outcome.undo).is_some();
    outcome.points.iter().any(|(point, _)| known(point))
}

/// Columns side by side, two spaces apart.
fn aligned(rows: &[Vec<String>]) -> String {
    let columns = rows.first().map_or(0, Vec::len);
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let line = |row: &Vec<String>| {
        let cells = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:width$}  "));
        format!("{}\n", cells.collect::<String>().trim_end())
    };
    rows.iter().map(line).collect()
}

fn notes(outcome: &Outcome) -> String {
    [best(outcome), lost(outcome), cautions(outcome)].concat()
}

/// Which point takes the least time, and whether the next ones can be told from it.
fn best(outcome: &Outcome) -> String {
    let timed = outcome.points.iter().filter_map(|(point, tally)| Some((point, tally.figure(Measure::Seconds)?)));
    let Some((point, least)) = timed.clone().min_by(|a, b| a.1.value.total_cmp(&b.1.value)) else {
        return String::new();
    };
    let swept: Vec<String> = swept(outcome)
        .iter()
        .map(|axis| format!("{} {}", axis.id.setting().name, show_value(axis.id, value(&point.values, axis.id))))
        .collect();
    if swept.is_empty() {
        return String::new();
    }
    let near = timed.filter(|(_, other)| other.value <= 1.05 * least.value).count() - 1;
    let near = match near {
        0 => String::new(),
        1 => "; 1 other row lies within 5 % of it".into(),
        near => format!("; {near} other rows lie within 5 % of it"),
    };
    format!("\nLeast time: {} s at {}{near}.\n", decimals(least.value, 2), swept.join(", "))
}

fn lost(outcome: &Outcome) -> String {
    let nobody = outcome.points.iter().filter(|(_, tally)| tally.counts.selections == 0 && tally.counts.given_up > 0);
    let labels: Vec<String> = nobody.map(|(point, _)| point.label()).collect();
    match &labels[..] {
        [] => String::new(),
        [first, ..] if first.is_empty() => "\nThe client never gets there: all selections were given up.\n".into(),
        labels => {
            let few = labels.iter().take(5).map(String::as_str).collect::<Vec<_>>().join("; ");
            let more = if labels.len() > 5 { "; …" } else { "" };
            format!("\nAt {few}{more} the client never gets there: all selections were given up.\n")
        }
    }
}

/// Each warning that a setting carries, once.
fn cautions(outcome: &Outcome) -> String {
    let mut said: Vec<&str> = Vec::new();
    for (point, _) in &outcome.points {
        for (_, text) in point.settings.cautions() {
            if !said.contains(&text) {
                said.push(text);
            }
        }
    }
    said.iter().map(|text| format!("Caution: {text}.\n")).collect()
}
