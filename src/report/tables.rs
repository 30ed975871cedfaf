//! The findings as tables.

use super::text::{escape, or_dash, table, two};
use super::words::{block as name, meaning, scans};
use crate::analysis::findings::{
    BlockFindings, Findings, Involuntary, Latency, LeftOut, Measures, OutcomeShare, Pointing,
};
use crate::analysis::words::{self, at_most, decimals, duration, percent, seconds};
use crate::session::trial::Outcome;

/// All tables of the findings.
pub(super) fn all(findings: &Findings) -> String {
    let parts = [
        blocks(findings),
        outcomes(&findings.total),
        latencies(findings),
        pointing(findings),
        quiet(findings),
        breaks(findings),
    ];
    parts.concat()
}

fn blocks(findings: &Findings) -> String {
    if findings.blocks.is_empty() {
        return "<p>No block began.</p>\n".into();
    }
    let heads = [
        "Block",
        "Length",
        "Ended",
        "Scan interval",
        "Succeeded (95 %)",
        "Left out",
        "Time per choice",
        "Presses per choice",
        "Client said",
    ];
    let lines: Vec<_> = findings.blocks.iter().map(block).collect();
    let caption = "The blocks in order. Time and presses per choice: all that was spent, over the targets reached.";
    table("wide", caption, &heads, &lines)
}

fn block(block: &BlockFindings) -> Vec<String> {
    let scans = scans(block.kind).then(|| seconds(block.scan_interval_s));
    let measures = block.measures.as_ref();
    vec![
        name(block.block, block.kind),
        duration(block.seconds),
        words::ended(block.ended).into(),
        scans.unwrap_or_else(dash),
        measures.map_or_else(dash, succeeded),
        measures.map_or_else(dash, |measures| left_out(measures.left_out)),
        or_dash(measures.and_then(|measures| measures.seconds_per_correct), seconds),
        or_dash(measures.and_then(|measures| measures.presses_per_correct), two),
        ratings(&block.ratings),
    ]
}

/// "12 of 14 (60 to 96 %)".
fn succeeded(measures: &Measures) -> String {
    let hits = measures.outcomes.iter().find(|share| share.outcome == Outcome::Hit.word());
    let told = |hit: &OutcomeShare| {
        format!("{} of {} ({} to {})", hit.count, measures.trials, decimals(hit.low * 100.0, 0), percent(hit.high))
    };
    hits.filter(|_| measures.trials > 0).map_or_else(dash, told)
}

fn dash() -> String {
    "–".into()
}

fn left_out(left_out: LeftOut) -> String {
    let told = words::left_out(left_out);
    if told.is_empty() { dash() } else { told }
}

fn ratings(ratings: &[(String, u8)]) -> String {
    let stated: Vec<String> =
        ratings.iter().map(|(question, value)| escape(&words::rating(question, *value))).collect();
    if stated.is_empty() { dash() } else { stated.join(", ") }
}

fn outcomes(total: &Measures) -> String {
    if total.trials == 0 {
        return String::new();
    }
    let lines: Vec<_> = total.outcomes.iter().map(outcome).collect();
    let caption =
        format!("How all {} scored trials ended, with the 95 % interval of each share (Wilson).", total.trials);
    table("", &caption, &["Outcome", "Meaning", "Trials", "Share", "95 % interval"], &lines)
}

fn outcome(share: &OutcomeShare) -> Vec<String> {
    vec![
        escape(&share.outcome),
        escape(meaning(&share.outcome)),
        share.count.to_string(),
        percent(share.share),
        format!("{} to {}", percent(share.low), percent(share.high)),
    ]
}

