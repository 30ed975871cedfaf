//! How long the presses took, beside the time for which an entry stays lit.

use super::fills::{filled, key};
use super::marks::{bar, line, path, words};
use super::scale::Scale;
use super::{Drawing, Drawn, LEFT, Plot, RIGHT, axis};
use crate::advice::pictures::latencies::{Bin, Latencies};
use crate::analysis::words::{count, percent, seconds};
use crate::report::text::two;

pub(super) const PLOT: Plot = Plot {
    name: "latencies",
    reading: "Presses counted by latency, from the moment their item lit. The pale ground is the time for which an \
              item stays lit; a press to the right of it takes the next item. The curve is what the advice expects.",
    missing: "Latencies: fewer than 5 presses under a moving highlight were timed, so there is no picture.",
    draw,
};

const TOP: f64 = 34.0;
const BOTTOM: f64 = 172.0;
/// Fewer presses in a bin are not drawn.
const SEEN: f64 = 0.02;
/// The column of the omissions, right of the axis of latencies.
const SIDE: f64 = 74.0;
/// How many presses of a kind a bin holds.
type Count = fn(&Bin) -> u32;
/// The kinds of press by their outcome.
const PARTS: [(&str, Count); 3] = [("hit", |bin| bin.right), ("late", |bin| bin.late), ("early", |bin| bin.early)];

struct Axes {
    latency: Scale,
    presses: Scale,
}

fn draw(drawn: &Drawn) -> Option<Drawing> {
    let shown = drawn.pictures.latencies.as_ref()?;
    let axes = axes(shown);
    let window = bar("window", (axes.latency.place(0.0), TOP), (window_width(&axes, shown), BOTTOM - TOP));
    let marks = [
        window,
        axis::across(&axes.presses, (LEFT, RIGHT)),
        bars(&axes, shown),
        path("curve", &curve(&axes, shown)),
        intervals(&axes, shown),
        axis::below(&axes.latency, BOTTOM, "latency in seconds"),
        omissions(&axes, shown),
        legend(shown),
    ];
    let (heading, description) = (heading(drawn, shown), description(shown));
    Some(Drawing { heading, height: BOTTOM + 36.0, description, marks: marks.concat() })
}

fn heading(drawn: &Drawn, shown: &Latencies) -> String {
    let late = drawn.beside_scan_rate("presses that come too late");
    match late.zip(shown.advised_s) {
        Some((late, advised)) => {
            format!("At {} per item, {} of presses would come too late", seconds(advised), percent(late.value))
        }
        None => format!("How long {} took", count(pressed(shown), "press", "presses")),
    }
}

fn pressed(shown: &Latencies) -> u32 {
    shown.bins.iter().map(Bin::all).sum()
}

fn axes(shown: &Latencies) -> Axes {
    let end = shown.from_s + shown.bins.len() as f64 * shown.width_s;
    let longest = [end, shown.in_force_s, shown.advised_s.unwrap_or(0.0)].into_iter().fold(0.0, f64::max);
    let fullest = f64::from(shown.bins.iter().map(Bin::all).max().unwrap_or(1));
    let curve = shown.curve.iter().map(|[_, presses]| *presses).fold(0.0, f64::max);
    let highest = curve.clamp(fullest, 1.5 * fullest);
    Axes {
        latency: Scale::new((shown.from_s.min(0.0), longest * 1.03), (LEFT, RIGHT - SIDE)),
        presses: Scale::new((0.0, highest * 1.05), (BOTTOM, TOP)),
    }
}

fn window_width(axes: &Axes, shown: &Latencies) -> f64 {
    axes.latency.place(shown.advised_s.unwrap_or(shown.in_force_s)) - axes.latency.place(0.0)
}

fn bars(axes: &Axes, shown: &Latencies) -> String {
    shown.bins.iter().enumerate().map(|(nth, bin)| stack(axes, shown, nth, bin)).collect()
}

