//! How long presses were held, and how soon they followed each other: two panels, each with its cut.

use super::fills::filled;
use super::marks::{line, words};
use super::scale::Scale;
use super::{Drawing, Drawn, Plot, WIDTH, axis};
use crate::advice::pictures::presses::{Cut, Presses, Times};
use crate::analysis::words::{capital, percent, seconds};

pub(super) const PLOT: Plot = Plot {
    name: "presses",
    reading: "Presses that were asked for above, those that were not below. Where a filter is set or advised, \
              what lies left of its line is not taken.",
    missing: "Held times and gaps: fewer than 5 presses that were asked for were timed, so there is no picture.",
    draw,
};

const GAP: f64 = 28.0;
const PANEL: f64 = (WIDTH - 14.0 - GAP - 14.0) / 2.0;
const TOP: f64 = 20.0;
const ROW: f64 = 66.0;
const BAR: f64 = 42.0;
const BOTTOM: f64 = TOP + 18.0 + 2.0 * ROW;

/// One of the panels: what it is called, and what its cut is.
struct Panel<'a> {
    name: &'static str,
    axis: &'static str,
    filter: &'static str,
    few: &'static str,
    presses: Option<&'a Presses>,
}

fn panels<'a>(drawn: &Drawn<'a>) -> [Panel<'a>; 2] {
    let durations = Panel {
        name: "How long presses were held",
        axis: "seconds held, logarithmic",
        filter: "hold time",
        few: "fewer than 5 presses were timed",
        presses: drawn.pictures.durations.as_ref(),
    };
    let gaps = Panel {
        name: "Gaps between presses",
        axis: "seconds to the next press, logarithmic",
        filter: "repeat lockout",
        few: "fewer than 5 pairs of presses were timed",
        presses: drawn.pictures.gaps.as_ref(),
    };
    [durations, gaps]
}

fn draw(drawn: &Drawn) -> Option<Drawing> {
    let panels = panels(drawn);
    if panels.iter().all(|panel| panel.presses.is_none()) {
        return None;
    }
    let marks = panels.iter().enumerate().map(|(nth, panel)| panel.marks(14.0 + nth as f64 * (PANEL + GAP))).collect();
    let described: Vec<String> = panels.iter().map(Panel::description).collect();
    Some(Drawing { heading: heading(&panels), height: BOTTOM + 34.0, description: described.join(" "), marks })
}

/// What the cuts do, or that there is none.
fn heading(panels: &[Panel]) -> String {
    let told: Vec<String> = panels.iter().filter_map(Panel::message).collect();
    if told.is_empty() {
        "How long presses were held and how soon they followed: nothing is cut off".into()
    } else {
        told.join(". ")
    }
}

impl Panel<'_> {
    /// "Hold time 0.15 s, advised: stops 95 % of unwanted presses, loses 2 % of wanted ones".
    fn message(&self) -> Option<String> {
        let presses = self.presses?;
        let stops = below(&presses.unwanted).map(|share| format!("stops {} of unwanted presses", percent(share)));
        let loses = below(&presses.wanted).map(|share| format!("loses {} of wanted ones", percent(share)));
        let does: Vec<String> = stops.into_iter().chain(loses).collect();
        Some(format!("{}: {}", capital(&self.setting(presses.cut?)), does.join(", ")))
    }

    /// "hold time 0.15 s, advised".
    fn setting(&self, cut: Cut) -> String {
        let which = if cut.advised { "advised" } else { "in force" };
        format!("{} {}, {which}", self.filter, seconds(cut.seconds))
    }

    fn marks(&self, left: f64) -> String {
        let name = words("strong", (left, 12.0), self.name);
        match self.presses {
            Some(presses) => name + &self.drawn(presses, left),
            None => name + &words("tick", (left, TOP + 24.0), &format!("No picture: {}.", self.few)),
        }
    }

    fn drawn(&self, presses: &Presses, left: f64) -> String {
        let ends = (presses.edges_s[0], presses.edges_s[presses.edges_s.len() - 1]);
        let scale = Scale::logarithmic(ends, (left, left + PANEL));
        let rows = [("asked for", "hit", &presses.wanted), ("not asked for", "extra", &presses.unwanted)];
        let rows = rows
            .into_iter()
            .enumerate()
            .map(|(nth, (name, fill, times))| row(&scale, presses, base(nth), (name, fill, times)));
        let cut = presses.cut.map_or_else(String::new, |cut| self.cut(&scale, cut));
        rows.collect::<String>() + &cut + &axis::below(&scale, BOTTOM, self.axis)
    }

    /// The upright line, broken where the words of a row stand.
    fn cut(&self, scale: &Scale, cut: Cut) -> String {
        let (x, (left, right)) = (scale.place(cut.seconds), scale.places());
        let class = if cut.advised { "advised" } else { "in-force" };
        let (anchor, beside) = if x > (left + right) / 2.0 { ("end", x - 5.0) } else { ("start", x + 5.0) };
        let pieces = [(TOP + 1.0, TOP + 16.0), (base(0) - BAR, base(0)), (base(1) - BAR, BOTTOM)];
        let pieces = pieces.map(|(from, to)| line(class, (x, from), (x, to)));
        pieces.concat() + &words(&format!("tick {anchor}"), (beside, TOP + 10.0), &self.setting(cut))
    }

    fn description(&self) -> String {
        let Some(presses) = self.presses else { return format!("{}: {}.", self.name, self.few) };
        let cut =
            presses.cut.map_or_else(|| "no cut".into(), |cut| format!("{} {}", self.filter, seconds(cut.seconds)));
        let told = |name: &str, times: &Times| format!("{name} {}", shares(times, presses.cut));
        format!(
            "{}, {cut}: {}; {}.",
            self.name,
            told("asked for", &presses.wanted),
            told("not asked for", &presses.unwanted)
        )
    }
}

fn below(times: &Times) -> Option<f64> {
    (times.all > 0).then(|| f64::from(times.below) / f64::from(times.all))
}

/// "40: 5 % below, 95 % above".
fn shares(times: &Times, cut: Option<Cut>) -> String {
    match below(times).filter(|_| cut.is_some()) {
        Some(share) => format!("{}: {} below, {} above", times.all, percent(share), percent(1.0 - share)),
        None => times.all.to_string(),
    }
}

/// The ground on which the bars of a row stand.
fn base(nth: usize) -> f64 {
    TOP + 32.0 + BAR + nth as f64 * ROW
}

fn row(scale: &Scale, presses: &Presses, base: f64, (name, fill, times): (&str, &str, &Times)) -> String {
    let fullest = f64::from(times.counts.iter().copied().max().unwrap_or(0).max(1));
    let heights = Scale::new((0.0, fullest), (base, base - BAR));
    let bars = times.counts.iter().zip(presses.edges_s.windows(2)).filter(|(count, _)| **count > 0);
    let bars = bars.map(|(count, edges)| {
        let (from, to) = (scale.place(edges[0]), scale.place(edges[1]));
        let y = heights.place(f64::from(*count));
        filled(fill, (from, y), ((to - from - 0.5).max(1.0), base - y))
    });
    let (left, right) = scale.places();
    bars.collect::<String>()
        + &line("grid", (left, base), (right, base))
        + &words("label", (left, base - BAR - 4.0), &format!("{name}, {}", shares(times, presses.cut)))
}
