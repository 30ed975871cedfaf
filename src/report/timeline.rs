//! The course of a session, as a plot shows it. Instants in seconds since it began.

use crate::analysis::words::{capital, kind};
use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::session::trial::Outcome;
use crate::time::Moment;

/// What happened when.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Timeline {
    /// Its end.
    pub end: f64,
    /// Blocks: from, to, number and name.
    pub blocks: Vec<(f64, f64, String)>,
    /// Trials at their end: whether it was a hit.
    pub trials: Vec<(f64, bool)>,
    /// Presses of the client in trials.
    pub presses: Vec<f64>,
    /// Presses in a quiet watch.
    pub unasked: Vec<f64>,
    /// Rests.
    pub rests: Vec<f64>,
    /// Pauses: from, to.
    pub pauses: Vec<(f64, f64)>,
}

impl Timeline {
    /// The course told by `records`.
    pub fn of(records: &[Record]) -> Timeline {
        let mut timeline = Timeline::default();
        let mut paused = None;
        for record in records {
            let at = seconds(record.at);
            timeline.end = timeline.end.max(at);
            if let What::Event(event) = &record.what {
                timeline.add(at, event, &mut paused);
            }
        }
        timeline.pauses.extend(paused.map(|since| (since, timeline.end)));
        timeline
    }

    fn add(&mut self, at: f64, event: &Event, paused: &mut Option<f64>) {
        match event {
            Event::BlockBegan { block, kind: what } => {
                self.blocks.push((at, at, format!("{} {}", u32::from(*block) + 1, capital(kind(*what)))));
            }
            Event::BlockEnded { .. } => self.stretch(at),
            Event::Trial(trial) if trial.outcome != Outcome::Aborted => {
                self.stretch(at);
                self.trials.push((seconds(trial.ended), trial.outcome == Outcome::Hit));
                self.presses.extend(trial.presses.iter().map(|press| seconds(press.pressed)));
            }
            Event::Unwanted { .. } => self.unasked.push(at),
            Event::Rest { .. } => self.rests.push(at),
            Event::Paused { .. } => *paused = paused.or(Some(at)),
            Event::Resumed => self.pauses.extend(paused.take().map(|since| (since, at))),
            _ => {}
        }
    }

    fn stretch(&mut self, at: f64) {
        if let Some(block) = self.blocks.last_mut() {
            block.1 = at;
        }
    }
}

fn seconds(moment: Moment) -> f64 {
    moment.0 as f64 / 1e6
}
