//! Expected time of a selection against the scan interval, and the proposed intervals under it.

use super::marks::{area, bar, dot, line, path, words};
use super::scale::Scale;
use super::{Drawing, Drawn, LEFT, Plot, RIGHT, axis};
use crate::advice::pictures::time_curve::{TimeCurve, TimePoint};
use crate::advice::recommendation::Advice;
use crate::analysis::words::seconds;
use crate::report::text::two;
use crate::settings::Id;

pub(super) const PLOT: Plot = Plot {
    name: "expected-time",
    reading: "Time that one selection on this menu takes, errors and their recovery included. The pale band is its \
              90 % interval, wide where few presses leave much open; left of its beginning a selection may never \
              succeed. Under it the intervals in question, each with its own 90 % interval.",
    missing: "Expected time of a selection: the presses bear no scan rate that is chosen by it, so there is no picture.",
    draw,
};

const TOP: f64 = 12.0;
const BOTTOM: f64 = 150.0;
const LANES: f64 = BOTTOM + 44.0;
const LANE: f64 = 30.0;

/// An interval in question.
struct Candidate {
    name: &'static str,
    mark: &'static str,
    seconds: f64,
    range: Option<[f64; 2]>,
}

struct Axes {
    interval: Scale,
    time: Scale,
}

fn draw(drawn: &Drawn) -> Option<Drawing> {
    let curve = drawn.pictures.time_curve.as_ref()?;
    let candidates = candidates(drawn, curve);
    let axes = axes(curve, &candidates)?;
    let lanes: String = candidates.iter().enumerate().map(|(nth, one)| lane(&axes, curve, nth, one)).collect();
    let marks = [
        axis::across(&axes.time, (LEFT, RIGHT)),
        lines(&axes, curve),
        axis::below(&axes.interval, BOTTOM, "scan interval in seconds per item"),
        key(),
        lanes,
    ];
    let height = LANES + LANE * candidates.len() as f64;
    Some(Drawing {
        heading: heading(drawn)?,
        height,
        description: description(curve, &candidates),
        marks: marks.concat(),
    })
}

fn heading(drawn: &Drawn) -> Option<String> {
    let advised = drawn.setting(Id::ScanInterval)?.value_of(Id::ScanInterval)?;
    let takes = drawn.beside_scan_rate("seconds per selection at this value");
    let takes = takes.map_or_else(String::new, |takes| format!(": a selection takes about {}", seconds(takes.value)));
    Some(format!("A scan rate of {} is fast enough and forgives slow presses{takes}", seconds(advised)))
}

fn candidates(drawn: &Drawn, curve: &TimeCurve) -> Vec<Candidate> {
    let advised = drawn.setting(Id::ScanInterval).and_then(|one| match one.advice {
        Advice::Set { value, interval, .. } => {
            Some(Candidate { name: "comfortable, advised", mark: "chosen", seconds: value, range: interval })
        }
        _ => None,
    });
    let beside = |name: &'static str, source: &str, mark: &'static str| {
        let named = drawn.beside_scan_rate(source)?;
        Some(Candidate { name, mark, seconds: named.value, range: named.interval })
    };
    let fastest = beside("fastest safe", "fastest safe", "open");
    let ratio = beside("published ratio", "mean latency over 0.65", "tick-mark");
    let in_force = Candidate { name: "in force", mark: "set-now", seconds: curve.in_force_s, range: None };
    [advised, fastest, ratio, Some(in_force)].into_iter().flatten().collect()
}

/// The curve and the intervals of the candidates set the ends. Twice the least time is high enough: what
/// lies above is far too fast.
fn axes(curve: &TimeCurve, candidates: &[Candidate]) -> Option<Axes> {
    let (first, last) = (curve.points.first()?.interval_s, curve.points.last()?.interval_s);
    let ends = || candidates.iter().filter_map(|one| one.range).flatten();
    let least = curve.points.iter().map(|point| point.seconds).fold(f64::INFINITY, f64::min);
    let low = curve.points.iter().map(|point| point.low_s).fold(f64::INFINITY, f64::min);
    let high = curve.points.iter().map(|point| point.high_s).fold(0.0, f64::max);
    Some(Axes {
        interval: Scale::new((ends().fold(first, f64::min), ends().fold(last, f64::max)), (LEFT, RIGHT)),
        time: Scale::new((0.9 * low, high.min(2.0 * least)), (BOTTOM, TOP)),
    })
}

