//! The calibration as a machine: rest, then three comfortable efforts to each side, ten seconds apart.

use super::{Ask, Calibration, Range, Refusal, Side};
use crate::time::{Moment, Span};

/// Rest is measured in two halves of this length; one breath of most ventilators falls into each.
const HALF: Span = Span::from_ms(4_000);
/// Before each further effort rest is measured again, because it may drift.
const AGAIN: Span = Span::from_ms(3_000);
/// From the beginning of one effort to the next.
const APART: Span = Span::from_ms(10_000);
/// So much of it the client has for the effort.
const EFFORT: Span = Span::from_ms(4_000);
/// Efforts to each side.
const EFFORTS: usize = 3;
/// Efforts in which nothing was seen, until that side is given up.
const PATIENCE: u32 = 3;
/// An effort goes this many times as far as the noise of the rest.
const SEEN: f64 = 4.0;
/// The noise is what the level keeps within for this share of the time.
const WITHIN: f64 = 0.99;

/// A calibration under way.
#[derive(Clone, Debug)]
pub struct Calibrator {
    sides: Vec<Side>,
    range: Range,
    step: Step,
    /// The level as it last was.
    level: Option<i32>,
    /// What stood for how long while rest is being measured.
    stood: Vec<(i32, Span)>,
    since: Moment,
    /// How far the effort under way has gone.
    reached: u32,
    missed: u32,
    found: Calibration,
    over: Option<Result<Calibration, Refusal>>,
}

#[derive(Clone, Copy, Debug)]
enum Step {
    Rest { until: Moment, half: bool },
    Effort { began: Moment },
    Wait { until: Moment },
}

impl Calibrator {
    /// Begins at `now` with rest; `sides` are those that the client wants to use.
    #[must_use]
    pub fn new(now: Moment, sides: &[Side], range: Range) -> Calibrator {
        Calibrator {
            sides: sides.to_vec(),
            range,
            step: Step::Rest { until: now + HALF, half: true },
            level: None,
            stood: Vec::new(),
            since: now,
            reached: 0,
            missed: 0,
            found: Calibration { rest: 0, noise: 0, above: Vec::new(), below: Vec::new(), range },
            over: sides.is_empty().then_some(Err(Refusal::NoSide)),
        }
    }

    /// The level is this from `at` on; what was due before is done first.
    pub fn level(&mut self, at: Moment, value: i32) {
        self.advance(at);
        self.stood_until(at);
        self.level = Some(value);
        self.reach();
    }

    /// Does all that is due up to `now`.
    pub fn advance(&mut self, now: Moment) {
        while let Some(due) = self.deadline().filter(|due| *due <= now) {
            match self.step {
                Step::Rest { half, .. } => self.rested(due, half),
                Step::Effort { began } => self.tried(began),
                Step::Wait { until } => self.waited(until),
            }
        }
    }

    /// When [`Calibrator::advance`] has to be called next.
    #[must_use]
    pub fn deadline(&self) -> Option<Moment> {
        let due = match self.step {
            Step::Rest { until, .. } | Step::Wait { until } => until,
            Step::Effort { began } => began + EFFORT,
        };
        self.over.is_none().then_some(due)
    }

    /// What the client is asked to do.
    #[must_use]
    pub fn asks(&self) -> Ask {
        match (self.step, self.sides.first()) {
            _ if self.over.is_some() => Ask::Over,
            (Step::Rest { until, half }, _) => Ask::Rest { until: if half { until + HALF } else { until } },
            (Step::Effort { .. }, Some(side)) => {
                Ask::Effort { side: *side, number: self.done(*side) as u32 + 1, of: EFFORTS as u32 }
            }
            (Step::Wait { until }, _) => Ask::Wait { until },
            (Step::Effort { .. }, None) => Ask::Over,
        }
    }

    /// The outcome, once it is over.
    #[must_use]
    pub fn outcome(&self) -> Option<&Result<Calibration, Refusal>> {
        self.over.as_ref()
    }

