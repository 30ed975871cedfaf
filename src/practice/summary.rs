//! What a practice session came to, and what it saw of the client.

use std::fmt;

use super::change::Change;
use super::mastery::{Mastery, Whole};
use crate::session::event::{Event, RestReason, TaskEnd};
use crate::session::input::PauseReason;
use crate::session::trial::{Outcome, Trial};
use crate::stats::sequential::Verdict;
use crate::time::Span;

/// Fewer attempts say nothing of how the client presses.
const FEWEST: usize = 6;
/// So many presses that were let go too soon are no accident.
const BRIEF: u32 = 2;
/// So many times stuck is no accident.
const STUCK: u32 = 2;
/// So many trials missed at the end are no accident.
const STOPPED: u32 = 2;

/// Why it ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// The agreed length was reached.
    Length,
    /// The step is mastered.
    Mastered,
    /// The step is too hard.
    TooHard,
    /// All its trials were done.
    Done,
    /// The client, or somebody at the keyboard, ended it.
    Asked,
    /// Two rests that a rule had called for: it was enough.
    Tired,
    /// A rest or a pause lasted.
    Resting,
    /// Nobody confirmed that help can be called.
    NotConfirmed,
}

impl Ending {
    /// Its words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Ending::Length => "The agreed time was up.",
            Ending::Mastered => "This step is mastered.",
            Ending::TooHard => "This step was too hard today.",
            Ending::Done => "Everything in this step was done.",
            Ending::Asked => "Practice was ended as asked.",
            Ending::Tired => "It was enough for today: rest was needed twice.",
            Ending::Resting => "Practice ended while resting.",
            Ending::NotConfirmed => "Practice did not begin: nobody confirmed how help is called.",
        }
    }
}

/// How the client pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Saw {
    /// Nothing out of the ordinary.
    Ordinary,
    /// No press at all, and no pointer that took anything.
    NoPress,
    /// Presses without regard to what was lit.
    Unrelated,
    /// Presses that were let go before they counted.
    TooShort,
    /// Presses that stopped.
    Stopped,
    /// The switch stayed down, again and again.
    StayedDown,
}

impl Saw {
    /// For the therapist.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Saw::Ordinary => "Nothing out of the ordinary was seen.",
            Saw::NoPress => "No press was seen: check the switch and how it is reached; the client may have slept.",
            Saw::Unrelated => {
                "Presses came without regard to what was lit: check for involuntary movement and whether the task was understood."
            }
            Saw::StayedDown => {
                "The switch stayed down again and again: check that it lets go, how it is mounted and what rests on it."
            }
            Saw::TooShort => {
                "Most presses were let go before they counted: try a shorter hold time, and check that the switch keeps contact while it is held."
            }
            Saw::Stopped => "Presses stopped: the client may have tired or fallen asleep, or lost the switch.",
        }
    }
}

/// Attempts and presses, counted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Accepted presses at work, whatever they did.
    pub presses: u32,
    /// Attempts that hit.
    pub hits: u32,
    /// Attempts that failed.
    pub misses: u32,
    /// Tasks of several choices, as a whole.
    pub tasks: Vec<Whole>,
    outcomes: Vec<Outcome>,
    /// Trials at the end that were missed as a whole, one after the other.
    missed: u32,
    /// Accepted presses, wherever they went.
    accepted: u32,
    /// A press is an attempt now: no rest, no question, no pause.
    at_work: bool,
    /// A trial is under way.
    in_trial: bool,
    /// Presses between trials, and those within that were meant for nothing.
    stray: u32,
    /// Presses that were let go before they counted, wherever they went.
    brief: u32,
    /// Pauses because the switch stayed down.
    stuck: u32,
}

impl Tally {
    /// A judged attempt.
    pub(super) fn add(&mut self, trial: &Trial) {
        let hit = trial.outcome == Outcome::Hit;
        self.hits += u32::from(hit);
        self.misses += u32::from(!hit);
        self.outcomes.push(trial.outcome);
        self.missed = if trial.was_missed() { self.missed + 1 } else { 0 };
    }

    /// An accepted press, whatever it did.
    pub(super) fn pressed(&mut self) {
        self.accepted += 1;
        self.presses += u32::from(self.at_work);
        self.stray += u32::from(!self.in_trial);
    }

    /// A press that was let go before it counted.
    pub(super) fn let_go(&mut self) {
        self.brief += 1;
    }