fn lines(axes: &Axes, curve: &TimeCurve) -> String {
    let along = |of: fn(&TimePoint) -> f64| {
        let point = move |point: &TimePoint| (axes.interval.place(point.interval_s), axes.time.place(of(point)));
        curve.points.iter().map(point)
    };
    let band: Vec<_> = along(|point| point.high_s).chain(along(|point| point.low_s).rev()).collect();
    // Where the curve leaves the plot it ends.
    let inside = curve.points.iter().filter(|point| axes.time.holds(point.seconds));
    let middle: Vec<_> =
        inside.map(|point| (axes.interval.place(point.interval_s), axes.time.place(point.seconds))).collect();
    area("band", &band) + &path("curve", &middle)
}

fn key() -> String {
    words("tick", (8.0, 14.0), "seconds")
        + &words("tick", (8.0, 27.0), "per selection")
        + &line("curve", (8.0, 44.0), (26.0, 44.0))
        + &words("label", (32.0, 48.0), "expected")
        + &bar("band", (8.0, 58.0), (18.0, 12.0))
        + &words("label", (32.0, 68.0), "90 % interval")
}

/// One interval in question: its name and value at the left, its mark on the axis, and the mark's place
/// on the curve.
fn lane(axes: &Axes, curve: &TimeCurve, nth: usize, one: &Candidate) -> String {
    let y = LANES + LANE * nth as f64;
    let middle = y + 10.0;
    let range = one.range.map_or_else(String::new, |[low, high]| format!(" ({} to {})", two(low), two(high)));
    let names = words("label", (8.0, y + 7.0), one.name)
        + &words("tick", (8.0, y + 20.0), &format!("{}{range}", seconds(one.seconds)));
    let ground = line("grid", (LEFT, middle), (RIGHT, middle));
    if !axes.interval.holds(one.seconds) {
        return names + &ground + &words("tick end", (RIGHT, middle - 4.0), "beyond this axis");
    }
    let x = axes.interval.place(one.seconds);
    let interval = one.range.map_or_else(String::new, |[low, high]| {
        let (left, right) = (axes.interval.place(low), axes.interval.place(high));
        bar("range", (left, middle - 4.0), (right - left, 8.0))
    });
    let curve = on_curve(curve, one.seconds).filter(|seconds| axes.time.holds(*seconds));
    let above = curve.map_or(BOTTOM, |seconds| axes.time.place(seconds));
    names
        + &ground
        + &interval
        + &line("drop", (x, above), (x, middle))
        + &mark(one.mark, x, middle)
        + &mark(one.mark, x, above)
}

fn mark(kind: &str, x: f64, y: f64) -> String {
    match kind {
        "chosen" | "open" => dot(kind, (x, y), 5.0),
        upright => line(upright, (x, y - 7.0), (x, y + 7.0)),
    }
}

/// The expected time at an interval between two points of the curve.
fn on_curve(curve: &TimeCurve, interval_s: f64) -> Option<f64> {
    let after = curve.points.iter().position(|point| point.interval_s >= interval_s)?;
    let (before, after) = (curve.points[after.saturating_sub(1)], curve.points[after]);
    let length = after.interval_s - before.interval_s;
    let part = if length > 0.0 { (interval_s - before.interval_s) / length } else { 1.0 };
    Some(before.seconds + part * (after.seconds - before.seconds))
}

fn description(curve: &TimeCurve, candidates: &[Candidate]) -> String {
    let told = candidates.iter().map(|one| {
        let range = one
            .range
            .map_or_else(String::new, |[low, high]| format!(", 90 % interval {} to {}", two(low), seconds(high)));
        let takes = on_curve(curve, one.seconds)
            .map_or_else(String::new, |takes| format!(", a selection takes {}", seconds(takes)));
        format!(" {}: {}{range}{takes}.", one.name, seconds(one.seconds))
    });
    let ends = curve.points.first().zip(curve.points.last());
    let ends = ends.map_or_else(String::new, |(first, last)| {
        format!(
            "from {} at {} to {} at {}",
            seconds(first.seconds),
            seconds(first.interval_s),
            seconds(last.seconds),
            seconds(last.interval_s)
        )
    });
    format!("Expected time of a selection against the scan interval, {ends}.{}", told.collect::<String>())
}