    fn done(&self, side: Side) -> usize {
        self.found.efforts(side).len()
    }

    /// The level has stood until `now`; that counts while rest is measured.
    fn stood_until(&mut self, now: Moment) {
        let from = match self.step {
            Step::Rest { .. } => self.since,
            Step::Wait { until } => self.since.max(Moment(until.0.saturating_sub(AGAIN.0))),
            Step::Effort { .. } => now,
        };
        if let Some(level) = self.level.filter(|_| from < now) {
            self.stood.push((level, now.since(from)));
        }
        self.since = now;
    }

    /// Half of the rest is over: where it is, and how noisy.
    fn rested(&mut self, now: Moment, half: bool) {
        self.stood_until(now);
        let Some(rest) = weighted(&mut self.stood, 0.5) else { return self.refuse(Refusal::Silent) };
        let depart = |(value, span): &(i32, Span)| (i32::try_from(value.abs_diff(rest)).unwrap_or(i32::MAX), *span);
        let mut departures: Vec<(i32, Span)> = self.stood.iter().map(depart).collect();
        let noise = weighted(&mut departures, WITHIN).unwrap_or_default().unsigned_abs();
        self.found = Calibration { rest, noise: noise.max(self.found.noise), ..self.found.clone() };
        self.stood.clear();
        let at_end = |side: &Side| self.room(*side) <= self.range.greatest.abs_diff(self.range.least) / 20;
        if self.sides.iter().any(at_end) {
            return self.refuse(Refusal::AtItsEnd);
        }
        if half {
            self.step = Step::Rest { until: now + HALF, half: false };
        } else {
            self.begin(now);
        }
    }

    /// The next effort comes: rest may have drifted.
    fn waited(&mut self, now: Moment) {
        self.stood_until(now);
        self.found.rest = weighted(&mut self.stood, 0.5).unwrap_or(self.found.rest);
        self.stood.clear();
        self.begin(now);
    }

    /// How far the level can go to this side.
    fn room(&self, side: Side) -> u32 {
        let end = if side == Side::Above { self.range.greatest } else { self.range.least };
        end.abs_diff(self.found.rest)
    }

    fn begin(&mut self, now: Moment) {
        self.step = Step::Effort { began: now };
        self.reached = 0;
        self.reach();
    }

    fn reach(&mut self) {
        if let (Step::Effort { .. }, Some(side), Some(level)) = (self.step, self.sides.first(), self.level) {
            let far = side.from_rest(f64::from(level), f64::from(self.found.rest)).max(0.0);
            self.reached = self.reached.max(far as u32);
        }
    }

    /// The time of an effort is up.
    fn tried(&mut self, began: Moment) {
        let Some(side) = self.sides.first().copied() else { return self.refuse(Refusal::NoSide) };
        if f64::from(self.reached) <= SEEN * f64::from(self.found.noise) || self.reached == 0 {
            self.missed += 1;
            if self.missed >= PATIENCE {
                return self.refuse(Refusal::NoEffort(side));
            }
        } else {
            match side {
                Side::Above => self.found.above.push(self.reached),
                Side::Below => self.found.below.push(self.reached),
            }
        }
        self.step = Step::Wait { until: began + APART };
        if self.done(side) == EFFORTS {
            self.sides.remove(0);
            self.missed = 0;
        }
        if self.sides.is_empty() {
            self.over = Some(Ok(self.found.clone()));
        }
    }

    fn refuse(&mut self, why: Refusal) {
        self.over = Some(Err(why));
    }
}

/// The value below which the level stood for this share of the time.
fn weighted(stood: &mut [(i32, Span)], share: f64) -> Option<i32> {
    stood.sort_unstable();
    let whole: u64 = stood.iter().map(|(_, span)| span.0).sum();
    let mut before = 0;
    let reaches = |(_, span): &&(i32, Span)| {
        before += span.0;
        before as f64 >= share * whole as f64
    };
    stood.iter().find(reaches).map(|(value, _)| *value)
}
