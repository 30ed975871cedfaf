//! The presses that a scan rate rests on, and of what kind they are: that decides what can be said of them.

use super::asked::Asked;
use super::doubt::Doubt;
use super::{alike, humps, rhythm};
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::session::trial::Outcome;
use crate::stats::Sample;
use crate::stats::latency::{Manner, Paced};

/// Fewer presses bear no value.
pub(super) const FEWEST: usize = 8;

/// What the advice rests on, in seconds.
pub(super) struct Seen {
    /// Right and late presses, to acceptance.
    pub latencies: Vec<f64>,
    /// All presses, early ones too, with the interval under which they came and when.
    pub timed: Vec<Paced>,
    pub early: usize,
    /// The windows of lightings that were let go by.
    pub omitted: Vec<f64>,
}

/// What kind of presses these are, which decides what can be said of them.
pub(super) enum Kind {
    /// To the rhythm of the scan.
    Timed,
    Few,
    /// All alike, and why that bears no advice.
    Alike(String),
    Humps,
    /// Answers to the highlight, and what is open about that.
    Reactions(Doubt),
}

impl Seen {
    pub fn of(evidence: &Evidence, asked: &Asked) -> Seen {
        let moving: Vec<&Opportunity> = evidence.opportunities.iter().filter(|one| one.moving()).collect();
        let shift = asked.shift(evidence.lag_s);
        Seen {
            latencies: moving.iter().filter_map(|one| one.accepted_s()).map(|latency| latency + shift).collect(),
            timed: rhythm::timed(moving.iter().copied(), shift),
            early: moving.iter().filter(|one| one.pressed_as(Outcome::Early)).count(),
            omitted: moving.iter().filter(|one| one.omitted()).map(|one| one.window_s + shift).collect(),
        }
    }

    pub fn kind(&self, sample: &Sample) -> Kind {
        match alike::told(sample) {
            _ if rhythm::manner(&self.timed) == Manner::Times => Kind::Timed,
            _ if sample.len() < FEWEST => Kind::Few,
            Some(why) => Kind::Alike(why),
            None if humps::several(sample) => Kind::Humps,
            None => Kind::Reactions(Doubt::of(&self.timed)),
        }
    }
}
