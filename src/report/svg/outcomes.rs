//! Outcomes by block: one bar a block, its parts told apart by pattern, word and number.

use super::scale::Scale;
use super::{Drawing, Drawn, Plot, WIDTH, words};
use crate::analysis::findings::{BlockFindings, Measures, OutcomeShare};
use crate::analysis::words::count;
use crate::report::text::listed;
use crate::report::words as names;
use crate::session::trial::Outcome;

pub(super) const PLOT: Plot = Plot {
    name: "outcomes",
    heading: "How the trials ended, block by block",
    reading: "A bar shows all scored trials of a block. Practice, helped and broken-off trials are left out.",
    draw,
};

const LEFT: f64 = 128.0;
const RIGHT: f64 = WIDTH - 12.0;
const KEY: f64 = 34.0;
const ROW: f64 = 62.0;
const BAR: f64 = 26.0;

fn draw(drawn: &Drawn) -> Option<Drawing> {
    let blocks: Vec<_> = scored(drawn).collect();
    if blocks.is_empty() {
        return None;
    }
    let rows: String = blocks.iter().enumerate().map(|(nth, (block, measures))| row(nth, block, measures)).collect();
    let height = KEY + ROW * blocks.len() as f64;
    Some(Drawing { height, description: description(&blocks), marks: patterns() + &key() + &rows })
}

/// The blocks with trials that count.
fn scored<'a>(drawn: &'a Drawn) -> impl Iterator<Item = (&'a BlockFindings, &'a Measures)> {
    let with_measures = drawn.findings.blocks.iter().filter_map(|block| Some((block, block.measures.as_ref()?)));
    with_measures.filter(|(_, measures)| measures.trials > 0)
}

/// The outcomes that can stand in a bar.
fn shown() -> impl Iterator<Item = &'static str> {
    Outcome::ALL.into_iter().filter(|outcome| *outcome != Outcome::Aborted).map(Outcome::word)
}

/// The pattern of each outcome: a ground of its own colour, and lines or dots in ink.
fn patterns() -> String {
    let marks = |outcome: &str| match outcome {
        "early" => "<path class=\"hatch\" d=\"M-2 2L2 -2M0 8L8 0M6 10L10 6\"/>",
        "late" => "<path class=\"hatch\" d=\"M-2 6L2 10M0 0L8 8M6 -2L10 2\"/>",
        "omission" => "<circle class=\"spot\" cx=\"4\" cy=\"4\" r=\"1.1\"/>",
        "extra" => "<path class=\"hatch\" d=\"M0 4H8\"/>",
        "wrong" => "<path class=\"hatch\" d=\"M0 0L8 8M0 8L8 0\"/>",
        _ => "",
    };
    let one = |outcome: &str| {
        format!(
            "<pattern id=\"fill-{outcome}\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\">\
             <rect width=\"8\" height=\"8\" style=\"fill:var(--{outcome})\"/>{}</pattern>\n",
            marks(outcome)
        )
    };
    format!("<defs>\n{}</defs>\n", shown().map(one).collect::<String>())
}

fn filled(outcome: &str, (x, y): (f64, f64), (width, height): (f64, f64)) -> String {
    let fill = if shown().any(|known| known == outcome) { outcome } else { "omission" };
    format!(
        "<rect class=\"part\" x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height}\" fill=\"url(#fill-{fill})\"/>\n"
    )
}

fn key() -> String {
    let one = |(nth, outcome): (usize, &str)| {
        let x = LEFT + nth as f64 * 92.0;
        filled(outcome, (x, 4.0), (18.0, 14.0)) + &words("label", (x + 24.0, 15.5), outcome)
    };
    shown().enumerate().map(one).collect()
}

fn row(nth: usize, block: &BlockFindings, measures: &Measures) -> String {
    let top = KEY + ROW * nth as f64;
    let name = names::block(block.block, block.kind);
    let trials = count(measures.trials, "trial", "trials");
    let scale = Scale::new((0.0, f64::from(measures.trials)), (LEFT, RIGHT));
    words("label strong", (8.0, top + 12.0), &name)
        + &words("label", (8.0, top + 27.0), &trials)
        + &parts(&scale, top, measures)
        + &words("label", (LEFT, top + BAR + 16.0), &summary(measures))
}

fn parts(scale: &Scale, top: f64, measures: &Measures) -> String {
    let mut before = 0.0;
    let mut parts = String::new();
    for share in present(measures) {
        let (from, to) = (scale.place(before), scale.place(before + f64::from(share.count)));
        before += f64::from(share.count);
        parts += &filled(&share.outcome, (from, top), (to - from, BAR));
        if to - from >= 22.0 {
            parts += &words("count middle", ((from + to) / 2.0, top + 17.5), &share.count.to_string());
        }
    }
    parts
}

fn present(measures: &Measures) -> impl Iterator<Item = &OutcomeShare> {
    measures.outcomes.iter().filter(|share| share.count > 0)
}

fn summary(measures: &Measures) -> String {
    let parts: Vec<String> = present(measures).map(|share| format!("{} {}", share.count, share.outcome)).collect();
    listed(&parts)
}

fn description(blocks: &[(&BlockFindings, &Measures)]) -> String {
    let told = blocks.iter().map(|(block, measures)| {
        let trials = count(measures.trials, "trial", "trials");
        format!("Block {}, {trials}: {}.", names::block(block.block, block.kind), summary(measures))
    });
    told.collect::<Vec<_>>().join(" ")
}
