//! Each right press over the session, with the median and the middle half of its block, and the
//! scan interval in force.

use super::scale::Scale;
use super::story::Stretch;
use super::{Drawing, Drawn, Plot, WIDTH, bar, line, words};
use crate::analysis::findings::{BlockFindings, Latency, Point};
use crate::analysis::words::seconds as shown_seconds;
use crate::report::text::{clock, two};
use crate::report::words as names;

pub(super) const PLOT: Plot = Plot {
    name: "latencies",
    heading: "How long each correct press took",
    reading: "Each dot is one press. The pale band holds the middle half of a block's presses, the line in it is \
              their median. The dashed line is the scan interval in force: a press above it would have come too late. \
              In an open dot's trial something came between.",
    draw,
};

const LEFT: f64 = 46.0;
const RIGHT: f64 = WIDTH - 12.0;
const TOP: f64 = 44.0;
const BOTTOM: f64 = 232.0;
const HEIGHT: f64 = 268.0;

struct Axes {
    time: Scale,
    latency: Scale,
}

fn draw(drawn: &Drawn) -> Option<Drawing> {
    let points = &drawn.findings.total.series;
    if points.is_empty() {
        return None;
    }
    let axes = axes(drawn, points);
    let blocks: String =
        measured(drawn).map(|(block, latency, stretch)| band(&axes, drawn, block, latency, stretch)).collect();
    let dots: String = points.iter().map(|point| dot(&axes, point)).collect();
    let marks = grid(&axes) + &blocks + &interval(&axes, drawn) + &dots;
    Some(Drawing { height: HEIGHT, description: description(drawn), marks })
}

/// The blocks that have latencies and a place in time.
fn measured<'a>(drawn: &'a Drawn) -> impl Iterator<Item = (&'a BlockFindings, &'a Latency, Stretch)> {
    drawn.findings.blocks.iter().filter_map(|block| {
        let latency = block.measures.as_ref()?.latency.as_ref()?;
        Some((block, latency, drawn.story.stretch(block.block)?))
    })
}

fn axes(drawn: &Drawn, points: &[Point]) -> Axes {
    let latencies = points.iter().map(|point| point.latency_s);
    let lowest = latencies.clone().fold(0.0, f64::min);
    let intervals = scanning(drawn).map(|(_, seconds)| seconds);
    let highest = latencies.chain(intervals).fold(0.0, f64::max);
    Axes {
        time: Scale::new((0.0, drawn.story.seconds), (LEFT, RIGHT)),
        latency: Scale::new((lowest, highest * 1.08), (BOTTOM, TOP)),
    }
}

fn grid(axes: &Axes) -> String {
    let across = axes.latency.marks(5.0, &[1.0, 2.0, 5.0], 10.0).into_iter().map(|value| {
        let y = axes.latency.place(value);
        line("grid", (LEFT, y), (RIGHT, y)) + &words("tick end", (LEFT - 8.0, y + 4.0), &short(value))
    });
    let names = words("tick", (8.0, 16.0), "seconds") + &time_axis(&axes.time, BOTTOM);
    across.collect::<String>() + &names
}

/// The time axis under a plot.
pub(super) fn time_axis(time: &Scale, y: f64) -> String {
    let marks = time.marks(10.0, &[1.0, 2.0, 5.0, 10.0, 15.0, 30.0], 60.0).into_iter().map(|value| {
        let x = time.place(value);
        line("axis", (x, y), (x, y + 5.0)) + &words("tick middle", (x, y + 19.0), &clock(value))
    });
    let axis = line("axis", (time.place(0.0), y), (RIGHT, y));
    marks.collect::<String>() + &axis + &words("tick end", (RIGHT, y + 35.0), "minutes and seconds since the start")
}

/// Tenths where they suffice.
fn short(value: f64) -> String {
    let text = two(value);
    text.strip_suffix('0').map_or(text.clone(), Into::into)
}

fn band(axes: &Axes, drawn: &Drawn, block: &BlockFindings, latency: &Latency, (from, to): Stretch) -> String {
    let (left, right) = (axes.time.place(from), axes.time.place(to));
    let (low, high) = (axes.latency.place(latency.lower_quartile_s), axes.latency.place(latency.upper_quartile_s));
    let median = axes.latency.place(latency.median_s);
    // Names need room: with many blocks only the numbers fit.
    let crowded = drawn.story.blocks.len() > 7;
    let name = if crowded { (block.block + 1).to_string() } else { names::block(block.block, block.kind) };
    let middle = (left + right) / 2.0;
    let value = format!("median {}", shown_seconds(latency.median_s));
    let value = if crowded { String::new() } else { words("tick middle", (middle, TOP - 16.0), &value) };
    bar("band", (left, high), (right - left, low - high))
        + &line("median", (left, median), (right, median))
        + &words("label strong middle", (middle, TOP - 30.0), &name)
        + &value
}

/// Stretches over which a scan interval was in force while a highlight moved.
fn scanning(drawn: &Drawn) -> impl Iterator<Item = (Stretch, f64)> {
    let blocks = drawn.findings.blocks.iter().filter(|block| names::scans(block.kind));
    blocks.flat_map(|block| {
        let stretch = drawn.story.stretch(block.block);
        stretch.map(|stretch| in_force(drawn, stretch, block.scan_interval_s)).unwrap_or_default()
    })
}

fn in_force(drawn: &Drawn, (from, to): Stretch, of_block: f64) -> Vec<(Stretch, f64)> {
    let changes = drawn.story.intervals.iter().filter(|(at, _)| *at > from && *at < to);
    let mut steps = vec![((from, to), of_block)];
    for (at, seconds) in changes {
        if let Some(((_, end), _)) = steps.last_mut() {
            *end = *at;
        }
        steps.push(((*at, to), *seconds));
    }
    steps
}

/// A dashed line at each scan interval, with its value where it first holds.
fn interval(axes: &Axes, drawn: &Drawn) -> String {
    let mut last = f64::NAN;
    let mut lines = String::new();
    for ((from, to), seconds) in scanning(drawn) {
        let (left, right, y) = (axes.time.place(from), axes.time.place(to), axes.latency.place(seconds));
        lines += &line("interval", (left, y), (right, y));
        if seconds != last {
            lines += &words("tick warn", (left, y - 5.0), &format!("scan interval {}", shown_seconds(seconds)));
        }
        last = seconds;
    }
    lines
}

fn dot(axes: &Axes, point: &Point) -> String {
    let (x, y) = (axes.time.place(point.at_s), axes.latency.place(point.latency_s));
    let told = format!("{}: {} s", clock(point.at_s), two(point.latency_s));
    let class = if point.interrupted { "dot open" } else { "dot" };
    format!("<circle class=\"{class}\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4\"><title>{told}</title></circle>\n")
}

fn description(drawn: &Drawn) -> String {
    let told = measured(drawn).map(|(block, latency, _)| {
        let (low, high) = (two(latency.lower_quartile_s), two(latency.upper_quartile_s));
        let name = names::block(block.block, block.kind);
        format!(
            " Block {name}: {} presses, median {} s, middle half {low} to {high} s.",
            latency.count,
            two(latency.median_s)
        )
    });
    format!(
        "A dot for each of {} correct presses along the session.{}",
        drawn.findings.total.series.len(),
        told.collect::<String>()
    )
}
