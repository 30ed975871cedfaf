//! Outcomes by block: one bar a block, its parts told apart by pattern, word and number.

use super::fills::{filled, shown};
use super::marks::words;
use super::scale::Scale;
use super::{Drawing, Drawn, LEFT, Plot, RIGHT};
use crate::analysis::findings::{BlockFindings, Measures, OutcomeShare};
use crate::analysis::words::count;
use crate::report::text::listed;
use crate::report::words as names;
use crate::session::trial::Outcome;

pub(super) const PLOT: Plot = Plot {
    name: "outcomes",
    reading: "A bar shows all scored trials of a block. Practice, helped and broken-off trials are left out.",
    missing: "How the trials ended: no trial counts, so there is no picture.",
    draw,
};

const KEY: f64 = 30.0;
const ROW: f64 = 48.0;
const BAR: f64 = 20.0;

fn draw(drawn: &Drawn) -> Option<Drawing> {
    let blocks: Vec<_> = scored(drawn).collect();
    if blocks.is_empty() {
        return None;
    }
    let rows: String = blocks.iter().enumerate().map(|(nth, (block, measures))| row(nth, block, measures)).collect();
    let height = KEY + ROW * blocks.len() as f64;
    let heading = heading(&drawn.findings.total);
    Some(Drawing { heading, height, description: description(&blocks), marks: key() + &rows })
}

fn heading(total: &Measures) -> String {
    let hits = total.outcomes.iter().find(|share| share.outcome == Outcome::Hit.word()).map_or(0, |hit| hit.count);
    format!("{hits} of {} trials that count ended in a hit", total.trials)
}

/// The blocks with trials that count.
fn scored<'a>(drawn: &'a Drawn) -> impl Iterator<Item = (&'a BlockFindings, &'a Measures)> {
    let with_measures = drawn.findings.blocks.iter().filter_map(|block| Some((block, block.measures.as_ref()?)));
    with_measures.filter(|(_, measures)| measures.trials > 0)
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
        + &words("label", (8.0, top + 26.0), &trials)
        + &parts(&scale, top, measures)
        + &words("label", (LEFT, top + BAR + 14.0), &summary(measures))
}

fn parts(scale: &Scale, top: f64, measures: &Measures) -> String {
    let mut before = 0.0;
    let mut parts = String::new();
    for share in present(measures) {
        let (from, to) = (scale.place(before), scale.place(before + f64::from(share.count)));
        before += f64::from(share.count);
        parts += &filled(&share.outcome, (from, top), (to - from, BAR));
        if to - from >= 22.0 {
            parts += &words("count middle", ((from + to) / 2.0, top + 14.5), &share.count.to_string());
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
