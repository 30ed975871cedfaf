//! Practice in the real window: the carer confirms, then one key does everything.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

use pacewright::engine::effect::{Effect, Lit};
use pacewright::log::replay::{Replayed, replay};
use pacewright::session::event::{Event, RestReason};
use pacewright::session::input::{Input, PauseReason};
use pacewright::session::offer::Offer;
use pacewright::session::record::{Record, What};
use pacewright::session::trial::Outcome;
use pacewright::store;

use super::window_breath::{SOFT, calibrate};
use super::window_rig::{ENTER, PATIENCE, Rig, TAP, stamps};
use super::xvfb::key;

/// One tile that lights; rest is offered after three attempts.
const PLAN: &str = r#"{
  "format": "pacewright practice plan", "version": 1, "name": "Window test", "steps": ["when-lit"], "minutes": 5,
  "goal": "improve", "rest_every": 3, "help": { "by": "person-in-room", "how": "whoever runs this test" }
}"#;

/// On the page where the carer confirms.
fn practice() -> Rig {
    let rig = Rig::start("practice", ("--plan", PLAN), &["--switch", "Space"]);
    rig.turn_page(ENTER);
    // What is confirmed at once has not been read.
    std::thread::sleep(Duration::from_millis(1_500));
    rig
}

fn happened(records: &[Record], event: &Event) -> bool {
    records.iter().any(|record| record.what == What::Event(event.clone()))
}

/// A tap of the switch.
fn tap(rig: &Rig) {
    rig.hands.tap(key::SPACE, TAP);
}

/// Presses when the tile lights, at rest, and at each question on the next of `choices` (places of its tiles), as
/// the log tells it, until practice is over.
fn work(rig: &Rig, press: fn(&Rig), choices: &[u16]) {
    let patience = Instant::now() + 6 * PATIENCE;
    let mut choices = VecDeque::from(choices.to_vec());
    let (mut read, mut wanted, mut lit) = (0, None, None);
    loop {
        assert!(Instant::now() < patience, "practice does not end");
        let records = rig.records();
        for record in &records[read.min(records.len())..] {
            match &record.what {
                What::Event(Event::TrialBegan { .. }) => wanted = Some(0),
                What::Event(Event::Question) => wanted = choices.front().copied(),
                What::Event(Event::CarriedOn | Event::Chosen { .. }) => drop(choices.pop_front()),
                What::Event(Event::Rest { why }) => {
                    if *why == RestReason::Asked {
                        choices.pop_front();
                    }
                    // The lockout behind a press.
                    std::thread::sleep(Duration::from_secs(1));
                    press(rig);
                }
                What::Event(Event::Finished { .. }) => return,
                What::Effect(Effect::Highlight { number, lit: Lit::Entry { entry, .. }, .. })
                    if wanted == Some(entry.0) =>
                {
                    lit = Some(*number);
                }
                What::Input(Input::Shown { number }) if lit.is_some_and(|lit| lit <= *number) => {
                    (wanted, lit) = (None, None);
                    press(rig);
                }
                _ => {}
            }
        }
        read = records.len();
        std::thread::sleep(TAP);
    }
}

#[test]
fn practice_is_started_rested_from_and_ended_by_the_switch_alone() {
    let mut rig = practice();
    rig.turn_page(ENTER);
    // Start; rest; behind the rest, the end stands after the bell; yes.
    work(&rig, tap, &[1, 0, 3, 1]);
    let records = rig.wait_for_whole_log();
    let outcome = |record: &Record| match &record.what {
        What::Event(Event::Trial(trial)) => Some(trial.outcome),
        _ => None,
    };
    assert_eq!(records.iter().filter_map(outcome).collect::<Vec<_>>(), [Outcome::Hit; 3]);
    assert!(happened(&records, &Event::Chosen { offer: Offer::EndNow }));
    let (log, _) = store::read_log(&rig.log()).expect("a log");
    let replayed = replay(&log, "log").expect("it can be replayed");
    assert!(matches!(replayed, Replayed::Agrees { until_gap: None, .. }), "{replayed:?}");
    let printed = rig.said("printed");
    assert!(printed.contains("Practice was ended as asked.") && printed.contains("3 of 3 attempts right"), "{printed}");
}

