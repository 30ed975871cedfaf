//! One practice session as its log tells it: what was practised, how it went, how fast it was at its end.

use super::belief::FASTEST_S;
use super::mastery::Session;
use super::pacing::{Attempt, CALIBRATION};
use super::sitting::BLOCK;
use super::steps::{self, Step};
use super::summary::Tally;
use crate::engine::effect::{Effect, Ignored};
use crate::log::header::Header;
use crate::session::event::{BlockKind, Event};
use crate::session::input::Input;
use crate::session::practice::Practice;
use crate::session::protocol::Protocol;
use crate::session::record::{Record, What};
use crate::session::trial::Trial;
use crate::settings::{Id, value_from_json};
use crate::stats::sequential::Verdict;
use crate::time::Span;

/// One session of one step.
#[derive(Clone, Debug)]
pub struct Practised {
    /// When it began, as in the header.
    pub began: String,
    /// What it was for.
    pub practice: Practice,
    /// Its step.
    pub step: &'static Step,
    /// What was counted.
    pub tally: Tally,
    /// What the step's test said.
    pub verdict: Verdict,
    /// Of each press that was meant for the target, in seconds and in order; late ones too.
    pub latencies: Vec<f64>,
    /// A block ended with enough presses to know the right interval.
    calibrated: bool,
    /// What the pacing set: the scan interval, or with a pointer the dwell time; `None` on steps that have neither.
    pub paces: Option<Id>,
    /// Its value at the end.
    pub interval: Option<Span>,
}

impl Practised {
    /// From the log of a session; `None` where nothing was practised, or a step that is not known here. A hold that was
    /// once practised under a scan is another thing than a hold alone, and is left out.
    #[must_use]
    pub fn of(header: &Header, records: &[Record]) -> Option<Practised> {
        let practice = header.practice.clone()?;
        let step = steps::find(&practice.step)?;
        let kind = header.protocol.blocks.last()?.kind;
        let holds = |protocol: &Protocol| protocol.blocks.last().is_some_and(|block| block.hold > 0.0);
        if holds(&step.protocol().0) && !holds(&header.protocol) {
            return None;
        }
        let paces = step.paces(header.settings.technique());
        let interval = paces.map(|paces| Span(header.settings.raw(paces).unsigned_abs()));
        let mut found = Practised {
            began: header.began.clone(),
            practice,
            step,
            tally: Tally::default(),
            verdict: Verdict::GoOn,
            latencies: Vec::new(),
            calibrated: false,
            paces,
            interval,
        };
        records.iter().for_each(|record| found.take(kind, &record.what));
        Some(found)
    }

    /// As the rule about what comes next sees it.
    #[must_use]
    pub fn session(&self) -> Session<'_> {
        let Tally { hits, misses, .. } = self.tally;
        Session { verdict: self.verdict, hits, misses, latencies: &self.latencies }
    }

    /// The interval to begin with next time; `None` where the data bear none.
    #[must_use]
    pub fn next_interval(&self) -> Option<Span> {
        self.interval.filter(|_| self.tally.bears_advice() && self.calibrated)
    }

    fn take(&mut self, kind: BlockKind, what: &What) {
        if let What::Event(event) = what {
            self.tally.note(event);
        }
        match what {
            What::Effect(Effect::Activated(_)) => {
                self.tally.pressed();
                self.decide();
            }
            What::Event(Event::TaskEnded { .. }) => self.decide(),
            What::Effect(Effect::NotCounted { why: Ignored::TooShort, .. }) => self.tally.let_go(),
            What::Event(Event::Trial(trial)) if trial.kind == kind => self.judged(trial),
            What::Input(Input::Set { name, value }) => self.set(name, value),
            _ => {}
        }
    }

    fn judged(&mut self, trial: &Trial) {
        if let Some(attempt) = Attempt::of(trial) {
            self.tally.add(trial);
            self.latencies.extend(attempt.latency_s);
            let attempts = (self.tally.hits + self.tally.misses) as usize;
            let reactions = self.latencies.iter().filter(|latency| **latency >= FASTEST_S).count();
            let learned = if self.paces == Some(Id::Dwell) { attempts } else { reactions };
            let block_ends = (self.tally.hits + self.tally.misses).is_multiple_of(BLOCK);
            self.calibrated |= block_ends && learned >= CALIBRATION;
            self.decide();
        }
    }

    fn set(&mut self, name: &str, value: &serde_json::Value) {
        if let Some(paces) = self.paces.filter(|paces| paces.setting().name == name)
            && let Ok(raw) = value_from_json(paces, value)
        {
            self.interval = Some(Span(raw.unsigned_abs()));
        }
    }

    /// Asks the step's test, until it has answered.
    fn decide(&mut self) {
        if self.verdict == Verdict::GoOn {
            self.verdict = self.tally.verdict(self.step.mastery);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::sitting::tests::{brief, pointed, sat};
    use crate::sim::traits::STEADY;

    #[test]
    fn the_log_tells_the_same_as_the_sitting() {
        let steady = [("two-items", 4), ("five-items", 2), ("anything", 1), ("household", 3), ("hold-and-release", 1)];
        let by_switch = steady.map(|(step, seed)| (step, sat(step, STEADY, seed))).into_iter();
        let by_switch = by_switch.chain([("three-items", brief("three-items", 1))]);
        let by_pointer = [("five-items", 1), ("household", 2)].map(|(step, seed)| (step, pointed(step, STEADY, seed)));
        for (step, (sitting, _, records)) in by_switch.chain(by_pointer) {
            let summary = sitting.summary().unwrap();
            let practice = Some(sitting.practice().clone());
            let header = Header { practice, ..Header::for_plan(sitting.session_plan()) };
            let found = Practised::of(&header, &records).unwrap();
            assert_eq!((&found.tally, found.verdict), (&summary.tally, summary.verdict), "{step}");
            assert_eq!(found.next_interval(), summary.interval, "{step}");
            assert!(Practised::of(&Header { practice: None, ..header }, &records).is_none());
        }
    }
}
