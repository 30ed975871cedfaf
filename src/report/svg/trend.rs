//! The latencies in order, with rests between them and the line through them.

use super::marks::{area, bar, dot, line, words};
use super::scale::Scale;
use super::{Drawing, Drawn, LEFT, Plot, RIGHT, axis};
use crate::advice::pictures::trend::{Press, Trend};
use crate::analysis::words::{capital, decimals, kind, seconds};
use crate::report::text::two;
use crate::stats::slope::Line;

pub(super) const PLOT: Plot = Plot {
    name: "trend",
    reading: "Each dot is a press of one kind of block, in order. Where enough were timed, the line shows how latencies \
              rose or fell, and the pale band how far its slope is open (90 %). It never tells the cause.",
    missing: "Latencies in order: fewer than 5 presses of one kind of block were timed, or more than 2,000, so there is no picture.",
    draw,
};

const TOP: f64 = 10.0;
const BOTTOM: f64 = 148.0;

struct Axes {
    number: Scale,
    latency: Scale,
}

fn draw(drawn: &Drawn) -> Option<Drawing> {
    let trend = drawn.pictures.trend.as_ref()?;
    let axes = axes(&trend.presses);
    let rests = rests(drawn, &trend.presses);
    let dots: String = trend.presses.iter().enumerate().map(|(nth, press)| place(&axes, nth, press)).collect();
    let marks = [
        axis::across(&axes.latency, (LEFT, RIGHT)),
        rests.iter().map(|number| rest(&axes, *number)).collect(),
        trend.line.map_or_else(String::new, |line| through(&axes, trend.presses.len(), line)),
        dots,
        axis::below(&axes.number, BOTTOM, &format!("number of the press ({})", kind(trend.kind))),
        key(trend, rests.is_empty()),
    ];
    Some(Drawing {
        heading: heading(drawn, trend),
        height: BOTTOM + 34.0,
        description: description(trend, &rests),
        marks: marks.concat(),
    })
}

/// What the rule says, and by how much the line rises.
fn heading(drawn: &Drawn, trend: &Trend) -> String {
    let rule = drawn.recommendations.iter().find(|one| one.rule == "trend over the session");
    let said = rule.and_then(|rule| rule.why.split_once(':')).map(|(said, _)| said);
    match trend.line.zip(said) {
        Some((line, said)) => format!("{said} over the session: {}", slope(line)),
        None => format!("{} presses in order: too few to tell a trend", trend.presses.len()),
    }
}

/// "+0.12 s in 10 presses (90 %: 0.05 to 0.20)".
fn slope(line: Line) -> String {
    let range = line.slope_interval.map_or_else(String::new, |range| {
        format!(" (90 %: {} to {})", signed(10.0 * range.low), signed(10.0 * range.high))
    });
    format!("{} s in 10 presses{range}", signed(10.0 * line.slope))
}

fn signed(value: f64) -> String {
    let text = decimals(value.abs(), 2);
    match text.as_str() {
        "0.00" => text,
        _ if value < 0.0 => format!("−{text}"),
        _ => format!("+{text}"),
    }
}

fn axes(presses: &[Press]) -> Axes {
    let latencies = || presses.iter().map(|press| press.latency_s);
    let (lowest, highest) = (latencies().fold(0.0, f64::min), latencies().fold(0.0, f64::max));
    Axes {
        number: Scale::new((0.5, presses.len() as f64 + 0.5), (LEFT, RIGHT)),
        latency: Scale::new((lowest, highest * 1.08), (BOTTOM, TOP)),
    }
}

/// After which press each rest came, as the place between two numbers; rests before the first and after
/// the last press are not among them.
fn rests(drawn: &Drawn, presses: &[Press]) -> Vec<f64> {
    let before = |from: f64| presses.iter().filter(|press| press.at_s <= from).count();
    let places = drawn.story.rests.iter().map(|(from, _)| before(*from));
    let mut places: Vec<usize> = places.filter(|place| (1..presses.len()).contains(place)).collect();
    places.dedup();
    places.into_iter().map(|place| place as f64 + 0.5).collect()
}

fn rest(axes: &Axes, number: f64) -> String {
    bar("rested", (axes.number.place(number) - 2.5, TOP), (5.0, BOTTOM - TOP))
}

fn place(axes: &Axes, nth: usize, press: &Press) -> String {
    let at = (axes.number.place(nth as f64 + 1.0), axes.latency.place(press.latency_s));
    let radius = if axes.number.place(2.0) - axes.number.place(1.0) > 6.0 { 3.5 } else { 2.0 };
    dot(if press.late { "open" } else { "dot" }, at, radius)
}

/// The line, and the fan that its slope's interval leaves open about the middle.
fn through(axes: &Axes, presses: usize, Line { slope, slope_interval, intercept }: Line) -> String {
    let (last, middle) = (presses as f64, (presses as f64 + 1.0) / 2.0);
    let height = intercept + slope * middle;
    let at =
        |slope: f64, number: f64| (axes.number.place(number), axes.latency.place(height + slope * (number - middle)));
    let fan = slope_interval.map_or_else(String::new, |range| {
        area("band", &[at(range.low, 1.0), at(range.low, last), at(range.high, last), at(range.high, 1.0)])
    });
    fan + &line("curve", at(slope, 1.0), at(slope, last))
}

fn key(trend: &Trend, no_rest: bool) -> String {
    let late = trend.presses.iter().any(|press| press.late);
    let entries = [("right", true), ("late", late), ("rest", !no_rest), ("trend", trend.line.is_some())];
    let entries = entries.into_iter().filter(|(_, there)| *there).enumerate().map(|(nth, (name, _))| {
        let y = 36.0 + 20.0 * nth as f64;
        sign(name, y) + &words("label", (32.0, y + 4.0), name)
    });
    words("tick", (8.0, 14.0), "latency in seconds") + &entries.collect::<String>()
}

fn sign(name: &str, y: f64) -> String {
    match name {
        "rest" => bar("rested", (14.0, y - 6.0), (5.0, 12.0)),
        "trend" => line("curve", (8.0, y), (24.0, y)),
        late_or_right => dot(if late_or_right == "late" { "open" } else { "dot" }, (16.0, y), 3.5),
    }
}

fn description(trend: &Trend, rests: &[f64]) -> String {
    let series: Vec<String> = trend.presses.iter().take(60).map(|press| two(press.latency_s)).collect();
    let rested: Vec<String> = rests.iter().map(|place| format!("press {}", place.floor())).collect();
    let rested =
        if rested.is_empty() { "no rest between them".into() } else { format!("rests after {}", rested.join(", ")) };
    let line = trend.line.map_or_else(|| "No trend is drawn.".into(), |line| format!("Trend: {}.", slope(line)));
    let longest = trend.presses.iter().map(|press| press.latency_s).fold(0.0, f64::max);
    format!(
        "{}: {} presses in order, {rested}; the longest took {}. {line} The first: {} s.",
        capital(kind(trend.kind)),
        trend.presses.len(),
        seconds(longest),
        series.join(", ")
    )
}