fn latencies(findings: &Findings) -> String {
    let timed = findings
        .blocks
        .iter()
        .filter_map(|block| Some((name(block.block, block.kind), block.measures.as_ref()?.latency.as_ref()?)));
    let total = findings.total.latency.as_ref().map(|latency| ("All blocks".to_string(), latency));
    let lines: Vec<_> = timed.chain(total).map(|(name, latency)| timing(name, latency)).collect();
    if lines.is_empty() {
        return String::new();
    }
    let heads = [
        "Block",
        "Presses",
        "Lower quartile",
        "Median",
        "Upper quartile",
        "Mean",
        "SD",
        "CV",
        "90 %",
        "95 %",
        "99 %",
        "Longest",
    ];
    table(
        "wide numbers",
        "Latency of correct presses, in seconds: from the moment the wanted item was shown to the press. The last columns: within which 90, 95 and 99 of 100 came, and the longest.",
        &heads,
        &lines,
    )
}

fn timing(name: String, latency: &Latency) -> Vec<String> {
    let quartiles = [latency.lower_quartile_s, latency.median_s, latency.upper_quartile_s, latency.mean_s].map(two);
    let scatter = [or_dash(latency.sd_s, two), or_dash(latency.cv, two)];
    let tails = [latency.p90_s, latency.p95_s, latency.p99_s, latency.max_s].map(two);
    [name, latency.count.to_string()].into_iter().chain(quartiles).chain(scatter).chain(tails).collect()
}

fn pointing(findings: &Findings) -> String {
    let moved =
        findings.blocks.iter().filter_map(|block| Some((name(block.block, block.kind), block.pointing.as_ref()?)));
    let lines: Vec<_> = moved.map(|(name, moved)| movements(name, moved)).collect();
    if lines.is_empty() {
        return String::new();
    }
    let caption = "Movements of the pointer to tiles that were taken at the first try, without reaction and dwell time. \
                   Throughput with the effective width of ISO 9241-411; the tiles do not all lie equally far.";
    let heads = ["Block", "Movements", "Distance", "Effective width", "Difficulty", "Movement time", "Throughput"];
    table("", caption, &heads, &lines)
}

fn movements(name: String, moved: &Pointing) -> Vec<String> {
    vec![
        name,
        moved.movements.to_string(),
        format!("{}°", decimals(moved.distance_deg, 1)),
        format!("{}°", decimals(moved.effective_width_deg, 1)),
        format!("{} bit", two(moved.difficulty_bits)),
        seconds(moved.movement_s),
        format!("{} bit/s", two(moved.bits_per_s)),
    ]
}

fn quiet(findings: &Findings) -> String {
    let watches =
        findings.blocks.iter().filter_map(|block| Some((name(block.block, block.kind), block.involuntary.as_ref()?)));
    let lines: Vec<_> = watches.map(|(name, seen)| watch(name, seen)).collect();
    if lines.is_empty() {
        return String::new();
    }
    let caption = "Presses while nothing was asked. With none seen, the upper end is a one-sided bound.";
    table("", caption, &["Block", "Client", "Watched", "Presses", "Per minute", "95 % interval"], &lines)
}

fn watch(name: String, seen: &Involuntary) -> Vec<String> {
    vec![
        name,
        words::watch(seen.watch).into(),
        duration(seen.seconds),
        seen.count.to_string(),
        decimals(seen.per_minute, 1),
        rate_interval(seen),
    ]
}

fn rate_interval(seen: &Involuntary) -> String {
    if seen.count == 0 {
        return format!("at most {}", at_most(seen.high_per_minute));
    }
    format!("{} to {}", two(seen.low_per_minute), two(seen.high_per_minute))
}

fn breaks(findings: &Findings) -> String {
    let of = |kind: &str, list: &[(String, u32)], word: fn(&str) -> &str| -> Vec<Vec<String>> {
        list.iter().map(|(why, count)| vec![kind.into(), escape(word(why)), count.to_string()]).collect()
    };
    let lines = [of("Rest", &findings.rests, words::rest), of("Pause", &findings.pauses, words::pause)].concat();
    if lines.is_empty() {
        return "<p>There was no rest and no pause.</p>\n".into();
    }
    table("", "Rests and pauses by reason. A rest is never an error.", &["Kind", "Reason", "Times"], &lines)
}
