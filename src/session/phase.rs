//! Where a session stands.

use super::input::PauseReason;
use super::offer::Offer;
use super::running::Running;
use crate::time::{Moment, Span};

/// What stands on the screen and what a press means. Each holds only what is true in it.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Phase {
    /// The switch is in the assessor's hands.
    Mine {
        /// Where it goes on.
        back: Place,
        /// Whether the last press lit the lamp that shows that the switch works.
        lamp: bool,
    },
    /// First contact.
    Contact {
        /// The lamp is on until then.
        lamp_until: Option<Moment>,
        /// Without a press the session rests then.
        idle: Moment,
        /// Presses so far.
        presses: usize,
    },
    /// Quiet watch.
    Watch {
        /// It ends then.
        until: Moment,
    },
    /// The switch is checked.
    Check {
        /// The strip moves on then.
        tick: Option<Moment>,
    },
    /// A trial.
    Trial(Box<Running>),
    /// Rest or carry on?
    Question {
        /// What carrying on means.
        then: Then,
        /// The choices, in the order in which they are lit.
        offers: Vec<Offer>,
        /// The scan over the choices begins then; `None` once it runs.
        starts: Option<Moment>,
        /// Without anything happening the session rests then; never in automatic scanning.
        idle: Option<Moment>,
        /// How often running it was asked again because frames or wakes came too late.
        again: u32,
    },
    /// Rest; a press leads to the question.
    Rest {
        /// What carrying on means.
        then: Then,
    },
    /// The bell has been rung.
    Bell {
        /// What carrying on means.
        then: Then,
        /// Rest comes then.
        until: Moment,
    },
    /// The session waits for the clinician.
    Paused {
        /// Why.
        why: PauseReason,
        /// Where it goes on.
        back: Place,
    },
    /// It is over.
    Finished,
}

/// What carrying on means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Then {
    /// The next block begins.
    NextBlock,
    /// First contact goes on.
    Contact,
    /// The quiet watch goes on for this long.
    Watch(Span),
    /// The switch check goes on.
    Check,
    /// The next trial of the block begins.
    NextTrial,
}

/// Where a broken-off session goes on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// With the thing itself.
    On(Then),
    /// At the question.
    Question(Then),
    /// At rest.
    Rest(Then),
    /// With the switch in the assessor's hands, until they hand it over.
    Mine(Then),
}

impl Phase {
    /// Where a session that is broken off at `now` goes on.
    pub fn place(&self, now: Moment) -> Place {
        match self {
            Phase::Mine { back, .. } => Place::Mine(back.then()),
            Phase::Paused { back, .. } => *back,
            Phase::Contact { .. } => Place::On(Then::Contact),
            Phase::Watch { until } => Place::On(Then::Watch(until.since(now))),
            Phase::Check { .. } => Place::On(Then::Check),
            Phase::Trial(_) => Place::On(Then::NextTrial),
            Phase::Question { then, .. } => Place::Question(*then),
            Phase::Rest { then } | Phase::Bell { then, .. } => Place::Rest(*then),
            Phase::Finished => Place::On(Then::NextBlock),
        }
    }

    /// When it ends or changes by itself.
    pub fn deadline(&self) -> Option<Moment> {
        match self {
            Phase::Contact { lamp_until, idle, .. } => Some(lamp_until.map_or(*idle, |until| until.min(*idle))),
            Phase::Watch { until } | Phase::Bell { until, .. } => Some(*until),
            Phase::Check { tick } => *tick,
            Phase::Trial(running) => running.deadline(),
            Phase::Question { starts, idle, .. } => starts.or(*idle),
            Phase::Mine { .. } | Phase::Rest { .. } | Phase::Paused { .. } | Phase::Finished => None,
        }
    }
}

impl Place {
    /// What carrying on means there.
    pub fn then(self) -> Then {
        match self {
            Place::On(then) | Place::Question(then) | Place::Rest(then) | Place::Mine(then) => then,
        }
    }
}
