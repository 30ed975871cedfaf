//! Progress in practice as plain text, one thought a line.

use super::mastery::{Movement, PLATEAU, verdict_words};
use super::progress::{Keeping, Learning, Progress, Retention};
use super::summary::Tally;
use crate::analysis::words::{count, percent, seconds};
use crate::settings::Id;

/// What is said of each step; `days` tells how many lie between two sessions by when they began. No line carries a
/// line feed.
#[must_use]
pub fn lines(all: &[Progress], days: impl Fn(&str, &str) -> Option<u32>) -> Vec<String> {
    let told = |one: &Progress| {
        let mut lines = vec![overall(one)];
        lines.push(one.learning.map_or_else(|| no_curve(one), learning));
        lines.extend(one.retention.map(|retention| kept(retention, since(one, &days))));
        lines.extend(one.movement.map(moved));
        lines.extend(one.keeping.map(keeping));
        lines.push(format!("{} {}", verdict_words(one.last().verdict), one.next.words()));
        lines
    };
    all.iter().flat_map(told).collect()
}

fn overall(one: &Progress) -> String {
    let sum = |of: fn(&Tally) -> u32| one.sessions.iter().map(|session| of(&session.tally)).sum::<u32>();
    let sessions = count(one.sessions.len() as u32, "session", "sessions");
    let attempts = count(sum(|tally| tally.hits + tally.misses), "attempt", "attempts");
    let last = one.last();
    let what = if last.paces == Some(Id::Dwell) { "dwell time" } else { "scan rate" };
    let interval = last
        .interval
        .map_or_else(String::new, |interval| format!("; {what} at the end {}", seconds(interval.as_seconds())));
    format!("Step `{}`: {sessions}, {attempts}, {} right{interval}.", one.step.id, sum(|tally| tally.hits))
}

fn learning(learning: Learning) -> String {
    let Learning { curve, scatter_s, half_life } = learning;
    format!(
        "Learning: presses level off towards {}, from {} at first; half of the gain takes {half_life:.0} presses \
         (exponential curve over medians of five; they lie about {} from it).",
        seconds(curve.level),
        seconds(curve.at(0.0)),
        seconds(scatter_s)
    )
}

fn no_curve(one: &Progress) -> String {
    format!(
        "Learning: no levelling off can be seen in {}.",
        count(one.medians.len() as u32, "median", "medians of five presses")
    )
}

fn since(one: &Progress, days: impl Fn(&str, &str) -> Option<u32>) -> String {
    let [.., before, after] = &one.sessions[..] else { return String::new() };
    match days(&before.began, &after.began) {
        Some(0) => " of the same day".into(),
        Some(days) => format!(" {} earlier", count(days, "day", "days")),
        None => String::new(),
    }
}

fn kept(retention: Retention, when: String) -> String {
    let Retention { ratio, interval, presses: [before, after] } = retention;
    let verdict = match (interval.low > 1.0, interval.high < 1.0) {
        (true, _) => "some was lost between the sessions",
        (_, true) => "nothing was lost",
        _ => "no loss can be told from chance",
    };
    format!(
        "Kept since the session before{when}: the first {after} presses took {} of the last {before} ({} to {}, 95 %): \
         {verdict}.",
        percent(ratio),
        percent(interval.low),
        percent(interval.high)
    )
}

fn moved(movement: Movement) -> String {
    let Movement { faster, surer } = movement;
    format!(
        "Over the last {PLATEAU} sessions: probability {} that presses got at least 5 % faster, {} that at least 5 in 100 \
         more are right.",
        percent(faster),
        percent(surer)
    )
}

fn keeping(keeping: Keeping) -> String {
    let Keeping { advised_s, more_needed, fails } = keeping;
    let verdict = if fails { "It is not kept: two sessions running said so." } else { "It is kept so far." };
    format!(
        "Keeping {}: probability {} that a tenth more is needed by now. {verdict}",
        seconds(advised_s),
        percent(more_needed)
    )
}
