//! A logged session runs again, and a log that was tampered with does not.

use pacewright::engine::effect::Switch;
use pacewright::log::header::Header;
use pacewright::log::reader::{LogFile, read};
use pacewright::log::replay::{Replayed, replay};
use pacewright::session::Session;
use pacewright::session::event::{BlockKind, Event};
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::settings::Id;
use pacewright::time::{Moment, Span};

use super::samples::{header, logged, plan};

/// Runs a session for a while: every scene is shown, every fifth is pressed.
fn run() -> Vec<Record> {
    let (mut session, mut out, mut now) = (Session::new(plan()), Vec::new(), Moment(1_000));
    session.input(now, Input::MyPresses { on: false }, &mut out);
    session.input(now, Input::Next, &mut out);
    for step in 0..60 {
        let number = session.scene().number;
        now += Span(17_000);
        session.input(now, Input::Shown { number }, &mut out);
        if step % 5 == 4 {
            now += Span(300_000);
            session.input(now, Input::Edge { switch: Switch(0), down: true }, &mut out);
            now += Span(100_000);
            session.input(now, Input::Edge { switch: Switch(0), down: false }, &mut out);
        }
        let deadline = session.deadline().unwrap_or(now + Span(500_000));
        now = now.max(deadline);
        session.advance(now, &mut out);
    }
    session.input(now, Input::End, &mut out);
    out
}

fn replayed(log: &LogFile) -> Replayed {
    replay(log, "a.jsonl").unwrap()
}

fn log_of(records: &[Record]) -> LogFile {
    let (log, problems) = read(&logged(&header(), records)[..], "a.jsonl");
    assert!(problems.is_empty(), "{problems:?}");
    log
}

#[test]
fn the_same_session_does_the_same() {
    let records = run();
    let done = records.iter().filter(|record| !matches!(record.what, What::Input(_))).count() as u64;
    assert_eq!(replayed(&log_of(&records)), Replayed::Agrees { compared: done, until_gap: None });
}

#[test]
fn a_stamp_from_a_sleep_in_which_something_was_due_does_the_same_again() {
    let mut plan = plan();
    plan.protocol.blocks[0].kind = BlockKind::FirstContact;
    plan.settings.set_raw(Id::LongPress, 3_000_000).unwrap();
    let asleep = |before_us| {
        let (mut session, mut out) = (Session::new(plan.clone()), Vec::new());
        session.input(Moment(1_000), Input::MyPresses { on: false }, &mut out);
        session.input(Moment(2_000), Input::Edge { switch: Switch(0), down: true }, &mut out);
        session.advance(Moment(1_000_000), &mut out);
        // The lamp should have gone out in the sleep, and the press become a long one.
        let woke = Moment(9_000_000);
        session.input(woke, Input::Stalled, &mut out);
        session.input(Moment(woke.0 - before_us), Input::Shown { number: 0 }, &mut out);
        session.advance(woke, &mut out);
        session.input(Moment(woke.0 - before_us), Input::Edge { switch: Switch(0), down: false }, &mut out);
        session.input(woke, Input::End, &mut out);
        let (log, _) = read(&logged(&Header::for_plan(&plan), &out)[..], "a.jsonl");
        log
    };
    for before_us in (0..9_000_000).step_by(100_000) {
        let replayed = replayed(&asleep(before_us));
        assert!(matches!(replayed, Replayed::Agrees { compared: 10.., .. }), "{before_us} us before: {replayed:?}");
    }
}

#[test]
fn an_event_that_never_was_is_found_at_its_line() {
    for place in [2, 30, 60] {
        let mut records = run();
        let false_event = Record { at: records[place].at, what: What::Event(Event::Unwanted { block: 77 }) };
        records.insert(place, false_event.clone());
        let Replayed::Differs { line, logged, .. } = replayed(&log_of(&records)) else { panic!("at {place}") };
        assert_eq!((line, logged.as_deref()), (Some(place as u32 + 2), Some(&false_event)));
    }
}

#[test]
fn a_gap_ends_the_comparison_and_is_told() {
    let bytes = logged(&header(), &run());
    let mut lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
    lines.remove(20);
    let (log, _) = read(&lines.concat()[..], "a.jsonl");
    assert!(matches!(replayed(&log), Replayed::Agrees { until_gap: Some(21), .. }));
}

#[test]
fn without_a_header_or_a_menu_there_is_no_replay() {
    assert!(replay(&LogFile::default(), "a.jsonl").is_err());
    let mut log = log_of(&run());
    log.header = Some(Header { menu: serde_json::Value::Null, ..header() });
    assert!(replay(&log, "a.jsonl").unwrap_err().what.contains("menu"));
}
