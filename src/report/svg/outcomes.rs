//! Outcomes of each block as a bar of shares. Patterns and numbers tell them apart, not colour alone.

use super::shape::{INK, coloured, frame, line, rectangle, text};
use super::{LEFT, Plot, RIGHT};
use crate::analysis::findings::{BlockFindings, Measures, OutcomeShare};
use crate::analysis::words::{capital, kind, percent};
use crate::report::Material;
use crate::report::markup::{Html, element};

pub(super) const PLOT: Plot = Plot {
    title: "How the trials came out",
    caption: "One bar a block, all its trials that count. The number in a field is the number of trials.",
    draw,
};

const ROW: f64 = 44.0;
const BAR: f64 = 28.0;
const TOP: f64 = 6.0;

/// Outcome, meaning for the key, paper, and the strokes of its pattern.
const LOOKS: &[(&str, &str, &str, &[&str])] = &[
    ("hit", "hit", "#9cc3ca", &[]),
    ("early", "early", "#fff3d6", &["M0 10 L10 0"]),
    ("late", "late", "#fde0c5", &["M0 0 L10 10"]),
    ("omission", "no press", "#ffffff", &[]),
    ("extra", "extra press", "#e9e4f3", &["M5 0 L5 10"]),
    ("wrong", "wrong tile", "#f6d5da", &["M0 10 L10 0", "M0 0 L10 10"]),
];

fn draw(material: &Material) -> Option<Html> {
    let rows: Vec<(&BlockFindings, &Measures)> = material.findings.blocks.iter().filter_map(row).collect();
    if rows.is_empty() {
        return None;
    }
    let bottom = TOP + ROW * rows.len() as f64;
    let mut shapes = vec![element("defs", &[], &LOOKS.iter().map(pattern).collect::<Vec<_>>())];
    for (index, (block, measures)) in rows.iter().enumerate() {
        shapes.extend(bar(block, measures, TOP + ROW * index as f64));
    }
    shapes.extend(key(bottom + 14.0));
    Some(frame(bottom + 44.0, PLOT.title, &description(&rows), shapes))
}

fn row(block: &BlockFindings) -> Option<(&BlockFindings, &Measures)> {
    block.measures.as_ref().filter(|measures| measures.trials > 0).map(|measures| (block, measures))
}

fn pattern((name, _, paper, strokes): &(&str, &str, &str, &[&str])) -> Html {
    let ground = rectangle(paper, "none", (0.0, 0.0), (10.0, 10.0));
    let strokes = strokes
        .iter()
        .map(|stroke| element("path", &[("d", stroke), ("stroke", INK), ("stroke-opacity", "0.45")], &[]));
    let attributes = [("id", format!("outcome-{name}")), ("width", "10".into()), ("height", "10".into())];
    let attributes: Vec<(&str, &str)> = attributes.iter().map(|(name, value)| (*name, value.as_str())).collect();
    element(
        "pattern",
        &[attributes.as_slice(), &[("patternUnits", "userSpaceOnUse")]].concat(),
        &[ground].into_iter().chain(strokes).collect::<Vec<_>>(),
    )
}

fn fill(outcome: &str) -> String {
    format!("url(#outcome-{outcome})")
}

fn bar(block: &BlockFindings, measures: &Measures, top: f64) -> Vec<Html> {
    let mut shapes = vec![text("end", (LEFT - 12.0, top + 19.0), &capital(kind(block.kind)))];
    let mut left = LEFT;
    for share in measures.outcomes.iter().filter(|share| share.count > 0) {
        let width = (RIGHT - LEFT) * share.share;
        shapes.push(rectangle(&fill(&share.outcome), INK, (left, top), (width, BAR)));
        shapes.extend(number(share, left + width / 2.0, top, width));
        left += width;
    }
    shapes
}

/// The count, on a plain patch so that it can be read over a pattern.
fn number(share: &OutcomeShare, middle: f64, top: f64, width: f64) -> Vec<Html> {
    let count = share.count.to_string();
    let patch = 8.0 * count.len() as f64 + 8.0;
    if width < patch {
        return Vec::new();
    }
    vec![
        rectangle("#ffffff", "none", (middle - patch / 2.0, top + 5.0), (patch, 18.0)),
        text("middle", (middle, top + 19.0), &count),
    ]
}

fn key(top: f64) -> Vec<Html> {
    let mut shapes = vec![line("#d5dce1", 1.0, (LEFT, top - 8.0), (RIGHT, top - 8.0))];
    let step = (RIGHT - LEFT) / LOOKS.len() as f64;
    for (index, (name, meaning, ..)) in LOOKS.iter().enumerate() {
        let left = LEFT + step * index as f64;
        shapes.push(rectangle(&fill(name), INK, (left, top), (14.0, 14.0)));
        shapes.push(coloured(INK, "start", (left + 19.0, top + 12.0), meaning));
    }
    shapes
}

fn description(rows: &[(&BlockFindings, &Measures)]) -> String {
    let rows: Vec<String> = rows
        .iter()
        .map(|(block, measures)| {
            let shown = measures.outcomes.iter().filter(|share| share.count > 0);
            let shares: Vec<String> =
                shown.map(|share| format!("{} {}", percent(share.share), share.outcome)).collect();
            format!("{}: {}", kind(block.kind), shares.join(", "))
        })
        .collect();
    format!("{}.", rows.join("; "))
}