/// One bin: right presses at the bottom, late ones and early ones on them.
fn stack(axes: &Axes, shown: &Latencies, nth: usize, bin: &Bin) -> String {
    let left = shown.from_s + nth as f64 * shown.width_s;
    let (from, to) = (axes.latency.place(left), axes.latency.place(left + shown.width_s));
    let mut below = 0;
    let mut parts = String::new();
    for (outcome, count) in PARTS.map(|(outcome, of)| (outcome, of(bin))).into_iter().filter(|(_, count)| *count > 0) {
        let bottom = axes.presses.place(f64::from(below));
        below += count;
        let top = axes.presses.place(f64::from(below));
        parts += &filled(outcome, (from, top), ((to - from - 0.5).max(1.0), bottom - top));
    }
    parts
}

fn curve(axes: &Axes, shown: &Latencies) -> Vec<(f64, f64)> {
    // Where next to nothing is expected, a line on the axis would only hide it.
    let seen = shown.curve.iter().filter(|[at, presses]| *presses > SEEN && axes.latency.holds(*at));
    seen.map(|[at, presses]| (axes.latency.place(*at), axes.presses.place(*presses))).collect()
}

/// The advised interval and the one in force, each with its words on a line of its own: those of the
/// shorter one at its left, so that no line runs through words.
fn intervals(axes: &Axes, shown: &Latencies) -> String {
    let upright = |class: &str, value: f64, y: f64, name: &str, at_left: bool| {
        let x = axes.latency.place(value);
        let (anchor, beside) = if at_left { ("end", x - 5.0) } else { ("start", x + 5.0) };
        let text = words(&format!("tick {anchor}"), (beside, y), &format!("{name} {}", seconds(value)));
        line(class, (x, y - 9.0), (x, BOTTOM)) + &text
    };
    let in_force = shown.in_force_s;
    let advised =
        shown.advised_s.map_or_else(String::new, |value| upright("advised", value, 12.0, "advised", value <= in_force));
    let shorter = shown.advised_s.is_some_and(|value| value > in_force);
    advised + &upright("in-force", in_force, 27.0, "in force", shorter)
}

/// The omissions stand beside the axis, for they have no latency; a bar that would not fit is broken.
fn omissions(axes: &Axes, shown: &Latencies) -> String {
    let (left, width) = (RIGHT - SIDE + 24.0, SIDE - 34.0);
    let omitted = f64::from(shown.omitted);
    let top = axes.presses.place(omitted);
    let mut marks = line("axis", (left - 6.0, BOTTOM), (RIGHT, BOTTOM));
    if shown.omitted > 0 {
        marks += &filled("omission", (left, top), (width, BOTTOM - top));
    }
    if !axes.presses.holds(omitted) {
        marks += &line("break", (left - 4.0, TOP + 16.0), (left + width + 4.0, TOP + 8.0));
    }
    let middle = left + width / 2.0;
    marks
        + &words("tick middle", (middle, top - 5.0), &shown.omitted.to_string())
        + &words("tick middle", (middle, BOTTOM + 16.0), "no press")
}

/// What stands in the plot, with how many.
fn legend(shown: &Latencies) -> String {
    let counts = PARTS.map(|(outcome, of)| (outcome, shown.bins.iter().map(of).sum::<u32>()));
    let names = counts.into_iter().filter(|(_, count)| *count > 0).map(|(outcome, count)| {
        let name = if outcome == "hit" { "right" } else { outcome };
        (outcome, format!("{name}: {count}"))
    });
    let keys: String =
        names.enumerate().map(|(nth, (outcome, text))| key(outcome, 46.0 + 19.0 * nth as f64, &text)).collect();
    words("tick", (8.0, 12.0), "presses") + &keys
}

fn description(shown: &Latencies) -> String {
    let sum = |part: fn(&Bin) -> u32| shown.bins.iter().map(part).sum::<u32>();
    let advised = shown.advised_s.map_or_else(String::new, |value| format!(" Advised interval {}.", seconds(value)));
    let bins = shown.bins.iter().enumerate().filter(|(_, bin)| bin.all() > 0).map(|(nth, bin)| {
        let left = shown.from_s + nth as f64 * shown.width_s;
        format!(" {} to {}: {}.", two(left), seconds(left + shown.width_s), bin.all())
    });
    format!(
        "Latencies of {} right, {} late and {} early presses; {} without a press.{advised} Interval in force {}. \
         Presses by latency:{}",
        sum(|bin| bin.right),
        sum(|bin| bin.late),
        sum(|bin| bin.early),
        shown.omitted,
        seconds(shown.in_force_s),
        bins.collect::<String>()
    )
}
