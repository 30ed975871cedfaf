//! The course of the session: blocks, trials, presses, rests, pauses and the assessor's own presses.

use super::axis;
use super::marks::{bar, dot, line, words};
use super::scale::Scale;
use super::story::Stretch;
use super::{Drawing, Drawn, LEFT, Plot, RIGHT};
use crate::analysis::words::{count, duration};
use crate::report::text::{clock, escape};
use crate::report::words as names;
use crate::session::trial::{Outcome, Trial};

pub(super) const PLOT: Plot = Plot {
    name: "timeline",
    reading: "Tall marks are trials that ended in a hit, short ones with a ring trials that did not; practice is grey.",
    missing: "The course of the session: no block began, so there is no picture.",
    draw,
};

const ROW: f64 = 25.0;
const TOP: f64 = 6.0;
const THICK: f64 = 18.0;

/// One line of the plot: its name, how many it shows, and its marks at this height.
struct Row {
    name: &'static str,
    count: usize,
    marks: String,
}

fn draw(drawn: &Drawn) -> Option<Drawing> {
    if drawn.story.blocks.is_empty() {
        return None;
    }
    let time = Scale::new((0.0, drawn.story.seconds), (LEFT, RIGHT));
    let rows = rows(drawn, &time);
    let bottom = TOP + ROW * rows.len() as f64;
    let names: String = rows.iter().enumerate().map(|(nth, row)| row.titled(nth)).collect();
    let heading = format!("The session from start to end: {}", duration(drawn.story.seconds));
    let marks = names + &axis::of_time(&time, bottom);
    Some(Drawing { heading, height: bottom + 34.0, description: description(drawn, &rows), marks })
}

fn rows(drawn: &Drawn, time: &Scale) -> Vec<Row> {
    let story = &drawn.story;
    let y = |nth: usize| TOP + ROW * nth as f64;
    vec![
        Row { name: "blocks", count: story.blocks.len(), marks: blocks(drawn, time, y(0)) },
        Row { name: "trials", count: story.trials.len(), marks: trials(&story.trials, time, y(1)) },
        Row { name: "client's presses", count: story.presses.len(), marks: ticks("press", &story.presses, time, y(2)) },
        Row {
            name: "unasked presses",
            count: story.unwanted.len(),
            marks: ticks("unasked", &story.unwanted, time, y(3)),
        },
        Row { name: "rests", count: story.rests.len(), marks: stretches("rest", &story.rests, time, y(4)) },
        Row { name: "pauses", count: story.pauses.len(), marks: stretches("pause", &story.pauses, time, y(5)) },
        Row {
            name: "assessor's presses",
            count: story.assessor.len(),
            marks: ticks("mine", &story.assessor, time, y(6)),
        },
    ]
}

impl Row {
    fn titled(&self, nth: usize) -> String {
        let top = TOP + ROW * nth as f64;
        let name = words("label", (8.0, top + 13.0), self.name);
        let ground = line("grid", (LEFT, top + THICK + 3.0), (RIGHT, top + THICK + 3.0));
        let none = if self.count == 0 { words("tick", (LEFT + 4.0, top + 13.0), "none") } else { String::new() };
        name + &ground + &self.marks + &none
    }
}

fn blocks(drawn: &Drawn, time: &Scale, top: f64) -> String {
    let one = |(block, kind, (from, to)): &(u16, _, Stretch)| {
        let (left, right) = (time.place(*from), time.place(*to));
        let name = names::block(*block, *kind);
        let number = (block + 1).to_string();
        // About six units a letter: the full name where it fits, else the number alone, or nothing.
        let text = match right - left {
            width if width >= name.len() as f64 * 6.2 + 6.0 => &name,
            10.0.. => &number,
            _ => "",
        };
        bar("block", (left, top), (right - left, THICK))
            + &words("label middle", ((left + right) / 2.0, top + 13.0), text)
    };
    drawn.story.blocks.iter().map(one).collect()
}

fn trials(trials: &[&Trial], time: &Scale, top: f64) -> String {
    trials.iter().map(|trial| one_trial(trial, time, top)).collect()
}

fn one_trial(trial: &Trial, time: &Scale, top: f64) -> String {
    let x = time.place(trial.ended.0 as f64 / 1e6);
    let class = if trial.scored { "trial" } else { "practice" };
    let mark = if trial.outcome == Outcome::Hit {
        line(class, (x, top), (x, top + THICK))
    } else {
        line(class, (x, top + 8.0), (x, top + THICK)) + &dot("miss", (x, top + 4.0), 3.5)
    };
    format!("<g><title>{}</title>{mark}</g>\n", escape(&told(trial)))
}

/// A trial in words: "block 4, trial 2, lamp-on: early".
fn told(trial: &Trial) -> String {
    let Trial { trial: number, target, outcome, .. } = trial;
    let practice = if trial.scored { "" } else { "practice " };
    format!("block {}, {practice}trial {number}, {target}: {}", u32::from(trial.block) + 1, outcome.word())
}

fn ticks(class: &str, moments: &[f64], time: &Scale, top: f64) -> String {
    let one = |at: &f64| line(class, (time.place(*at), top + 3.0), (time.place(*at), top + THICK - 3.0));
    moments.iter().map(one).collect()
}

fn stretches(class: &str, stretches: &[Stretch], time: &Scale, top: f64) -> String {
    let one = |(from, to): &Stretch| {
        let (left, right) = (time.place(*from), time.place(*to));
        bar(class, (left, top + 3.0), (right - left, THICK - 6.0))
    };
    stretches.iter().map(one).collect()
}

fn description(drawn: &Drawn, rows: &[Row]) -> String {
    let blocks = drawn.story.blocks.iter().map(|(block, kind, (from, to))| {
        format!(" {} from {} to {}.", names::block(*block, *kind), clock(*from), clock(*to))
    });
    let counts = rows.iter().skip(1).map(|row| format!("{} {}", row.count, row.name)).collect::<Vec<_>>().join(", ");
    let number = count(drawn.story.blocks.len() as u32, "block", "blocks");
    format!("{number}.{} In all: {counts}.", blocks.collect::<String>())
}
