//! A block while it runs: what is left of it and how it has gone.

use std::collections::VecDeque;

use super::course::Task;
use super::event::{BlockKind, RestReason, TaskEnd};
use super::input::Prompt;
use super::protocol::Block;
use super::running::Running;
use super::stop::{Course, StopRules};
use super::trial::{Outcome, Trial};
use crate::time::Span;

/// A block that runs.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Progress {
    /// Its place in the protocol, from 0.
    pub index: u16,
    /// What the protocol says of it.
    pub block: Block,
    /// When it rests by itself.
    pub rules: StopRules,
    /// Trials still to run, in order.
    pub tasks: VecDeque<Task>,
    /// Trials begun so far.
    pub number: u32,
    /// How the task under way has gone, of which some choices have been made.
    whole: TaskEnd,
    /// Outcome of the last finished trial that was not broken off.
    pub previous: Option<Outcome>,
    /// Tries of one trial broken off, running.
    pub broken_off: u32,
    /// Time in trials since the block began or last rested by a rule.
    active: Span,
    course: Course,
    rests_by_rule: u32,
    since_offer: u32,
    in_set: u32,
    latencies_us: Vec<i64>,
}

/// What is left until a block rests or asks, as far as that is fixed beforehand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RestDue {
    /// Trials to be judged, the one that runs among them.
    pub trials: u32,
    /// Time in trials; `None` where no rule limits it.
    pub time: Option<Span>,
}

/// What comes after a trial.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Next {
    /// The next trial.
    Trial,
    /// The question whether to rest.
    Offer,
    /// A rest.
    Rest(RestReason),
    /// The block is done.
    Done,
    /// What it measures is precise enough.
    Precise,
    /// A rule called for a second rest: the block ends, resting.
    Stopped(RestReason),
}

impl Progress {
    /// A block that begins.
    pub fn new(index: u16, block: Block, rules: StopRules, tasks: VecDeque<Task>) -> Progress {
        Progress {
            index,
            block,
            rules,
            tasks,
            number: 0,
            whole: TaskEnd::Right,
            previous: None,
            broken_off: 0,
            active: Span::ZERO,
            course: Course::default(),
            rests_by_rule: 0,
            since_offer: 0,
            in_set: 0,
            latencies_us: Vec::new(),
        }
    }

    /// Whether every press gets the same small answer, right or wrong.
    pub fn is_measuring(&self) -> bool {
        matches!(self.block.kind, BlockKind::Reaction | BlockKind::TimedPress | BlockKind::Repeat)
    }

    /// Takes note of a judged trial.
    pub fn finished(&mut self, trial: &Trial, latency_us: Option<i64>) {
        if trial.outcome == Outcome::Aborted {
            self.broken_off += 1;
            return;
        }
        self.broken_off = 0;
        self.active = self.active + trial.ended.since(trial.cued);
        self.previous = Some(trial.outcome);
        self.course.add(trial.outcome, latency_us);
        self.since_offer += 1;
        self.in_set += 1;
        if trial.counts() && trial.outcome == Outcome::Hit {
            self.latencies_us.extend(latency_us);
        }
    }

    /// Takes note of a choice that is not tried again; says how its task went as a whole, where it was the last of
    /// several.
    pub fn chosen(&mut self, running: &Running, outcome: Outcome) -> Option<TaskEnd> {
        let one = match (running.prompt, running.reached) {
            (Prompt::None, true) if outcome == Outcome::Hit && running.task.attempt == 1 => TaskEnd::Right,
            (Prompt::None, true) => TaskEnd::Mended,
            (Prompt::None, false) => TaskEnd::NotDone,
            _ => TaskEnd::Helped,
        };
        self.whole = self.whole.max(one);
        let over = running.task.left == 0;
        let whole = over.then(|| std::mem::replace(&mut self.whole, TaskEnd::Right));
        whole.filter(|_| running.task.choices > 1)
    }

    /// What comes now. Doing nothing through a whole menu task leads to rest at once; `rest_every`
    /// trials lead to the question.
    pub fn next(&mut self, rest_every: u32) -> Next {
        if self.tasks.is_empty() {
            return Next::Done;
        }
        if self.block.ends_when.is_some_and(|precision| precision.reached(&self.latencies_us)) {
            return Next::Precise;
        }
        if let Some(why) = self.rule() {
            return self.rest_by_rule(why);
        }
        if self.block.set_size > 0 && self.in_set >= self.block.set_size {
            self.rested();
            return Next::Rest(RestReason::SetDone);
        }
        if rest_every > 0 && self.since_offer >= rest_every {
            self.since_offer = 0;
            return Next::Offer;
        }
        Next::Trial
    }

    /// What is left until then; a trial may be `running`.
    pub fn rest_due(&self, rest_every: u32, running: bool) -> RestDue {
        let left = |every: u32, since: u32| (every > 0).then(|| every.saturating_sub(since));
        let offered = left(rest_every, self.since_offer);
        let set = left(self.block.set_size, self.in_set);
        let time =
            (self.rules.minutes > 0.0).then(|| Span::from_seconds(self.rules.minutes * 60.0).unwrap_or_default());
        RestDue {
            trials: offered
                .into_iter()
                .chain(set)
                .chain([self.tasks.len() as u32 + u32::from(running)])
                .min()
                .unwrap_or_default(),
            time: time.map(|most| Span(most.0.saturating_sub(self.active.0))),
        }
    }

    fn rule(&self) -> Option<RestReason> {
        let menu = matches!(self.block.kind, BlockKind::MenuTasks | BlockKind::Confirm);
        if menu && self.previous == Some(Outcome::Omission) {
            return Some(RestReason::NoPress);
        }
        self.course.due(&self.rules, self.active)
    }

    fn rest_by_rule(&mut self, why: RestReason) -> Next {
        self.rests_by_rule += 1;
        if self.rests_by_rule >= 2 {
            return Next::Stopped(why);
        }
        self.active = Span::ZERO;
        self.course = Course::default();
        self.rested();
        Next::Rest(why)
    }

    fn rested(&mut self) {
        (self.since_offer, self.in_set) = (0, 0);
    }
}
