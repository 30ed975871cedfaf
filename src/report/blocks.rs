//! The tables: each block, its outcomes and its latencies.

use super::Material;
use super::markup::{Html, element, plain, section, table};
use crate::analysis::findings::{BlockFindings, Latency, Measures};
use crate::analysis::words::{self, at_most, capital, decimals, duration, percent, seconds};
use crate::session::trial::Outcome;

pub(super) fn blocks(material: &Material) -> Html {
    let findings = material.findings;
    let mut parts = vec![course(&findings.blocks)];
    if findings.total.trials > 0 || findings.blocks.iter().any(|block| block.measures.is_some()) {
        parts.push(outcomes(&findings.blocks, &findings.total));
    }
    parts.extend(latencies(&findings.blocks, &findings.total));
    parts.extend(quiet(&findings.blocks));
    let reasons = [
        words::reasons("Rests", &findings.rests, words::rest),
        words::reasons("Pauses", &findings.pauses, words::pause),
    ];
    parts.extend(reasons.into_iter().flatten().map(|line| plain("p", &line)));
    let parts: Vec<Html> = parts.into_iter().map(|part| element("div", &[("class", "scroll")], &[part])).collect();
    section("Block by block", &parts)
}

/// "2 Timed press": a block's number and name.
pub(super) fn name(block: &BlockFindings) -> String {
    format!("{} {}", block.block + 1, capital(words::kind(block.kind)))
}

fn course(blocks: &[BlockFindings]) -> Html {
    let rows: Vec<Vec<String>> = blocks.iter().map(course_row).collect();
    table("Course", &["Block", "Length", "Scan rate", "End", "What the client said"], &rows)
}

fn course_row(block: &BlockFindings) -> Vec<String> {
    let said: Vec<String> = block.ratings.iter().map(|(name, value)| words::rating(name, *value)).collect();
    let rate = block.measures.as_ref().map_or_else(dash, |_| seconds(block.scan_interval_s));
    let said = if said.is_empty() { dash() } else { said.join(", ") };
    vec![name(block), duration(block.seconds), rate, words::ended(block.ended).into(), said]
}

fn outcomes(blocks: &[BlockFindings], total: &Measures) -> Html {
    let kinds = Outcome::ALL.iter().filter(|outcome| **outcome != Outcome::Aborted);
    let names: Vec<String> = kinds.map(|outcome| capital(outcome.word())).collect();
    let mut columns = vec!["Block", "Trials"];
    columns.extend(names.iter().map(String::as_str));
    columns.extend(["Right (95 %)", "Left out"]);
    let measured = blocks.iter().filter_map(|block| Some((name(block), block.measures.as_ref()?)));
    let rows: Vec<Vec<String>> =
        measured.chain([("All".to_string(), total)]).map(|(name, measures)| outcome_row(name, measures)).collect();
    table("Outcomes of the trials that count", &columns, &rows)
}

fn outcome_row(name: String, measures: &Measures) -> Vec<String> {
    let mut row = vec![name, measures.trials.to_string()];
    let kinds = Outcome::ALL.iter().filter(|outcome| **outcome != Outcome::Aborted);
    row.extend(kinds.map(|outcome| {
        let share = measures.outcomes.iter().find(|share| share.outcome == outcome.word());
        share.map_or(0, |share| share.count).to_string()
    }));
    let hit = measures.outcomes.iter().find(|share| share.outcome == Outcome::Hit.word());
    row.push(hit.map_or_else(dash, |hit| {
        format!("{} ({} to {})", percent(hit.share), decimals(hit.low * 100.0, 0), percent(hit.high))
    }));
    let left_out = words::left_out(measures.left_out);
    row.push(if left_out.is_empty() { dash() } else { left_out });
    row
}

fn latencies(blocks: &[BlockFindings], total: &Measures) -> Option<Html> {
    let of_blocks = blocks.iter().filter_map(|block| Some((name(block), block.measures.as_ref()?)));
    let rows: Vec<Vec<String>> = of_blocks
        .chain([("All".to_string(), total)])
        .filter_map(|(name, measures)| Some(latency_row(name, measures.latency.as_ref()?, measures)))
        .collect();
    let columns =
        ["Block", "Presses", "Median", "Quartiles", "Mean", "SD", "CV", "90 / 95 / 99 %", "A correct choice takes"];
    (!rows.is_empty()).then(|| table("Latency of right presses, in seconds", &columns, &rows))
}

fn latency_row(name: String, latency: &Latency, measures: &Measures) -> Vec<String> {
    let two = |value: f64| decimals(value, 2);
    let choice = match (measures.seconds_per_correct, measures.presses_per_correct) {
        (Some(time), Some(presses)) => format!("{} s, {} presses", two(time), decimals(presses, 1)),
        _ => dash(),
    };
    vec![
        name,
        latency.count.to_string(),
        two(latency.median_s),
        format!("{} to {}", two(latency.lower_quartile_s), two(latency.upper_quartile_s)),
        two(latency.mean_s),
        latency.sd_s.map_or_else(dash, two),
        latency.cv.map_or_else(dash, percent),
        format!("{} / {} / {}", two(latency.p90_s), two(latency.p95_s), two(latency.p99_s)),
        choice,
    ]
}

fn quiet(blocks: &[BlockFindings]) -> Option<Html> {
    let rows: Vec<Vec<String>> = blocks
        .iter()
        .filter_map(|block| {
            let watched = block.involuntary.as_ref()?;
            let sure = if watched.count == 0 {
                format!("at most {}", at_most(watched.high_per_minute))
            } else {
                format!("{} to {}", decimals(watched.low_per_minute, 1), decimals(watched.high_per_minute, 1))
            };
            let rate = decimals(watched.per_minute, 1);
            let how = words::watch(watched.watch).to_string();
            Some(vec![name(block), how, duration(watched.seconds), watched.count.to_string(), rate, sure])
        })
        .collect();
    let columns = ["Block", "Client", "Watched", "Presses", "A minute", "95 %"];
    (!rows.is_empty()).then(|| table("Presses while nothing was asked", &columns, &rows))
}

fn dash() -> String {
    "–".into()
}
