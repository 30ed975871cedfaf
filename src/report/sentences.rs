//! The findings in plain sentences; numbers come from the findings as they are.
//!
//! A press that counts as right is called correct here: beside "right cheek" the other word misleads.

use super::text::two;
use super::words::meaning;
use crate::analysis::findings::{Findings, Involuntary, Latency, Measures, OutcomeShare};
use crate::analysis::words::{at_most, capital, count, decimals, duration, percent, seconds, watch};
use crate::session::trial::Outcome;

/// The report in one line; `proposed` is a scan interval in seconds.
pub(super) fn headline(findings: &Findings, proposed: Option<f64>) -> String {
    let total = &findings.total;
    if total.trials == 0 {
        return "No trial could be scored in this session".into();
    }
    let hits = hits(total).map_or(0, |hit| hit.count);
    let found = if hits == total.trials { format!("All {hits}") } else { format!("{hits} of {}", total.trials) };
    match proposed {
        Some(interval) => {
            format!("{found} scored trials succeeded; a scan rate to try: {} per item", seconds(interval))
        }
        None => format!("{found} scored trials succeeded; no scan rate can be proposed yet"),
    }
}

/// Three to five sentences.
pub(super) fn findings(client: &str, findings: &Findings) -> Vec<String> {
    let total = &findings.total;
    let sentences = [
        Some(scope(client, findings)),
        hits(total).map(|hit| share(hit, total.trials)),
        Some(misses(total)),
        Some(total.latency.as_ref().map_or_else(|| "There was no correct press to time.".into(), latency)),
        watched(findings).map(involuntary),
    ];
    sentences.into_iter().flatten().collect()
}

fn hits(measures: &Measures) -> Option<&OutcomeShare> {
    measures.outcomes.iter().find(|share| share.outcome == Outcome::Hit.word() && measures.trials > 0)
}

fn scope(client: &str, findings: &Findings) -> String {
    let blocks = count(findings.blocks.len() as u32, "block", "blocks");
    let rests = match findings.rests.iter().map(|(_, count)| count).sum() {
        0 => "no rest".into(),
        rests => count(rests, "rest", "rests"),
    };
    let trials = count(findings.total.trials, "scored trial", "scored trials");
    let broken = if findings.complete { "" } else { "; not all blocks were done" };
    format!(
        "The session with client {client} took {}, in {blocks} with {rests} and {trials}{broken}.",
        duration(findings.seconds)
    )
}

fn share(hit: &OutcomeShare, trials: u32) -> String {
    let (low, high) = (percent(hit.low), percent(hit.high));
    format!(
        "{} of {trials} trials succeeded ({}); the true share may lie anywhere from {low} to {high}.",
        hit.count,
        percent(hit.share)
    )
}

fn misses(total: &Measures) -> String {
    let missed = total.outcomes.iter().filter(|share| share.outcome != Outcome::Hit.word() && share.count > 0);
    match missed.reduce(|most, next| if next.count > most.count { next } else { most }) {
        Some(most) => format!(
            "The most frequent error was “{}” ({}): {}.",
            most.outcome,
            count(most.count, "trial", "trials"),
            meaning(&most.outcome)
        ),
        None if total.trials == 0 => "Nothing was scored, so nothing can be said of errors.".into(),
        None => "No trial went wrong.".into(),
    }
}

fn latency(latency: &Latency) -> String {
    let (low, high) = (two(latency.lower_quartile_s), seconds(latency.upper_quartile_s));
    let median = seconds(latency.median_s);
    format!("A typical correct press came {median} after its item lit (median); the middle half took {low} to {high}.")
}

/// The first quiet watch.
fn watched(findings: &Findings) -> Option<&Involuntary> {
    findings.blocks.iter().find_map(|block| block.involuntary.as_ref())
}

fn involuntary(seen: &Involuntary) -> String {
    let (watch, watched) = (capital(watch(seen.watch)), duration(seen.seconds));
    if seen.count == 0 {
        let most = at_most(seen.high_per_minute);
        return format!("{watch}, no unasked press came in {watched}: at most {most} a minute.");
    }
    let presses = count(seen.count, "unasked press", "unasked presses");
    let (low, high) = (two(seen.low_per_minute), two(seen.high_per_minute));
    format!(
        "{watch}, {presses} came in {watched}: {} a minute ({low} to {high} with 95 % confidence).",
        decimals(seen.per_minute, 1)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample::{empty, full};

    #[test]
    fn there_are_three_to_five_sentences() {
        for sample in [full(), empty()] {
            let said = findings("A1", &sample.findings);
            assert!((3..=5).contains(&said.len()), "{said:?}");
            assert!(said.iter().all(|sentence| sentence.ends_with('.')), "{said:?}");
        }
    }

    #[test]
    fn the_headline_states_hits_and_rate_or_that_there_is_none() {
        let found = full().findings;
        let hits = hits(&found.total).unwrap().count;
        let said = headline(&found, Some(1.15));
        assert!(said.starts_with(&format!("{hits} of {} ", found.total.trials)), "{said}");
        assert!(said.ends_with("try: 1.15 s per item"), "{said}");
        assert!(headline(&found, None).ends_with("; no scan rate can be proposed yet"));
    }

    #[test]
    fn none_seen_is_told_as_at_most() {
        let mut found = full().findings;
        let seen = found.blocks.iter_mut().find_map(|block| block.involuntary.as_mut()).unwrap();
        (seen.count, seen.seconds, seen.per_minute, seen.high_per_minute) = (0, 60.0, 0.0, 2.9957);
        let said = findings("A1", &found);
        assert_eq!(said.last().unwrap(), "At rest, no unasked press came in 1 min: at most 3 a minute.");
    }
}
