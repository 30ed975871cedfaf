//! What a sitting makes of the records of its session: counting, pacing, the step's test, what comes next.

use super::*;
use crate::engine::effect::{Effect, Ignored};
use crate::practice::change::Reason;
use crate::practice::pacing::{A_YEAR, Attempt};
use crate::practice::start::Start;
use crate::practice::stays::Pointed;
use crate::session::event::{BlockEnd, Event};
use crate::session::record::What;
use crate::session::trial::{Outcome, Trial};
use crate::settings::value_to_json;
use crate::stats::Sample;

/// A trial that ends with less than this left is the last one.
const LAST_TRIAL: Span = Span::from_ms(20_000);
/// With less left the client is not asked what comes next.
const LAST_CHOICE: Span = Span::from_ms(60_000);

impl Sitting {
    /// Looks at the records from `from` on, and at those that its own inputs add.
    pub(super) fn watch(&mut self, from: usize, out: &mut Vec<Record>) {
        let mut place = from;
        while place < out.len() {
            let Record { at, what } = out[place].clone();
            place += 1;
            match what {
                What::Event(event) if self.finished() => self.tally.note(&event),
                _ if self.finished() => {}
                What::Effect(Effect::Activated(_)) => self.pressed(at, out),
                What::Effect(Effect::NotCounted { why: Ignored::TooShort, .. }) if self.state == State::Running => {
                    self.tally.let_go();
                }
                What::Event(event) => self.told(at, event, out),
                What::Effect(_) | What::Input(_) => {}
            }
        }
    }

    fn pressed(&mut self, at: Moment, out: &mut Vec<Record>) {
        if self.state == State::Running {
            self.tally.pressed();
            if self.kind == BlockKind::FirstContact {
                self.decide(at, out);
            }
        }
    }

    fn told(&mut self, at: Moment, event: Event, out: &mut Vec<Record>) {
        self.tally.note(&event);
        match event {
            Event::Rest { .. } | Event::Paused { .. } => self.idle_since = self.idle_since.or(Some(at)),
            Event::TrialBegan { .. } => (self.idle_since, self.pointed) = (None, Pointed::default()),
            Event::Question | Event::CarriedOn | Event::Resumed => self.idle_since = None,
            Event::Stay { wanted, stay_us, taken, .. } => self.pointed.add(wanted, stay_us.as_seconds(), taken),
            Event::BlockEnded { block, why } => {
                if usize::from(block) + 1 == self.session.plan().protocol.blocks.len() && why == BlockEnd::Done {
                    self.step_over(at, Ending::Done, out);
                }
                self.stopped |= why == BlockEnd::StopRule;
                if self.pacing.is_none() {
                    self.start_pacing(at, out);
                }
            }
            Event::Chosen { offer: Offer::Bell } => {}
            Event::Chosen { offer } => self.chosen = Some(offer),
            Event::Trial(trial) => self.judged(at, &trial, out),
            Event::TaskEnded { .. } => self.decide(at, out),
            Event::Finished { complete } => {
                let ending = match (complete, self.stopped) {
                    (_, true) => Ending::Tired,
                    (true, false) => Ending::Done,
                    (false, false) => Ending::Asked,
                };
                self.state = State::Over(self.pending.unwrap_or(ending));
            }
            _ => {}
        }
    }

    fn judged(&mut self, at: Moment, trial: &Trial, out: &mut Vec<Record>) {
        let Some(attempt) = Attempt::of(trial) else { return };
        if trial.kind != self.kind {
            return self.waited(attempt);
        }
        self.tally.add(trial);
        match self.paces {
            Some(Id::Dwell) => {
                if let Some(attempt) = Attempt::pointed(trial, self.pointed) {
                    self.pace(at, attempt, out);
                }
            }
            Some(_) => self.pace(at, attempt, out),
            None => {}
        }
        self.decide(at, out);
        if self.state == State::Running && self.left() < LAST_TRIAL {
            self.end(at, Ending::Length, out);
        }
    }

    /// An attempt on the tile that waits.
    fn waited(&mut self, attempt: Attempt) {
        self.waiting.extend(attempt.latency_s.filter(|_| attempt.outcome == Outcome::Hit));
    }

    /// From the presses on the waiting tile, once they are over.
    fn start_pacing(&mut self, at: Moment, out: &mut Vec<Record>) {
        let sample = Sample::new(self.waiting.clone()).ok();
        let Some(start) = sample.filter(|_| self.paces.is_some()).and_then(|sample| Start::from_waiting(&sample))
        else {
            return;
        };
        let pacing = Pacing::new(&start, self.practice.success, self.limits);
        let from = self.pacing.as_ref().map_or(Settings::default().scan_interval(), Pacing::interval);
        let change = Change { paces: Id::ScanInterval, from, to: pacing.interval(), why: Reason::Calibrated };
        self.pacing = Some(pacing);
        self.put_in_force(at, change, out);
    }

    fn pace(&mut self, at: Moment, attempt: Attempt, out: &mut Vec<Record>) {
        // Without enough presses on the waiting tile it starts from the setting in force, hardly believed.
        let unsure = Start::from_advice(self.session.scan_interval().as_seconds(), A_YEAR);
        let pacing = self.pacing.get_or_insert_with(|| Pacing::new(&unsure, self.practice.success, self.limits));
        let at_once = pacing.attempted(attempt);
        self.in_block += 1;
        let at_end = (self.in_block == BLOCK).then(|| pacing.block_ended());
        self.in_block %= BLOCK;
        for change in at_once.into_iter().chain(at_end) {
            self.put_in_force(at, change, out);
        }
    }

    /// The new interval holds from the next trial; its reason stands in the log.
    fn put_in_force(&mut self, at: Moment, change: Change, out: &mut Vec<Record>) {
        self.changes.push(change);
        if change.is_change() {
            let name = change.paces.setting().name.to_string();
            let value = value_to_json(change.paces, change.to.0 as i64);
            self.session.input(at, Input::Set { name, value }, out);
            self.session.input(at, Input::Note { text: change.to_string() }, out);
        }
    }

    /// Asks the step's test, until it has answered.
    fn decide(&mut self, at: Moment, out: &mut Vec<Record>) {
        if self.verdict != Verdict::GoOn {
            return;
        }
        self.verdict = self.tally.verdict(self.mastery);
        match (self.verdict, self.practice.goal) {
            (Verdict::Good, Goal::Improve) => self.step_over(at, Ending::Mastered, out),
            (Verdict::Poor, _) => self.step_over(at, Ending::TooHard, out),
            _ => {}
        }
    }

    /// The step is over. What comes next is the client's choice, where there is time for one.
    fn step_over(&mut self, at: Moment, why: Ending, out: &mut Vec<Record>) {
        if self.pending.is_some() {
            return;
        }
        self.pending = Some(why);
        if self.left() < LAST_CHOICE {
            return self.end(at, why, out);
        }
        let (easier, next) = self.around;
        let next = (next && why != Ending::TooHard).then_some(Offer::NextStep);
        let easier = (easier && why != Ending::Mastered).then_some(Offer::Easier);
        let offers = [Some(Offer::Rest), next, easier, Some(Offer::Again), Some(Offer::End)];
        self.session.input(at, Input::Offer { offers: offers.into_iter().flatten().collect() }, out);
    }
}
