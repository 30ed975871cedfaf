//! The curve that the scan rate was chosen on, made once more for the pictures: same presses, same guesses, same mean.

use super::asked::Asked;
use super::curve::Expected;
use super::doubt::Timers;
use super::draws;
use super::optimum::DRAWS;
use super::presses::Pressing;
use super::rhythm::Aim;
use super::rhythm_advice;
use super::seen::{Kind, Seen};
use super::task::Task;
use crate::analysis::evidence::Evidence;
use crate::stats::Sample;

/// What the curve rests on.
pub(super) enum RateCurve {
    /// Answers to the highlight, some of the guesses perhaps timers.
    Reactions { guesses: Vec<Pressing>, latencies: Sample, timers: Timers, task: Task },
    /// Presses to the rhythm, known between two intervals.
    Timed { aims: Vec<Aim>, between: [f64; 2], task: Task },
}

impl RateCurve {
    /// `None` where no scan rate is chosen by expected time.
    pub fn of(evidence: &Evidence, asked: &Asked) -> Option<RateCurve> {
        let seen = Seen::of(evidence, asked);
        let latencies = Sample::new(seen.latencies.clone()).ok()?;
        let task = Task::of(evidence, asked)?;
        match seen.kind(&latencies) {
            Kind::Reactions(doubt) => {
                let guesses = draws::Seen::of(&latencies, seen.omitted.len(), task.unwanted.mean()).draws(DRAWS)?;
                let timers = doubt.timers(&seen.timed, seen.omitted.len());
                Some(RateCurve::Reactions { guesses, latencies, timers, task })
            }
            Kind::Timed => {
                let (aims, between) = rhythm_advice::aims(&seen.timed, seen.omitted.len())?;
                Some(RateCurve::Timed { aims, between, task })
            }
            Kind::Few | Kind::Alike(_) | Kind::Humps => None,
        }
    }

    /// Expected time at each of these intervals that may be advised.
    pub fn at(&self, intervals: impl Iterator<Item = f64>) -> Vec<Expected> {
        match self {
            RateCurve::Reactions { guesses, latencies, timers, task } => {
                timers.search(guesses, latencies, task).expected(intervals)
            }
            RateCurve::Timed { aims, between, task } => rhythm_advice::search(aims, *between, task).expected(intervals),
        }
    }

    /// The guesses at a client who reacts.
    pub fn reactions(&self) -> &[Pressing] {
        match self {
            RateCurve::Reactions { guesses, .. } => guesses,
            RateCurve::Timed { .. } => &[],
        }
    }
}
