//! What practice has changed: for each step the learning curve, what was kept since the last session,
//! whether keeping holds, and what comes next.
//!
//! The curve is an exponential over the medians of five presses each, in the order of practice: for one person it
//! fits better than a power law ([`crate::stats::learning`]). What was kept is told by the first presses of a session
//! beside the last ones of the session before.
//!
//! Where the goal is to keep, keeping fails when two sessions running say that more time is needed than was advised:
//! the posterior of the needed interval lies above 1.1 times the advised one with a probability of 0.9, or the step's
//! test finds that too few attempts are right.

use super::belief::Belief;
use super::mastery::{self, Movement, Next, PLATEAU, Session};
use super::practised::Practised;
use super::sitting::BLOCK;
use super::start::Start;
use super::steps::{STEPS, Step};
use crate::log::header::Header;
use crate::session::practice::Goal;
use crate::session::record::Record;
use crate::settings::Id;
use crate::stats::learning::{self, Curve};
use crate::stats::sequential::Verdict;
use crate::stats::{Interval, Level, Sample, chi_square, shift};

/// Presses at either side of the time between two sessions.
const RETAINED: usize = 10;
/// Fewer than this at either side are not compared.
const FEWEST_RETAINED: usize = 6;
/// What is needed has to lie so far above the advised interval,
const LOST: f64 = 1.1;
/// with this probability,
const SURELY: f64 = 0.9;
/// in so many sessions running.
const LOST_RUNNING: usize = 2;

/// What is known of one step.
#[derive(Clone, Debug)]
pub struct Progress {
    /// The step.
    pub step: &'static Step,
    /// Its sessions, in order of time; never empty.
    pub sessions: Vec<Practised>,
    /// Median latency of five presses each, in seconds, in the order of practice.
    pub medians: Vec<f64>,
    /// How they level off; `None` where that cannot be seen.
    pub learning: Option<Learning>,
    /// From the session before the last one to the last; `None` where there are too few presses.
    pub retention: Option<Retention>,
    /// What moved over the last three sessions; `None` where there are fewer.
    pub movement: Option<Movement>,
    /// Whether keeping holds; `None` where the goal is another one, or nothing was advised.
    pub keeping: Option<Keeping>,
    /// What comes next.
    pub next: Next,
}

/// How the latencies level off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learning {
    /// Over the medians of five presses.
    pub curve: Curve,
    /// Typical distance of a median from the curve, in seconds.
    pub scatter_s: f64,
    /// Presses after which half of what there is to gain has been gained.
    pub half_life: f64,
}

/// The first presses of a session over the last ones of the session before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Retention {
    /// Ratio of the latencies (Hodges and Lehmann, of logarithms); above 1 is slower.
    pub ratio: f64,
    /// Its interval of 95 %.
    pub interval: Interval,
    /// Presses compared, before and after.
    pub presses: [usize; 2],
}

/// Whether what there is is kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Keeping {
    /// The advised interval, in seconds.
    pub advised_s: f64,
    /// Probability that more than 1.1 times that is needed, by the last session.
    pub more_needed: f64,
    /// Two sessions running said that it is not kept.
    pub fails: bool,
}

/// Progress in each step that was practised in `sessions` of one client and set-up, which are in order of time; the
/// steps in the order of [`STEPS`].
#[must_use]
pub fn progress(sessions: &[(&Header, &[Record])]) -> Vec<Progress> {
    let practised: Vec<Practised> = sessions.iter().filter_map(|(header, of)| Practised::of(header, of)).collect();
    let of_step = |step: &'static Step| {
        let sessions: Vec<_> = practised.iter().filter(|one| one.step.id == step.id).cloned().collect();
        (!sessions.is_empty()).then(|| Progress::of(step, sessions))
    };
    STEPS.iter().filter_map(of_step).collect()
}

impl Progress {
    /// Its last session.
    ///
    /// # Panics
    /// Never: there is one at least.
    #[must_use]
    pub fn last(&self) -> &Practised {
        self.sessions.last().expect("a session")
    }

