//! The findings as plain text for a terminal.

use std::fmt::Write;

use super::findings::{BlockFindings, Caution, Findings, Involuntary, Latency, Measures, Pointing, Suggestion};
use super::words::{self, at_most, capital, count, decimals, duration, percent, seconds};
use crate::log::header::Header;
use crate::switch_check::Finding;

/// The findings, short enough to be read at the bedside; every line ends in a line feed.
#[must_use]
pub fn text(header: &Header, findings: &Findings, cautions: &[Caution]) -> String {
    let mut lines = head(header, findings);
    lines.extend(findings.blocks.iter().flat_map(block));
    lines.push(String::new());
    lines.extend(total(&findings.total));
    lines.push(suggestion(findings.suggestion.as_ref()));
    lines.extend(words::reasons("Rests", &findings.rests, words::rest));
    lines.extend(words::reasons("Pauses", &findings.pauses, words::pause));
    lines.extend(cautions_text(cautions));
    lines.push(String::new());
    lines.push("Not certified as a medical device: it measures and informs, a licensed clinician decides.".into());
    lines.iter().fold(String::new(), |mut text, line| {
        // Control characters in codes and names must not reach the terminal.
        let _ = writeln!(text, "{}", line.replace(char::is_control, " ").trim_end());
        text
    })
}

fn head(header: &Header, findings: &Findings) -> Vec<String> {
    let protocol = &header.protocol.name;
    let whole = if findings.complete { "" } else { ", not finished" };
    vec![
        format!("Client {}, {protocol}, {}{whole}", header.client, duration(findings.seconds)),
        format!("Began {}, pacewright {}, seed {}", header.began, header.program, header.seed),
    ]
}

fn block(block: &BlockFindings) -> Vec<String> {
    let name = capital(words::kind(block.kind));
    let mut lines = vec![
        String::new(),
        format!("{}. {name}: {}, {}", block.block + 1, duration(block.seconds), words::ended(block.ended)),
    ];
    lines.extend(block.involuntary.as_ref().map(|watched| format!("   {}", involuntary(watched))));
    lines.extend(block.pointing.as_ref().map(|moved| format!("   {}", pointing(moved))));
    lines.extend(block.switches.iter().flat_map(switch).map(|line| format!("   {line}")));
    lines.extend(block.measures.iter().flat_map(measures).map(|line| format!("   {line}")));
    let ratings: Vec<String> = block.ratings.iter().map(|(name, value)| words::rating(name, *value)).collect();
    lines.extend((!ratings.is_empty()).then(|| format!("   Client: {}", ratings.join(", "))));
    lines
}

/// How a pointer was moved, in a sentence.
#[must_use]
pub fn pointing(moved: &Pointing) -> String {
    format!(
        "Pointer: {} bit/s over {} of {}°, {} each without reaction and dwell time; ends within {}° (ISO 9241-411)",
        decimals(moved.bits_per_s, 2),
        count(moved.movements, "movement", "movements"),
        decimals(moved.distance_deg, 1),
        seconds(moved.movement_s),
        decimals(moved.effective_width_deg, 1)
    )
}

/// What a check found out about one switch.
fn switch(found: &Finding) -> Vec<String> {
    let mut lines = found.lines();
    lines[0] = format!("Switch {}: {}", u16::from(found.switch.0) + 1, lines[0]);
    lines
}

/// What a quiet watch came to, in a sentence.
#[must_use]
pub fn involuntary(watched: &Involuntary) -> String {
    let (watch, length) = (words::watch(watched.watch), duration(watched.seconds));
    if watched.count == 0 {
        return format!("No press {watch} in {length}: at most {} a minute", at_most(watched.high_per_minute));
    }
    format!(
        "{} {watch} in {length}: {} a minute (95 %: {} to {})",
        count(watched.count, "press", "presses"),
        decimals(watched.per_minute, 1),
        decimals(watched.low_per_minute, 1),
        decimals(watched.high_per_minute, 1)
    )
}

fn measures(measures: &Measures) -> Vec<String> {
    let mut lines = vec![trials(measures)];
    lines.extend(measures.latency.as_ref().map(latency));
    lines.extend(cost(measures));
    lines.extend(recovered(measures));
    lines
}

fn recovered(measures: &Measures) -> Option<String> {
    let each = measures.recovered.iter().map(|one| {
        let number = if one.count == 1 { "one".into() } else { format!("mean of {}", one.count) };
        format!("{} {} ({number})", one.error, seconds(one.mean_s))
    });
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| format!("Putting errors right took: {}", each.join(", ")))
}

fn total(total: &Measures) -> Vec<String> {
    let mut lines = vec![format!("All blocks: {}", trials(total))];
    lines.extend(total.outcomes.iter().find(|share| share.outcome == "hit").map(|share| {
        format!("Right: {} (95 %: {} to {})", percent(share.share), percent(share.low), percent(share.high))
    }));
    lines
}

fn trials(measures: &Measures) -> String {
    let shown = measures.outcomes.iter().filter(|share| share.count > 0);
    let outcomes: Vec<String> = shown.map(|share| format!("{} {}", share.count, share.outcome)).collect();
    let outcomes = if outcomes.is_empty() { String::new() } else { format!(": {}", outcomes.join(", ")) };
    let left_out = words::left_out(measures.left_out);
    let left_out = if left_out.is_empty() { left_out } else { format!(" (left out: {left_out})") };
    format!("{} counted{outcomes}{left_out}", count(measures.trials, "trial", "trials"))
}

fn latency(latency: &Latency) -> String {
    let spread = latency.cv.map_or_else(String::new, |cv| format!(", SD {} of it", percent(cv)));
    let negative = if latency.negative == 0 {
        String::new()
    } else {
        format!("; {} before the highlight", count(latency.negative, "press", "presses"))
    };
    format!(
        "Latency of {}: median {} (quartiles {} to {}), mean {}{spread}, 95 % within {}{negative}",
        count(latency.count, "right press", "right presses"),
        seconds(latency.median_s),
        decimals(latency.lower_quartile_s, 2),
        seconds(latency.upper_quartile_s),
        seconds(latency.mean_s),
        seconds(latency.p95_s)
    )
}

fn cost(measures: &Measures) -> Option<String> {
    let (time, presses) = (measures.seconds_per_correct?, measures.presses_per_correct?);
    Some(format!("Each correct choice took {} and {} presses", seconds(time), decimals(presses, 1)))
}

/// The suggestion in a sentence, or that there is none.
#[must_use]
pub fn suggestion(suggestion: Option<&Suggestion>) -> String {
    let Some(found) = suggestion else {
        return "The published ratio gives no scan rate: no right or late press was measured.".into();
    };
    let interval = match (found.low_s, found.high_s) {
        (Some(low), Some(high)) => format!(" (90 %: {} to {})", decimals(low, 2), seconds(high)),
        _ => String::new(),
    };
    let held = if found.held_s > 0.0 {
        format!(", of which {} is the hold time", seconds(found.held_s))
    } else {
        String::new()
    };
    format!(
        "For comparison, the published ratio gives {} per item{interval}: mean latency {}{held}, over 0.65, from {} ({}).",
        seconds(found.scan_interval_s),
        seconds(found.mean_s),
        count(found.count, "press", "presses"),
        words::kind(found.kind)
    )
}

fn cautions_text(cautions: &[Caution]) -> Vec<String> {
    if cautions.is_empty() {
        return Vec::new();
    }
    let lines = cautions.iter().map(|caution| format!("- {caution} {}", caution.remedy()));
    [String::new(), "Cautions".to_string()].into_iter().chain(lines).collect()
}
