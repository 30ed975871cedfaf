//! Virtual clients of every kind practise every step.

use super::*;
use crate::practice::summary::Saw;
use crate::practice::{plan, steps};
use crate::session::input::PauseReason;
use crate::session::record::What;
use crate::sim::client::Client;
use crate::sim::latency::Latency;
use crate::sim::sitting::sit;
use crate::sim::traits::{STEADY, Traits};

const PLAN: &str = r#"{ "format": "pacewright practice plan", "version": 1, "name": "test",
    "steps": ["two-items"], "minutes": 4, "goal": "improve",
    "help": { "by": "person-in-room", "how": "the night nurse" } }"#;

/// The last scene is shown after the end.
const FRAME: Span = Span::from_ms(20);

fn plan() -> Plan {
    plan::read("plan.json", PLAN).0.unwrap()
}

pub(crate) fn sat(step: &str, traits: Traits, seed: u64) -> (Sitting, Moment, Vec<Record>) {
    run(Sitting::new(&plan(), steps::find(step).unwrap(), None, 0, seed).unwrap(), traits, seed)
}

fn run(mut sitting: Sitting, traits: Traits, seed: u64) -> (Sitting, Moment, Vec<Record>) {
    let mut records = Vec::new();
    let end = sit(&mut sitting, &mut Client::new(traits, seed), |fresh| records.extend_from_slice(fresh)).unwrap();
    (sitting, end, records)
}

fn clients() -> Vec<(&'static str, Traits)> {
    vec![
        ("steady", STEADY),
        ("never presses", Traits { stops_after_s: Some(0.0), involuntary_per_s: 0.0, ..STEADY }),
        ("always presses", Traits { involuntary_per_s: 3.0, ..STEADY }),
        ("at random", Traits { miss: 1.0, involuntary_per_s: 0.4, ..STEADY }),
        ("sleeps", Traits { stops_after_s: Some(70.0), involuntary_per_s: 0.0, ..STEADY }),
        ("slow", Traits { latency: Latency::ExGaussian { mu_s: 2.5, sigma_s: 0.5, tau_s: 1.5 }, ..STEADY }),
        ("one breath", Traits { held_s: 30.0, ..STEADY }),
        ("rests", Traits { rests: 1.0, ..STEADY }),
    ]
}

#[test]
fn no_client_makes_it_hang_panic_or_run_past_its_length() {
    let longest = Moment::START + Span::from_ms(2_000 + 4 * 60_000) + FRAME;
    for step in steps::STEPS {
        for (name, traits) in clients() {
            for seed in 0..3 {
                let (sitting, end, records) = sat(step.id, traits.clone(), seed);
                let summary = sitting.summary().unwrap();
                let late = records.iter().filter(|record| record.at > longest).count();
                assert_eq!(late, 0, "{} {name} {seed}: {summary}", step.id);
                assert!(end <= longest, "{} {name} {seed}: {end:?}", step.id);
            }
        }
    }
}

#[test]
fn the_steps_of_a_menu_can_be_practised_with_every_technique() {
    for technique in ["automatic", "step", "step-auto-accept", "inverse", "dwell"] {
        for step in ["household", "row-then-item", "own-menu", "with-distractions"] {
            let mut plan = plan();
            plan.settings.insert("technique".into(), technique.into());
            let sitting = Sitting::new(&plan, steps::find(step).unwrap(), None, 0, 1).unwrap();
            let (sitting, _, _) = run(sitting, STEADY, 1);
            let summary = sitting.summary().unwrap();
            assert!(summary.tally.hits > summary.tally.misses, "{technique} {step}: {summary}");
            let moves = ["automatic", "inverse"].contains(&technique);
            assert_eq!(summary.changes.is_empty(), !moves, "{technique} {step}: {summary}");
            assert_ne!(summary.saw(), Saw::NoPress, "{technique} {step}: {summary}");
            let calibrates = sitting.session_plan().protocol.blocks.len() == 2;
            assert_eq!(calibrates, moves, "{technique} {step}: only where the scan rate has to be found");
        }
    }
}

#[test]
fn the_published_steps_are_a_preset_of_the_plan() {
    let plan = Plan { pace: plan::Pace::Stepped, minutes: 10.0, ..plan() };
    let sitting = Sitting::new(&plan, steps::find("five-items").unwrap(), None, 0, 1).unwrap();
    assert_eq!(sitting.session_plan().settings.scan_interval(), Span::from_ms(1_100));
    assert_eq!(sitting.session_plan().protocol.blocks.len(), 1);
}

#[test]
fn a_switch_that_stays_down_is_told_and_gets_no_setting() {
    let (held, ..) = sat("two-items", clients()[6].1.clone(), 1);
    let summary = held.summary().unwrap();
    assert_eq!((summary.saw(), summary.interval), (Saw::StayedDown, None), "{summary}");
}