/// The same tile, to be held.
const HELD: &str = r#"{
  "format": "pacewright practice plan", "version": 1, "name": "Breath", "steps": ["hold-and-release"], "minutes": 5,
  "goal": "improve", "rest_every": 3, "help": { "by": "second-means", "how": "the call button at the left hand" }
}"#;

/// A puff that is held and let go.
fn puff(rig: &Rig) {
    rig.hands.tap(SOFT, Duration::from_millis(1_100));
}

#[test]
fn a_breath_is_calibrated_confirmed_for_and_practised_with_held_and_let_go() {
    let mut rig = Rig::start("practice", ("--plan", HELD), &["--breath", "emulated"]);
    rig.turn_page(ENTER);
    calibrate(&rig);
    std::thread::sleep(Duration::from_millis(1_500));
    // A puff in the carer's hands confirms nothing.
    puff(&rig);
    std::thread::sleep(Duration::from_secs(1));
    rig.turn_page(key::F3);
    work(&rig, puff, &[1, 0, 3, 1]);
    let records = rig.wait_for_whole_log();
    let held = |record: &Record| match &record.what {
        What::Event(Event::Trial(trial)) => Some((trial.outcome, trial.reached)),
        _ => None,
    };
    assert_eq!(records.iter().filter_map(held).collect::<Vec<_>>(), [(Outcome::Hit, true); 3]);
    let told = |text: &str| {
        records
            .iter()
            .any(|record| matches!(&record.what, What::Event(Event::Scene { text: scene, .. }) if scene == text))
    };
    assert!(told("Puff when it lights, and hold.") && told("Let go.") && told("Resting. Puff when you are ready."));
    let filled = records.iter().filter(|record| matches!(record.what, What::Input(Input::Shown { .. }))).count();
    assert!(filled >= 3 * 8, "it fills step by step: {filled}");
    let (log, _) = store::read_log(&rig.log()).expect("a log");
    let replayed = replay(&log, "log").expect("it can be replayed");
    assert!(matches!(replayed, Replayed::Agrees { until_gap: None, .. }), "{replayed:?}");
    assert!(rig.said("printed").contains("3 of 3 attempts right"), "{}", rig.said("printed"));
}

#[test]
fn nothing_begins_before_the_carer_has_confirmed_that_help_can_be_called() {
    let rig = practice();
    for _ in 0..3 {
        rig.hands.tap(key::SPACE, TAP);
        std::thread::sleep(Duration::from_secs(1));
    }
    let records = rig.end();
    assert_eq!(stamps(&records, |input| *input == Input::Next), []);
    assert!(!records.iter().any(|record| matches!(record.what, What::Event(Event::BlockBegan { .. }))));
}

#[test]
fn a_lost_keyboard_is_rung_for_and_taken_back_and_practice_goes_on() {
    let rig = practice();
    rig.turn_page(ENTER);
    let ours = rig.eyes.focus();
    rig.eyes.steal_the_keyboard();
    let patience = Instant::now() + PATIENCE;
    while rig.eyes.focus() != ours {
        assert!(Instant::now() < patience, "the keyboard did not come back");
        std::thread::sleep(TAP);
    }
    rig.until("the return of the keyboard", |records| happened(records, &Event::Resumed));
    assert_eq!(rig.said("told").matches('\u{7}').count(), 1);
    let records = rig.end();
    assert!(happened(&records, &Event::Paused { why: PauseReason::FocusLost }));
}

#[test]
fn a_stuck_switch_is_told_once_and_its_release_leads_to_rest() {
    let rig = practice();
    rig.turn_page(ENTER);
    rig.hands.key(key::SPACE, true);
    let stuck = Event::Paused { why: PauseReason::Stuck };
    rig.until("the stuck switch", |records| happened(records, &stuck));
    rig.hands.key(key::SPACE, false);
    rig.until("the rest behind it", |records| happened(records, &Event::Rest { why: RestReason::Released }));
    assert_eq!(rig.said("told").matches('\u{7}').count(), 1);
    let records = rig.end();
    assert_eq!(records.iter().filter(|record| record.what == What::Event(stuck.clone())).count(), 1);
}
