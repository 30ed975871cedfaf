//! What confirm blocks came to: the selections tried under one set of values.
//!
//! A target that was missed is asked for a second time; only the first try counts here. Whether a
//! block bears the advice out is not judged here.

use super::reading::Reading;
use super::set_ups::Session;
use crate::log::header::Header;
use crate::session::event::{BlockKind, Event};
use crate::session::record::{Record, What};
use crate::session::trial::Outcome;
use crate::settings::Settings;

/// Selections in confirm blocks under the same settings, one after another.
#[derive(Clone, Debug, PartialEq)]
pub struct Confirm {
    /// The settings in force.
    pub settings: Settings,
    /// How each selection went, in order; never empty.
    pub outcomes: Vec<Outcome>,
}

/// The confirm selections of a session, a new entry where the settings changed.
#[must_use]
pub fn confirms(header: &Header, records: &[Record]) -> Vec<Confirm> {
    let reading = Reading::of(header, records);
    let tried = reading.blocks.iter().flat_map(|block| &block.trials);
    let tried = tried.filter(|judged| judged.counts() && judged.trial.kind == BlockKind::Confirm);
    let mut found: Vec<Confirm> = Vec::new();
    for trial in tried.map(|judged| judged.trial).filter(|trial| trial.attempt <= 1) {
        let settings = revision(header, records, trial.settings);
        match found.last_mut().filter(|last| last.settings == *settings) {
            Some(last) => last.outcomes.push(trial.outcome),
            None => found.push(Confirm { settings: settings.clone(), outcomes: vec![trial.outcome] }),
        }
    }
    found
}

/// Whether all blocks that were begun are confirm blocks, and there is one.
#[must_use]
pub fn only_confirms(records: &[Record]) -> bool {
    let mut kinds = records.iter().filter_map(|record| match &record.what {
        What::Event(Event::BlockBegan { kind, .. }) => Some(*kind),
        _ => None,
    });
    kinds.next() == Some(BlockKind::Confirm) && kinds.all(|kind| kind == BlockKind::Confirm)
}

/// The sessions, by place, that do more than confirm; all of them where there is no such one.
#[must_use]
pub fn measuring(sessions: &[Session]) -> Vec<usize> {
    let found: Vec<usize> = (0..sessions.len()).filter(|index| !only_confirms(sessions[*index].1)).collect();
    if found.is_empty() { (0..sessions.len()).collect() } else { found }
}

/// The settings with this number; those of the header where the log does not hold them.
fn revision<'a>(header: &'a Header, records: &'a [Record], number: u32) -> &'a Settings {
    let values = records.iter().find_map(|record| match &record.what {
        What::Event(Event::Settings { revision, values, .. }) if *revision == number => Some(&**values),
        _ => None,
    });
    values.unwrap_or(&header.settings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Plan, Session, shipped};
    use crate::settings::Id;
    use crate::sim::client::{Client, STEADY, Traits};
    use crate::sim::sitting::sit;

    fn sat(protocol: &str, traits: Traits) -> (Header, Vec<Record>) {
        let (protocol, menu) = shipped::find(protocol).unwrap();
        let plan = Plan { protocol, menu, settings: Settings::default(), seed: 3 };
        let header = Header::for_plan(&plan);
        let (mut records, mut session) = (Vec::new(), Session::new(plan));
        sit(&mut session, &mut Client::new(traits, 3), |fresh| records.extend_from_slice(fresh)).unwrap();
        (header, records)
    }

    #[test]
    fn each_selection_counts_once_however_often_it_is_asked_for() {
        for involuntary_per_s in [0.0, 0.3] {
            let traits = Traits { miss: 0.0, involuntary_per_s, rests: 0.0, ..STEADY };
            let (header, records) = sat("confirm", traits);
            let found = confirms(&header, &records);
            let tried: usize = found.iter().map(|one| one.outcomes.len()).sum();
            let asked = records.iter().filter(|record| matches!(&record.what, What::Event(Event::Trial(_)))).count();
            assert!(tried <= 10 && (tried == asked) == (involuntary_per_s == 0.0), "{tried} of {asked}");
            assert!(found.iter().all(|one| one.settings.raw(Id::CueLead) == 2_000_000));
        }
    }

    #[test]
    fn a_session_without_a_confirm_block_has_none() {
        let (header, records) = sat("first-look", STEADY);
        assert_eq!(confirms(&header, &records), []);
        assert!(!only_confirms(&records) && !only_confirms(&[]));
        assert!(only_confirms(&sat("confirm", STEADY).1));
    }
}
