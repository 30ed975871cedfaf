//! What the tasks take at home, in words.

use super::figure::Figure;
use super::home::{AtHome, State, TaskAtHome};
use crate::analysis::words::{count, decimals, percent};

/// Fewer swallowed presses need no word (common practice, no source).
const MANY: f64 = 0.1;

/// Task by task, a line each for today and slower.
#[must_use]
pub fn lines(found: &AtHome) -> Vec<String> {
    let heads = ["", "time", "9 of 10 within", "if no press misses", "wrong choice", "switch hits"];
    let mut lines = vec![row(heads.map(String::from))];
    lines.extend(found.tasks.iter().flat_map(task));
    lines.push(rests_on(found));
    lines.push("If no press misses: by the closed form, exact for each guess.".into());
    lines
}

/// How the figures came about.
#[must_use]
pub fn rests_on(found: &AtHome) -> String {
    let unsure = match found.guesses {
        1 => "the profile is taken for the truth: intervals (90 %) show the simulation's chance alone".into(),
        guesses => format!("intervals (90 %) from {guesses} guesses that the logs leave open"),
    };
    format!(
        "Simulated, {} runs of each, errors and putting them right included; what is given up counts as 10 min, and where \
         most is there is no figure; {unsure}.",
        found.runs
    )
}

fn task(task: &TaskAtHome) -> Vec<String> {
    let hits = count(task.presses as u32, "press", "presses");
    let mut lines = vec![format!("{} ({}): {hits} where none misses", task.task, task.items.join(", "))];
    lines.extend(task.states.iter().map(state));
    lines.extend(swallowed(task));
    lines
}

/// "now", "25 % slower".
#[must_use]
pub fn slower(factor: f64) -> String {
    if factor == 1.0 { "now".into() } else { format!("{} slower", percent(factor - 1.0)) }
}

/// What to do about presses that the lockout swallows, where they are many.
#[must_use]
pub fn swallowed(task: &TaskAtHome) -> Option<String> {
    let share = task.swallowed.filter(|share| *share > MANY)?;
    Some(format!(
        "  The repeat lockout swallows about {} of presses on the first item of a group just entered: shorten it, or \
         put another item first.",
        percent(share)
    ))
}

fn state(state: &State) -> String {
    let given_up = match state.given_up.value {
        0.0 => String::new(),
        share => format!("; given up after 10 min in {}", percent(share)),
    };
    let shown = |figure: Figure, scale: f64, digits: usize| {
        let [value, low, high] = [figure.value, figure.low, figure.high].map(|value| decimals(value * scale, digits));
        (value, format!("({low} to {high})"))
    };
    let (wrong, wrong_range) = shown(state.wrong, 100.0, 0);
    let hits = state.hits.map_or_else(none, |hits| {
        let (hits, range) = shown(hits, 1.0, 1);
        format!("{hits} {range}")
    });
    row([
        slower(state.slower),
        state.seconds.map_or_else(|| "not done".into(), seconds),
        state.nine_in_ten_s.map_or_else(|| "over 10 min".into(), |within| format!("{} s", decimals(within, 0))),
        state.errorless_s.map_or_else(none, seconds),
        format!("{wrong} % {wrong_range}"),
        format!("{hits}{given_up}"),
    ])
}

fn none() -> String {
    "–".into()
}

fn row([name, time, most, exact, wrong, hits]: [String; 6]) -> String {
    format!("  {name:<13} {time:<24} {most:<16} {exact:<24} {wrong:<15} {hits}")
}

/// "14.2 s (13.1 to 15.8)".
#[must_use]
pub fn seconds(figure: Figure) -> String {
    let shown = |value: f64| decimals(value, 1);
    format!("{} s ({} to {})", shown(figure.value), shown(figure.low), shown(figure.high))
}