    fn of(step: &'static Step, sessions: Vec<Practised>) -> Progress {
        let as_ruled: Vec<Session> = sessions.iter().map(Practised::session).collect();
        let medians: Vec<f64> = sessions.iter().flat_map(|one| block_medians(&one.latencies)).collect();
        let keeping = keeping(&sessions);
        let next = next(&as_ruled, step, sessions.last().map(|one| one.practice.goal), keeping);
        let latest = as_ruled.len().checked_sub(PLATEAU).map(|from| (as_ruled[from], as_ruled[as_ruled.len() - 1]));
        Progress {
            learning: Learning::of(&medians),
            retention: retention(&sessions),
            movement: latest.map(|(first, last)| Movement::of(&first, &last)),
            step,
            medians,
            keeping,
            next,
            sessions,
        }
    }
}

fn next(sessions: &[Session], step: &Step, goal: Option<Goal>, keeping: Option<Keeping>) -> Next {
    let lowest = STEPS.first().is_some_and(|first| first.id == step.id);
    match (goal, mastery::next(sessions, lowest)) {
        _ if keeping.is_some_and(|keeping| keeping.fails) => Next::AskTherapist,
        // To keep is to stay, and nothing has to move.
        (Some(Goal::Keep), Next::Up | Next::AskTherapist) => Next::Again,
        (_, next) => next,
    }
}

/// Of five presses each; what is left over at the end of a session is not used.
fn block_medians(latencies: &[f64]) -> Vec<f64> {
    let blocks = latencies.chunks_exact(BLOCK as usize);
    blocks.filter_map(|block| Some(Sample::new(block.to_vec()).ok()?.median())).collect()
}

impl Learning {
    fn of(medians: &[f64]) -> Option<Learning> {
        let curve = learning::fit(medians).filter(|curve| tells_more_than_a_level(curve, medians))?;
        // Three of its numbers were fitted.
        let scatter_s = libm::sqrt(curve.squares / (medians.len() - 3) as f64);
        let half_life = f64::from(BLOCK) * std::f64::consts::LN_2 / curve.rate;
        Some(Learning { curve, scatter_s, half_life })
    }
}

/// The curve has two numbers more than a level: twice the logarithm of the likelihood ratio has to exceed the 95 %
/// quantile of chi square with two degrees of freedom.
fn tells_more_than_a_level(curve: &Curve, medians: &[f64]) -> bool {
    let count = medians.len() as f64;
    let mean = medians.iter().sum::<f64>() / count;
    let squares: f64 = medians.iter().map(|median| (median - mean).powi(2)).sum();
    count * libm::log(squares / curve.squares) > chi_square::quantile(0.95, 2.0)
}

fn retention(sessions: &[Practised]) -> Option<Retention> {
    let [.., before, after] = sessions else { return None };
    let last = &before.latencies[before.latencies.len().saturating_sub(RETAINED)..];
    let first = &after.latencies[..after.latencies.len().min(RETAINED)];
    let [last, first] = [logs(last)?, logs(first)?];
    let shift = shift::hodges_lehmann(&last, &first, Level::NINETY_FIVE);
    let interval = shift.interval?;
    let interval = Interval { low: libm::exp(interval.low), high: libm::exp(interval.high) };
    Some(Retention { ratio: libm::exp(shift.estimate), interval, presses: [last.len(), first.len()] })
}

fn logs(latencies: &[f64]) -> Option<Sample> {
    let logs = latencies.iter().filter(|latency| **latency > 0.0).map(|latency| libm::log(*latency)).collect();
    Sample::new(logs).ok().filter(|sample| sample.len() >= FEWEST_RETAINED)
}

fn keeping(sessions: &[Practised]) -> Option<Keeping> {
    let last = sessions.last().filter(|one| one.practice.goal == Goal::Keep)?;
    let (advised_s, _) = last.practice.advised?;
    let not_kept = |one: &Practised| one.verdict == Verdict::Poor || more_needed(one).is_some_and(|p| p >= SURELY);
    let running = sessions.iter().rev().take_while(|one| not_kept(one)).count();
    Some(Keeping { advised_s, more_needed: more_needed(last)?, fails: running >= LOST_RUNNING })
}

/// Probability that this session needed more than 1.1 times the advised interval.
fn more_needed(session: &Practised) -> Option<f64> {
    let (advised_s, days) = session.practice.advised.filter(|_| session.paces == Some(Id::ScanInterval))?;
    let mut belief = Belief::new(&Start::from_advice(advised_s, days), session.practice.success);
    session.latencies.iter().for_each(|latency| belief.add(*latency));
    Some(1.0 - belief.enough(LOST * advised_s))
}

#[cfg(test)]
#[path = "progress_tests.rs"]
mod tests;
