//! Presses of a session under other filter settings.

use pacewright::analysis::gather;
use pacewright::analysis::refiltered::{Refiltered, refiltered};
use pacewright::log::header::Header;
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::{Id, Settings};
use pacewright::sim::client::{Client, STEADY};
use pacewright::sim::sitting::sit;

/// A session of the shipped protocol by a virtual client.
fn session(settings: Settings) -> (Header, Vec<Record>) {
    let (protocol, menu) = shipped::find("first-look").expect("a shipped protocol");
    let plan = Plan { protocol, menu, settings, seed: 4 };
    let header = Header::for_plan(&plan);
    let mut records = Vec::new();
    sit(&mut Session::new(plan), &mut Client::new(STEADY, 4), |fresh| records.extend_from_slice(fresh))
        .expect("an end");
    (header, records)
}

fn under(session: &(Header, Vec<Record>), changes: &[(Id, i64)]) -> Refiltered {
    let (header, records) = session;
    let evidence = gather::evidence(&[(header, records)]).expect("a session");
    refiltered(header, records, &evidence, changes)
}

#[test]
fn unchanged_settings_change_nothing() {
    let found = under(&session(Settings::default()), &[]);
    assert!(found.wanted.presses > 20);
    for tally in [found.wanted, found.unwanted, found.unknown] {
        assert_eq!((tally.would_count, tally.counted_again), (tally.counted, 0));
    }
}

#[test]
fn a_hold_time_leaves_the_presses_that_are_held_as_long() {
    let session = session(Settings::default());
    let held = |hold_s: f64| {
        let (header, records) = &session;
        let evidence = gather::evidence(&[(header, records)]).expect("a session");
        evidence.contacts.iter().filter(|one| one.held_s.is_some_and(|held| held >= hold_s)).count() as u32
    };
    for hold_s in [0.1, 0.2, 0.3, 3.0] {
        let found = under(&session, &[(Id::Hold, (hold_s * 1e6) as i64), (Id::Lockout, 0)]);
        let all = found.wanted.would_count + found.unwanted.would_count + found.unknown.would_count;
        assert_eq!(all, held(hold_s), "{hold_s}");
    }
}

#[test]
fn a_bouncing_contact_counts_again_without_debounce() {
    let (header, records) = session(Settings::default().with(Id::Lockout, 0));
    let bouncing: Vec<Record> = records.into_iter().flat_map(bounced).collect();
    let evidence = gather::evidence(&[(&header, &bouncing)]).expect("a session");
    let found = refiltered(&header, &bouncing, &evidence, &[(Id::Debounce, 0), (Id::Lockout, 0)]);
    assert_eq!(found.wanted.counted_again, found.wanted.presses);
    let with = refiltered(&header, &bouncing, &evidence, &[(Id::Lockout, 0)]);
    assert_eq!((with.wanted.counted_again, with.wanted.would_count), (0, with.wanted.presses));
}

/// Each closure opens for 2 ms after 2 ms.
fn bounced(record: Record) -> Vec<Record> {
    let What::Input(Input::Edge { switch, down: true }) = record.what else { return vec![record] };
    let edge = |after, down| Record {
        at: pacewright::time::Moment(record.at.0 + after),
        what: What::Input(Input::Edge { switch, down }),
    };
    vec![edge(0, true), edge(2_000, false), edge(4_000, true)]
}
