//! The findings at a glance: a headline, and a few figures with what they mean. Numbers come from the
//! findings as they are.
//!
//! A press that counts as right is called correct here: beside "right cheek" the other word misleads.

use super::text::{escape, glued, two};
use super::words::meaning;
use crate::analysis::findings::{Findings, Involuntary, Measures, OutcomeShare};
use crate::analysis::words::{at_most, count, decimals, duration, percent, seconds, watch};
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

/// A figure that stands out: what it is, its value, and a line about it.
struct Tile {
    name: &'static str,
    value: String,
    about: String,
}

/// The figures that a clinician asks for first.
pub(super) fn section(findings: &Findings) -> String {
    let tiles: String = tiles(findings).iter().map(Tile::html).collect();
    format!(
        "<section aria-labelledby=\"found\">\n<h2 id=\"found\">What was found</h2>\n<dl class=\"tiles\">\n{tiles}</dl>\n</section>\n"
    )
}

impl Tile {
    fn html(&self) -> String {
        let told = |text: &str| glued(&escape(text));
        let (value, about) = (told(&self.value), told(&self.about));
        format!("<div><dt>{}</dt><dd><strong>{value}</strong> {about}</dd></div>\n", self.name)
    }
}

fn tiles(findings: &Findings) -> Vec<Tile> {
    let total = &findings.total;
    let watched = findings.blocks.iter().find_map(|block| block.involuntary.as_ref());
    let tiles = [hits(total).map(succeeded), Some(error(total)), Some(timing(total)), watched.map(unasked)];
    tiles.into_iter().flatten().collect()
}

fn hits(measures: &Measures) -> Option<&OutcomeShare> {
    measures.outcomes.iter().find(|share| share.outcome == Outcome::Hit.word() && measures.trials > 0)
}

fn succeeded(hit: &OutcomeShare) -> Tile {
    let (low, high) = (percent(hit.low), percent(hit.high));
    let about = format!("of scored trials; the true share may lie anywhere from {low} to {high} (95 %).");
    Tile { name: "Succeeded", value: percent(hit.share), about }
}

fn error(total: &Measures) -> Tile {
    let missed = total.outcomes.iter().filter(|share| share.outcome != Outcome::Hit.word() && share.count > 0);
    let name = "Most frequent error";
    match missed.reduce(|most, next| if next.count > most.count { next } else { most }) {
        Some(most) => {
            let about = format!("({}): {}.", count(most.count, "trial", "trials"), meaning(&most.outcome));
            Tile { name, value: most.outcome.clone(), about }
        }
        None if total.trials == 0 => {
            Tile { name, value: "–".into(), about: "Nothing was scored, so nothing can be said of errors.".into() }
        }
        None => Tile { name, value: "none".into(), about: "No trial went wrong.".into() },
    }
}

fn timing(total: &Measures) -> Tile {
    let name = "Typical correct press";
    let Some(latency) = &total.latency else {
        return Tile { name, value: "–".into(), about: "There was no correct press to time.".into() };
    };
    let (low, high) = (two(latency.lower_quartile_s), seconds(latency.upper_quartile_s));
    let about = match latency.count {
        1 => "after its item lit; it was the only one.".into(),
        _ => format!("after its item lit (median); the middle half took {low} to {high}."),
    };
    Tile { name, value: seconds(latency.median_s), about }
}

fn unasked(seen: &Involuntary) -> Tile {
    let (watch, watched) = (watch(seen.watch), duration(seen.seconds));
    let name = "Unasked presses";
    if seen.count == 0 {
        let most = at_most(seen.high_per_minute);
        return Tile { name, value: "none".into(), about: format!("in {watched} {watch}: at most {most} a minute.") };
    }
    let (low, high) = (two(seen.low_per_minute), two(seen.high_per_minute));
    let rate = decimals(seen.per_minute, 1);
    let about = format!("in {watched} {watch}: {rate} a minute ({low} to {high} with 95 % confidence).");
    Tile { name, value: seen.count.to_string(), about }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample::{empty, full};

    #[test]
    fn few_figures_each_with_a_sentence() {
        for (sample, wanted) in [(full(), 4), (empty(), 2)] {
            let tiles = tiles(&sample.findings);
            assert_eq!(tiles.len(), wanted);
            assert!(tiles.iter().all(|tile| tile.about.ends_with('.') && !tile.value.is_empty()));
        }
    }

    #[test]
    fn figures_are_those_of_the_findings() {
        let found = full().findings;
        let (hit, latency) = (hits(&found.total).unwrap(), found.total.latency.as_ref().unwrap());
        let html = section(&found);
        for figure in [percent(hit.share), percent(hit.low), percent(hit.high), seconds(latency.median_s)] {
            assert!(html.contains(&glued(&figure)), "{figure}: {html}");
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
        let last = tiles(&found).pop().unwrap();
        assert_eq!((last.value.as_str(), last.about.as_str()), ("none", "in 1 min at rest: at most 3 a minute."));
    }
}
