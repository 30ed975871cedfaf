//! The session from beginning to end, in lanes.

use super::scale::Scale;
use super::shape::{DEEP, INK, WARM, coloured, dot, frame, line, rectangle, text};
use super::{LEFT, Plot, RIGHT};
use crate::analysis::words::{count, duration};
use crate::report::Material;
use crate::report::markup::Html;
use crate::report::timeline::Timeline;

pub(super) const PLOT: Plot = Plot {
    title: "The session",
    caption: "Blocks by number, as in the tables; filled mark: a trial that came out right; open mark: one that did \
              not. Presses are those in trials; unasked ones came while nothing was to be pressed.",
    draw,
};

const LANE: f64 = 34.0;
const TOP: f64 = 6.0;

fn draw(material: &Material) -> Option<Html> {
    let timeline = &material.timeline;
    if timeline.blocks.is_empty() {
        return None;
    }
    let scale = Scale::new(0.0, timeline.end / 60.0);
    let lanes: [(&str, Vec<Html>); 6] = [
        ("Blocks", blocks(timeline, scale)),
        ("Trials", timeline.trials.iter().map(|(at, hit)| trial(scale.at(at / 60.0), *hit)).collect()),
        ("Presses", ticks(&timeline.presses, scale, DEEP)),
        ("Unasked presses", ticks(&timeline.unasked, scale, WARM)),
        ("Rests", timeline.rests.iter().map(|at| rest(scale.at(at / 60.0))).collect()),
        ("Pauses", spans(&timeline.pauses, scale)),
    ];
    let shown: Vec<&(&str, Vec<Html>)> = lanes.iter().filter(|(_, shapes)| !shapes.is_empty()).collect();
    let bottom = TOP + LANE * shown.len() as f64;
    let mut shapes = vec![scale.axis(TOP, bottom, "minutes")];
    for (index, (name, lane)) in shown.iter().enumerate() {
        shapes.push(shifted(TOP + LANE * index as f64, name, lane));
    }
    Some(frame(bottom + 42.0, PLOT.title, &description(timeline), shapes))
}

/// A lane is drawn between 0 and its height and then moved to its place.
fn shifted(top: f64, name: &str, lane: &[Html]) -> Html {
    use super::shape::unit;
    let label = text("end", (LEFT - 12.0, LANE / 2.0 + 4.0), name);
    let move_by = format!("translate(0 {})", unit(top));
    let shapes: Vec<Html> = [label].into_iter().chain(lane.iter().cloned()).collect();
    crate::report::markup::element("g", &[("transform", &move_by)], &shapes)
}

fn blocks(timeline: &Timeline, scale: Scale) -> Vec<Html> {
    let mut shapes = Vec::new();
    for (from, to, name) in &timeline.blocks {
        let (left, right) = (scale.at(from / 60.0), scale.at(to / 60.0));
        shapes.push(rectangle("#d9e8eb", DEEP, (left, 5.0), ((right - left).max(1.5), LANE - 10.0)));
        let number = name.split(' ').next().unwrap_or_default();
        // About seven units a letter: the name where it fits, else its number.
        let label = if right - left > 7.0 * name.chars().count() as f64 + 8.0 { name } else { number };
        if right - left > 7.0 * label.len() as f64 + 4.0 {
            shapes.push(coloured(INK, "middle", ((left + right) / 2.0, LANE / 2.0 + 4.0), label));
        }
    }
    shapes
}

fn trial(x: f64, hit: bool) -> Html {
    dot(if hit { DEEP } else { "#ffffff" }, if hit { DEEP } else { WARM }, (x, LANE / 2.0), 4.0)
}

fn ticks(instants: &[f64], scale: Scale, colour: &str) -> Vec<Html> {
    let tick = |at: &f64| line(colour, 1.6, (scale.at(at / 60.0), 9.0), (scale.at(at / 60.0), LANE - 9.0));
    instants.iter().map(tick).collect()
}

fn rest(x: f64) -> Html {
    rectangle("#ffffff", INK, (x - 4.0, LANE / 2.0 - 4.0), (8.0, 8.0))
}

fn spans(spans: &[(f64, f64)], scale: Scale) -> Vec<Html> {
    let span = |(from, to): &(f64, f64)| {
        let (left, right) = (scale.at(from / 60.0), scale.at(to / 60.0).min(RIGHT));
        rectangle("#c9ced3", INK, (left, 11.0), ((right - left).max(1.5), LANE - 22.0))
    };
    spans.iter().map(span).collect()
}

fn description(timeline: &Timeline) -> String {
    format!(
        "{} in {}: {}, {}, {}.",
        count(timeline.blocks.len() as u32, "block", "blocks"),
        duration(timeline.end),
        count(timeline.trials.len() as u32, "trial", "trials"),
        count(timeline.rests.len() as u32, "rest", "rests"),
        count(timeline.pauses.len() as u32, "pause", "pauses")
    )
}
