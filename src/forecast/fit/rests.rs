//! How often the client chooses to rest.

use super::notes::Notes;
use crate::analysis::set_ups::Session;
use crate::session::event::{Event, RestReason};
use crate::session::record::What;
use crate::stats::{Level, proportion};

/// Fewer questions say little (common practice, no source).
const FEWEST: u64 = 5;

/// Share of the questions that were answered with Rest.
pub(super) fn share(sessions: &[Session], notes: &mut Notes) -> f64 {
    let events = || {
        sessions.iter().flat_map(|(_, records)| *records).filter_map(|record| match &record.what {
            What::Event(event) => Some(event),
            _ => None,
        })
    };
    let rests = events().filter(|event| matches!(event, Event::Rest { why: RestReason::Asked })).count() as u64;
    let questions = rests + events().filter(|event| **event == Event::CarriedOn).count() as u64;
    let name = "questions answered with rest";
    match proportion::wilson(rests, questions, Level::NINETY).filter(|_| questions >= FEWEST) {
        Some(interval) => {
            let share = super::notes::round(rests as f64 / questions as f64);
            notes.measured(name, "share", share, interval.ends(), questions as usize);
            share
        }
        None => {
            notes.assumed(name, "none", "fewer than 5 questions were answered");
            0.0
        }
    }
}
