//! What the attempts so far say of the time that is set: presses of the scan interval, stays of the dwell time.

use super::belief::{Belief, FASTEST_S, Needed};
use super::pacing::Attempt;
use super::start::Start;
use super::stays::Stays;
use crate::settings::Id;

/// The belief about the one or the other.
#[derive(Clone, Debug)]
pub(super) enum Evidence {
    /// Of the scan interval.
    Presses(Belief),
    /// Of the dwell time.
    Stays(Stays),
}

impl Evidence {
    /// Of this setting, before the first attempt.
    pub fn of(paces: Id, start: &Start, success: f64) -> Evidence {
        match paces {
            Id::Dwell => Evidence::Stays(Stays::new(start, success)),
            _ => Evidence::Presses(Belief::new(start, success)),
        }
    }

    /// An attempt is over; says whether there was anything to learn from it.
    pub fn learn(&mut self, attempt: &Attempt) -> bool {
        match self {
            Evidence::Presses(belief) => {
                attempt.latency_s.into_iter().for_each(|latency| belief.add(latency));
                attempt.latency_s.is_some_and(|latency| latency >= FASTEST_S)
            }
            Evidence::Stays(stays) => {
                attempt.pointed.iter().for_each(|pointed| stays.add(pointed));
                attempt.pointed.is_some()
            }
        }
    }

    /// The client is seen to change, or is not.
    pub fn drifts(&mut self, drifts: bool) {
        if let Evidence::Presses(belief) = self {
            belief.drifts(drifts);
        }
    }

    /// Attempts that counted.
    pub fn counted(&self) -> usize {
        match self {
            Evidence::Presses(belief) => belief.presses(),
            Evidence::Stays(stays) => stays.attempts(),
        }
    }

    /// What is needed for the wanted share of successes.
    pub fn needed(&self) -> Needed {
        match self {
            Evidence::Presses(belief) => belief.needed(),
            Evidence::Stays(stays) => stays.needed(),
        }
    }

    /// How probable it is that this time, in seconds, is enough.
    pub fn enough(&self, seconds: f64) -> f64 {
        match self {
            Evidence::Presses(belief) => belief.enough(seconds),
            Evidence::Stays(stays) => stays.enough(seconds),
        }
    }

    /// The longest time that the client can bear, in seconds.
    pub fn bears_s(&self, success: f64) -> f64 {
        match self {
            Evidence::Presses(_) => f64::INFINITY,
            Evidence::Stays(stays) => stays.held_s(success),
        }
    }
}