    /// Whatever happens in the session.
    pub(super) fn note(&mut self, event: &Event) {
        match event {
            Event::TrialBegan { .. } => (self.at_work, self.in_trial) = (true, true),
            Event::Trial(trial) => {
                self.in_trial = false;
                self.stray += trial.presses.iter().filter(|press| press.outcome == Outcome::Extra).count() as u32;
            }
            Event::BlockBegan { .. } | Event::Resumed => self.at_work = true,
            Event::CarriedOn => {
                self.at_work = true;
                self.meant();
            }
            Event::Chosen { .. } => self.meant(),
            Event::Rest { why } => {
                self.at_work = false;
                if *why == RestReason::Asked {
                    self.meant();
                }
            }
            Event::Paused { why } => {
                self.at_work = false;
                self.stuck += u32::from(*why == PauseReason::Stuck);
            }
            Event::TaskEnded { choices, end, .. } => self.tasks.push(Whole { choices: *choices, end: *end }),
            Event::Question | Event::BlockEnded { .. } => self.at_work = false,
            _ => {}
        }
    }

    /// The last press chose something.
    fn meant(&mut self) {
        self.stray = self.stray.saturating_sub(1);
    }

    /// Half as many presses as attempts, or more, were meant for nothing.
    fn strays(&self) -> bool {
        self.stray as usize >= FEWEST && self.stray as usize * 2 >= self.outcomes.len()
    }

    /// What the test of a step says of it.
    pub(super) fn verdict(&self, mastery: Mastery) -> Verdict {
        mastery.after(self.hits, self.misses, self.presses, &self.tasks)
    }

    /// How the client pressed.
    #[must_use]
    pub fn saw(&self) -> Saw {
        let count = |of: &[Outcome]| self.outcomes.iter().filter(|outcome| of.contains(outcome)).count();
        let attempts = self.outcomes.len();
        let mostly_wrong = attempts >= FEWEST && count(&[Outcome::Early, Outcome::Wrong]) * 2 >= attempts;
        if self.stuck >= STUCK {
            Saw::StayedDown
        } else if self.brief >= BRIEF && self.brief >= self.accepted {
            Saw::TooShort
        } else if self.accepted == 0 && self.hits == 0 {
            Saw::NoPress
        } else if mostly_wrong || self.strays() {
            Saw::Unrelated
        } else if self.missed >= STOPPED {
            Saw::Stopped
        } else {
            Saw::Ordinary
        }
    }

    /// Whether an interval may be advised from it.
    #[must_use]
    pub fn bears_advice(&self) -> bool {
        !matches!(self.saw(), Saw::NoPress | Saw::Unrelated | Saw::TooShort | Saw::StayedDown)
    }
}

/// What a session came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// Why it ended.
    pub ending: Ending,
    /// What the step's test said.
    pub verdict: Verdict,
    /// The interval for the next time; `None` where the data bear none.
    pub interval: Option<Span>,
    /// Every decision about the interval, kept ones too.
    pub changes: Vec<Change>,
    /// What was counted.
    pub tally: Tally,
}

impl Summary {
    /// How the client pressed: a session that ended in rest after something was let go by has stopped.
    #[must_use]
    pub fn saw(&self) -> Saw {
        match (self.tally.saw(), self.ending) {
            (Saw::Ordinary, Ending::Resting) if self.tally.missed > 0 => Saw::Stopped,
            (saw, _) => saw,
        }
    }
}

impl fmt::Display for Summary {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Tally { presses, hits, misses, tasks, .. } = &self.tally;
        writeln!(f, "{}", self.ending.words())?;
        writeln!(f, "{hits} of {} attempts right, {presses} presses.", hits + misses)?;
        if !tasks.is_empty() {
            let count = |end: TaskEnd| tasks.iter().filter(|task| task.end == end).count();
            let (right, mended) = (count(TaskEnd::Right), count(TaskEnd::Mended));
            writeln!(f, "Tasks as a whole: {right} of {} right, {mended} more done at the second try.", tasks.len())?;
        }
        writeln!(f, "{}", self.saw().words())?;
        for change in self.changes.iter().filter(|change| change.is_change()) {
            writeln!(f, "  {change}")?;
        }
        match self.interval {
            Some(interval) => write!(f, "Next time from {:.2} s.", interval.as_seconds()),
            None => write!(f, "No timing for the next time follows from this session."),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_presses_are_held_against_all_that_counted_at_rest_too() {
        let mut tally = Tally::default();
        (0..3).for_each(|_| tally.let_go());
        assert_eq!(tally.saw(), Saw::TooShort);
        // Nothing is under way, so none of these is an attempt.
        (0..4).for_each(|_| tally.pressed());
        assert_eq!((tally.presses, tally.saw()), (0, Saw::Ordinary));
    }
}
