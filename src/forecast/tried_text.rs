//! What came of trying other settings, in words.

use super::figure::Figure;
use super::selections::{Compared, Selections};
use super::tried::{Change, How, Tried};
use crate::analysis::refiltered::{Refiltered, Tally};
use crate::analysis::words::{decimals, percent};
use crate::settings::show_value;

/// The settings, the presses (exact), the choices (simulated), and what to beware of.
#[must_use]
pub fn lines(found: &Tried) -> Vec<String> {
    let mut lines: Vec<String> = found.changes.iter().map(change).collect();
    lines.extend(found.presses.iter().flat_map(presses));
    lines.push(String::new());
    match &found.selections {
        Ok(selections) => lines.extend(choices(selections, found)),
        Err(unfit) => {
            lines.push("Choices: not told, for the log bears no client who could answer.".into());
            lines.push(format!("- {}; {}", unfit.what, unfit.remedy));
        }
    }
    lines.extend(found.broken.iter().map(|remark| format!("Beware: {} {}", remark.text, remark.remedy)));
    lines
}

fn change(change: &Change) -> String {
    let [was, tried] = change.raws().map(|raw| show_value(change.id(), raw));
    let how = match change.how {
        How::Exact => "which presses count is exact",
        How::Simulated => "simulated",
    };
    format!("{}: {was} as it was, {tried} as tried ({how})", change.id().setting().label)
}

fn presses(found: &Refiltered) -> Vec<String> {
    let row = |name: &str, tally: &Tally, lost: &str| {
        let again = match tally.counted_again {
            0 => String::new(),
            times => format!("; counted once more {times} times"),
        };
        let share = tally.share().map_or_else(String::new, |(share, [low, high])| {
            format!("; {} count (90 %: {} to {})", percent(share), percent(low), percent(high))
        });
        let (counted, would) = (tally.counted, tally.would_count);
        let change = match would.cmp(&counted) {
            std::cmp::Ordering::Less => format!("{} {lost}", counted - would),
            std::cmp::Ordering::Equal => "no change".to_string(),
            std::cmp::Ordering::Greater => format!("{} more", would - counted),
        };
        format!(
            "- {name}: {} made; {counted} counted as it was, {would} as tried: {change}{share}{again}",
            tally.presses
        )
    };
    vec![
        String::new(),
        "Presses (exact: the logged edges once more through the filter)".into(),
        row("asked for", &found.wanted, "lost"),
        row("not asked for", &found.unwanted, "stopped"),
        row("cannot be told", &found.unknown, "fewer"),
    ]
}

fn choices(found: &Selections, tried: &Tried) -> Vec<String> {
    let mut lines = vec![
        format!(
            "Choices (simulated: the client fitted to this log, {} sessions; ranges hold nine sessions in ten)",
            found.sessions
        ),
        row(["", "log", "client, as it was", "client, as tried", "difference (90 %)"].map(String::from)),
    ];
    lines.extend(found.values.iter().map(value));
    if found.values.iter().any(|one| one.client.is_none() || one.tried.is_none()) {
        lines.push("–: no figure, for in most sessions of the client no choice was right.".into());
    }
    let apart = |one: &&Compared| {
        one.logged.zip(one.client).is_some_and(|(logged, client)| logged < client.low || logged > client.high)
    };
    if found.values.iter().any(|one| apart(&one)) {
        lines.push(format!(
            "Beware: in {} trials the person did otherwise than nine in ten such sessions of the client: trust the \
             client less.",
            tried.logged.trials
        ));
    }
    lines
}

fn value(one: &Compared) -> String {
    let (name, digits, scale, unit) = match one.name {
        "right" => ("choices right", 0, 100.0, " %"),
        "wrong" => ("choices wrong", 0, 100.0, " %"),
        "no_press" => ("no press", 0, 100.0, " %"),
        "seconds_per_right" => ("time per right choice", 1, 1.0, " s"),
        _ => ("switch hits per right choice", 2, 1.0, ""),
    };
    let shown = |value: f64| decimals(value * scale, digits);
    let figure = |figure: Option<Figure>| {
        figure.map_or_else(
            || "–".to_string(),
            |figure| format!("{}{unit} ({} to {})", shown(figure.value), shown(figure.low), shown(figure.high)),
        )
    };
    let logged = one.logged.map_or_else(|| "–".to_string(), |logged| format!("{}{unit}", shown(logged)));
    row([name.into(), logged, figure(one.client), figure(one.tried), figure(one.difference)])
}

fn row([name, logged, client, tried, difference]: [String; 5]) -> String {
    format!("{name:<29} {logged:<8} {client:<24} {tried:<24} {difference}").trim_end().to_string()
}