#[test]
fn presses_too_short_for_a_hold_are_told_from_none() {
    let (sitting, ..) = sat("hold-and-release", Traits { held_s: 0.1, held_scatter: 0.0, ..STEADY }, 1);
    let summary = sitting.summary().unwrap();
    assert_eq!((summary.saw(), summary.interval), (Saw::TooShort, None), "{summary}");
}

#[test]
fn whoever_never_presses_or_presses_without_regard_is_told_and_gets_no_setting() {
    let (never, ..) = sat("two-items", clients()[1].1.clone(), 1);
    let summary = never.summary().unwrap();
    assert_eq!((summary.ending, summary.tally.saw(), summary.interval), (Ending::Resting, Saw::NoPress, None));
    let (random, ..) = sat("five-items", clients()[3].1.clone(), 1);
    assert_eq!(random.summary().unwrap().interval, None, "{}", random.summary().unwrap());
}

#[test]
fn a_steady_client_masters_a_step_and_the_log_holds_each_reason() {
    let (sitting, _, records) = sat("two-items", STEADY, 4);
    let summary = sitting.summary().unwrap();
    assert!(matches!(summary.ending, Ending::Mastered | Ending::Length), "{summary}");
    let is_note =
        |record: &&Record| matches!(&record.what, What::Input(Input::Note { text }) if text.starts_with("Scan rate"));
    let changed = summary.changes.iter().filter(|change| change.is_change()).count();
    assert!(summary.tally.hits >= 10, "{summary}");
    assert!(changed > 0 && records.iter().filter(is_note).count() == changed, "{summary}");
}

#[test]
fn a_clock_that_jumps_ends_it_kindly() {
    let begun = || {
        let mut sitting = Sitting::new(&plan(), steps::find("three-items").unwrap(), None, 0, 1).unwrap();
        sitting.input(Moment(2_000_000), Input::Next, &mut Vec::new());
        sitting
    };
    let mut out = Vec::new();
    let mut ahead = begun();
    ahead.advance(Moment(48 * 3_600_000_000), &mut out);
    let summary = ahead.summary().unwrap();
    assert!(summary.interval.is_none() && summary.tally.saw() == Saw::NoPress, "{summary}");
    let mut back = begun();
    back.advance(Moment(60_000_000), &mut out);
    for (at, down) in [(1_000, true), (2_000, false), (7 * 86_400_000_000, true), (0, false)] {
        back.input(Moment(at), Input::Edge { switch: crate::engine::effect::Switch(0), down }, &mut out);
    }
    assert!(back.finished() && back.summary().unwrap().interval.is_none());
}

#[test]
fn nothing_begins_before_the_carer_has_confirmed() {
    let mut sitting = Sitting::new(&plan(), steps::find("two-items").unwrap(), None, 0, 1).unwrap();
    assert!(sitting.to_confirm().unwrap().contains("the night nurse"));
    let mut out = Vec::new();
    sitting.input(Moment(1_000_000), Input::Edge { switch: crate::engine::effect::Switch(0), down: true }, &mut out);
    assert!(sitting.to_confirm().is_some());
    sitting.advance(Moment::START + UNCONFIRMED, &mut out);
    assert_eq!(sitting.summary().unwrap().ending, Ending::NotConfirmed);
}

#[test]
fn a_confirmation_before_the_question_can_have_been_read_is_none() {
    let mut sitting = Sitting::new(&plan(), steps::find("two-items").unwrap(), None, 0, 1).unwrap();
    let mut out = Vec::new();
    sitting.input(Moment(1_000_000), Input::Next, &mut out);
    sitting.input(Moment(5_000_000), Input::Shown { number: 0 }, &mut out);
    sitting.input(Moment(5_500_000), Input::Next, &mut out);
    assert!(sitting.to_confirm().is_some() && sitting.session().in_assessors_hands());
    for input in [Input::MyPresses { on: false }, Input::SkipBlock] {
        sitting.input(Moment(8_000_000), input, &mut out);
        assert!(sitting.session().in_assessors_hands());
    }
    sitting.input(Moment(9_000_000), Input::Next, &mut out);
    assert!(sitting.to_confirm().is_none() && !sitting.session().in_assessors_hands());
}

#[test]
fn the_carer_carries_on_after_a_pause_and_nothing_else() {
    let mut sitting = Sitting::new(&plan(), steps::find("two-items").unwrap(), None, 0, 1).unwrap();
    let mut out = Vec::new();
    sitting.input(Moment(0), Input::Shown { number: 0 }, &mut out);
    sitting.input(Moment(2_000_000), Input::Next, &mut out);
    let asked = sitting.scene().cue.clone();
    sitting.input(Moment(3_000_000), Input::Next, &mut out);
    assert_eq!(sitting.scene().cue, asked, "the client starts, not the carer");
    sitting.input(Moment(4_000_000), Input::Pause { why: PauseReason::Clinician }, &mut out);
    assert!(sitting.session().is_paused());
    sitting.input(Moment(5_000_000), Input::Next, &mut out);
    assert!(!sitting.session().is_paused());
}
