//! Sessions worked by hand.

mod alone;
mod checking;
mod clinic;
mod distraction;
mod holding;
mod levels;
mod switches;
mod whole_tasks;

use super::event::{BlockEnd, BlockKind, Event, RestReason};
use super::input::{Input, PauseReason};
use super::protocol::Block;
use super::record::{Record, What};
use super::scene::Body;
use super::trial::Outcome;
use super::{Asked, words};
use crate::engine::effect::{Effect, Lit, Switch};
use crate::settings::{Id, Settings};
use crate::time::{Moment, Span};
use clinic::{Clinic, FRAME};

fn block(kind: BlockKind, trials: u32) -> Block {
    Block { trials, ..Block::of(kind) }
}

fn menu_tasks(ids: &[&str]) -> Block {
    Block {
        tasks: ids.iter().map(|id| vec![(*id).to_string()]).collect(),
        shuffled: false,
        ..Block::of(BlockKind::MenuTasks)
    }
}

#[test]
fn the_assessors_presses_come_first_and_are_never_counted() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 1)]);
    clinic.press();
    assert_eq!(clinic.title(), words::MINE);
    clinic.wait(30.0);
    assert!(clinic.trials().is_empty(), "the session waits for the clinician");
    clinic.input(Input::Next);
    assert!(clinic.has(&Event::BlockBegan { block: 0, kind: BlockKind::TimedPress }));
}

#[test]
fn a_timed_press_on_the_target_is_a_hit_with_its_latency_from_shown() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 1)]).begin();
    clinic.press_wanted(0.6);
    clinic.until(|clinic| clinic.session.finished());
    let trials = clinic.trials();
    assert_eq!(clinic.outcomes(), [Outcome::Hit]);
    assert_eq!(trials[0].presses[0].latency_us, Some(600_000));
    assert!(trials[0].reached && trials[0].counts());
    assert!(clinic.has(&Event::Finished { complete: true }));
}

#[test]
fn a_press_after_the_target_has_gone_is_late_and_its_latency_says_by_how_much() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 1)]).begin();
    clinic.until(Clinic::on_wanted);
    let first = clinic.trials().is_empty();
    assert!(first);
    let extra =
        if clinic.session.asked() == Asked::Entry(crate::engine::tree::GroupIx(0), crate::engine::tree::EntryIx(0)) {
            1.0
        } else {
            0.0
        };
    clinic.wait(FRAME.as_seconds() + 2.0 + extra + 0.3);
    clinic.press();
    clinic.until(|clinic| clinic.session.finished());
    assert_eq!(clinic.outcomes(), [Outcome::Late]);
    assert_eq!(clinic.trials()[0].presses[0].latency_us, Some(((2.3 + extra) * 1e6) as i64));
}

#[test]
fn pressing_nothing_leads_from_every_kind_of_block_to_rest() {
    let watch = Block { seconds: 5.0, ..Block::of(BlockKind::QuietWatch) };
    let blocks = [
        Block::of(BlockKind::FirstContact),
        watch,
        block(BlockKind::Reaction, 5),
        block(BlockKind::TimedPress, 5),
        block(BlockKind::Repeat, 5),
        menu_tasks(&["lamp-on", "curtains-open"]),
        block(BlockKind::Confirm, 5),
    ];
    for technique in ["automatic", "step", "step-auto-accept", "inverse"] {
        for first in blocks.clone() {
            let kind = first.kind;
            let settings = Settings::for_technique(technique);
            let mut clinic = Clinic::with(vec![first, block(BlockKind::TimedPress, 1)], settings).begin();
            clinic.until(|clinic| clinic.title() == words::REST);
            let wrong = |outcome: &Outcome| !matches!(outcome, Outcome::Omission);
            assert!(!clinic.outcomes().iter().any(wrong), "{technique} {kind:?}");
            clinic.wait(60.0);
            assert_eq!(clinic.title(), words::REST, "{technique} {kind:?}: rest lasts");
        }
    }
}

#[test]
fn from_rest_one_press_leads_to_the_question_and_never_into_a_trial() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 5)]).begin();
    clinic.until(|clinic| clinic.title() == words::REST);
    clinic.press();
    assert!(clinic.at_question());
    let before = clinic.trials().len();
    clinic.wait(1.0);
    clinic.press();
    assert!(clinic.at_question(), "a second press does not choose before anything is lit");
    clinic.until(|clinic| clinic.title() == words::REST);
    assert_eq!(clinic.trials().len(), before, "no press at the question means rest");
    clinic.press();
    clinic.carry_on();
    assert!(clinic.has(&Event::CarriedOn));
    assert_eq!(clinic.cue(), words::TIMED);
}

#[test]
fn a_rest_asked_for_is_no_error() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 9)]).begin();
    for _ in 0..8 {
        clinic.press_wanted(0.5);
        clinic.until(|clinic| clinic.session.asked() == Asked::Nothing);
    }
    clinic.until(|clinic| clinic.at_question() && clinic.session.lit != Lit::Nothing);
    clinic.wait(0.5);
    clinic.press();
    assert!(clinic.has(&Event::Rest { why: RestReason::Asked }));
    assert_eq!(clinic.outcomes(), [Outcome::Hit; 8]);
}

#[test]
fn the_second_rest_by_a_rule_ends_the_block() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 9), block(BlockKind::TimedPress, 1)]).begin();
    for _ in 0..2 {
        clinic.until(|clinic| clinic.title() == words::REST);
        clinic.press();
        clinic.carry_on();
    }
    assert!(clinic.has(&Event::BlockEnded { block: 0, why: BlockEnd::StopRule }));
    assert!(clinic.has(&Event::BlockBegan { block: 1, kind: BlockKind::TimedPress }));
    assert_eq!(clinic.outcomes(), [Outcome::Omission; 4]);
}

#[test]
fn a_wrong_choice_says_what_happened_and_asks_again() {
    let mut clinic = Clinic::of(vec![menu_tasks(&["curtains-open"])]).begin();
    let on_lamp = |lit| matches!(lit, Lit::Entry { entry: crate::engine::tree::EntryIx(1), .. });
    clinic.until(|clinic| on_lamp(clinic.session.lit));
    clinic.wait(0.5);
    assert!(!clinic.on_wanted(), "the second tile is another one");
    clinic.press();
    assert!(clinic.cue().starts_with("That was the "), "{}", clinic.cue());
    clinic.until(|clinic| clinic.trials().len() == 1);
    clinic.press_wanted(0.5);
    clinic.until(|clinic| clinic.session.finished());
    let trials = clinic.trials();
    assert_eq!((trials[0].attempt, trials[1].attempt), (1, 2));
    assert!(!trials[0].reached && trials[1].reached);
    assert_eq!(trials[1].outcome, Outcome::Hit);
}

#[test]
fn the_home_answers_the_right_choice() {
    let mut clinic = Clinic::of(vec![menu_tasks(&["lamp-on"])]).begin();
    clinic.press_wanted(0.4);
    assert_eq!(clinic.cue(), "The lamp is on.");
    assert!(clinic.session.scene().home.iter().any(|thing| thing.changed && thing.level == 1.0));
}

#[test]
fn an_early_press_before_the_lamp_has_a_negative_latency() {
    let mut clinic = Clinic::of(vec![block(BlockKind::Reaction, 1)]).begin();
    clinic.until(|clinic| matches!(&clinic.session.phase, super::Phase::Trial(running) if matches!(running.stage, super::Stage::Waiting { .. })));
    let wait = clinic.session.deadline().unwrap().since(clinic.now);
    clinic.press();
    clinic.until(|clinic| clinic.session.finished());
    let trials = clinic.trials();
    assert_eq!(trials[0].outcome, Outcome::Early);
    assert_eq!(trials[0].presses[0].latency_us, Some(-(wait.0 as i64)));
}

#[test]
fn involuntary_presses_are_counted_while_nothing_is_asked() {
    let watch = Block { seconds: 10.0, ..Block::of(BlockKind::QuietWatch) };
    let mut clinic = Clinic::of(vec![watch]).begin();
    clinic.wait(3.0);
    clinic.press();
    clinic.wait(3.0);
    clinic.press();
    clinic.until(|clinic| clinic.session.finished());
    assert_eq!(clinic.events().filter(|event| **event == Event::Unwanted { block: 0 }).count(), 2);
}

#[test]
fn a_switch_held_too_long_pauses_and_letting_go_leads_to_rest() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 3)]).begin();
    clinic.until(|clinic| clinic.session.lit != Lit::Nothing);
    clinic.input(Input::Edge { switch: Switch(0), down: true });
    clinic.until(|clinic| clinic.title() == words::STUCK);
    assert!(clinic.has(&Event::Paused { why: PauseReason::Stuck }));
    clinic.wait(20.0);
    clinic.input(Input::Edge { switch: Switch(0), down: false });
    clinic.wait(0.1);
    assert!(clinic.has(&Event::Rest { why: RestReason::Released }));
    assert_eq!(clinic.title(), words::REST);
}

#[test]
fn a_pause_breaks_the_trial_off_and_the_same_target_comes_again() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 2)]).begin();
    clinic.until(|clinic| clinic.session.lit != Lit::Nothing);
    clinic.input(Input::Pause { why: PauseReason::FocusLost });
    clinic.press();
    clinic.input(Input::Resume);
    clinic.press_wanted(0.5);
    clinic.until(|clinic| clinic.trials().len() == 2);
    let trials = clinic.trials();
    assert_eq!(clinic.outcomes(), [Outcome::Aborted, Outcome::Hit]);
    assert_eq!(trials[0].target, trials[1].target);
}

#[test]
fn focus_that_comes_back_does_not_end_the_clinicians_pause() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 2)]).begin();
    clinic.input(Input::Pause { why: PauseReason::FocusLost });
    clinic.input(Input::Pause { why: PauseReason::Clinician });
    clinic.input(Input::Resume);
    assert_eq!(clinic.title(), words::PAUSED);
    clinic.input(Input::Next);
    assert_eq!(clinic.cue(), words::TIMED);
}

#[test]
fn frames_that_never_come_break_the_trial_off_and_then_pause() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 2)]).begin();
    let limit = clinic.now + Span::from_ms(120_000);
    while let Some(due) = clinic.session.deadline().filter(|due| *due <= limit) {
        clinic.session.advance(due, &mut clinic.records);
    }
    assert!(clinic.outcomes().iter().all(|outcome| *outcome == Outcome::Aborted));
    assert!(clinic.has(&Event::Paused { why: PauseReason::Lag }));
}

#[test]
fn a_change_of_setting_waits_for_the_next_trial() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 2)]).begin();
    clinic.until(|clinic| clinic.session.lit != Lit::Nothing);
    clinic.input(Input::Set { name: "scan_interval".to_string(), value: 1.2.into() });
    clinic.press_wanted(0.5);
    clinic.until(|clinic| clinic.trials().len() == 1);
    clinic.press_wanted(0.5);
    clinic.until(|clinic| clinic.trials().len() == 2);
    let intervals: Vec<Span> = clinic.trials().iter().map(|trial| trial.interval_us).collect();
    assert_eq!(intervals, [Span::from_ms(2_000), Span::from_ms(1_200)]);
}

#[test]
fn a_slower_block_slows_the_interval_that_would_be_in_force() {
    let slower = || Block { slower: 1.3, ..block(BlockKind::TimedPress, 1) };
    let mut clinic = Clinic::of(vec![slower(), slower(), block(BlockKind::TimedPress, 1)]).begin();
    clinic.press_wanted(0.5);
    clinic.until(Clinic::at_question);
    clinic.input(Input::Set { name: "scan_interval".to_string(), value: 1.5.into() });
    clinic.carry_on();
    clinic.press_wanted(0.5);
    clinic.until(Clinic::at_question);
    clinic.carry_on();
    clinic.press_wanted(0.5);
    clinic.until(|clinic| clinic.trials().len() == 3);
    let intervals: Vec<Span> = clinic.trials().iter().map(|trial| trial.interval_us).collect();
    // 1.3 × 2 s; 1.3 × 1.5 s = 1.95 s.
    assert_eq!(intervals, [2_600, 1_950, 1_500].map(Span::from_ms));
}

#[test]
fn a_setting_that_is_not_valid_is_told_and_changes_nothing() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 2)]).begin();
    clinic.input(Input::Set { name: "scan_interval".to_string(), value: 900.into() });
    assert!(clinic.session.scene().note.as_ref().is_some_and(|note| note.text.contains("outside the range")));
    clinic.until(|clinic| clinic.trials().len() == 1);
    assert_eq!(clinic.trials()[0].interval_us, Span::from_ms(2_000));
}

#[test]
fn two_presses_make_a_pair() {
    let mut clinic = Clinic::of(vec![block(BlockKind::Repeat, 1)]).begin();
    clinic.until(|clinic| clinic.session.asked() == Asked::Pair);
    clinic.wait(0.8);
    clinic.press();
    clinic.wait(0.2);
    clinic.press();
    clinic.until(|clinic| clinic.session.finished());
    let trials = clinic.trials();
    assert_eq!(trials[0].outcome, Outcome::Hit);
    assert_eq!(trials[0].presses[1].latency_us, Some(350_000), "from press to press");
}

#[test]
fn every_press_of_a_measuring_block_gets_the_same_small_answer() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 1)]).begin();
    clinic.until(|clinic| clinic.session.lit != Lit::Nothing);
    clinic.wait(0.1);
    clinic.press();
    assert!(clinic.session.scene().answered);
    clinic.wait(0.4);
    assert!(!clinic.session.scene().answered);
}

#[test]
fn ending_early_closes_block_and_session() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 3)]).begin();
    clinic.until(|clinic| clinic.session.lit != Lit::Nothing);
    clinic.input(Input::End);
    assert_eq!(clinic.outcomes(), [Outcome::Aborted]);
    assert!(clinic.has(&Event::BlockEnded { block: 0, why: BlockEnd::SessionEnded }));
    assert!(clinic.has(&Event::Finished { complete: false }));
    assert!(clinic.session.finished());
}

#[test]
fn the_trace_does_not_depend_on_how_often_the_session_is_polled() {
    let run = |grain: Option<u64>| {
        let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 3), menu_tasks(&["lamp-on"])]).begin();
        for second in [4.5, 9.0, 13.2, 21.0, 30.1, 41.7] {
            let until = Moment((second * 1e6) as u64);
            while let Some(grain) = grain.filter(|grain| clinic.now + Span(*grain) < until) {
                let next = clinic.now + Span(grain);
                while clinic.step(next) {}
            }
            while clinic.step(until) {}
            clinic.press();
        }
        clinic.records
    };
    assert_eq!(run(None), run(Some(7_001)));
}

#[test]
fn the_lockout_of_the_settings_is_in_force() {
    let settings = Settings::default().with(Id::Lockout, 3_000_000);
    let mut clinic = Clinic::with(vec![block(BlockKind::TimedPress, 1)], settings).begin();
    clinic.until(|clinic| clinic.session.lit != Lit::Nothing);
    clinic.wait(0.1);
    clinic.press();
    clinic.wait(0.3);
    clinic.press();
    let locked = |record: &&Record| {
        matches!(&record.what, What::Effect(Effect::NotCounted { why: crate::engine::effect::Ignored::Lockout, .. }))
    };
    assert_eq!(clinic.records.iter().filter(locked).count(), 1);
}

#[test]
fn the_pages_to_come_are_known_before_the_start_and_a_warning_stands_until_then() {
    let mut clinic = Clinic::of(vec![menu_tasks(&["lamp-on"])]);
    let tiles = |scene: &super::scene::Scene| match &scene.body {
        Body::Tiles(tiles) => tiles.tiles.len(),
        Body::Message(_) | Body::Strip(_) => 0,
    };
    assert_eq!(tiles(&clinic.session.pages_to_come()[0]), 6);
    clinic.session.warn("Too small.");
    assert!(clinic.session.scene().note.as_ref().is_some_and(|note| note.text == "Too small."));
    clinic.input(Input::Next);
    assert_eq!(clinic.session.scene().note, None);
}

#[test]
fn the_last_block_can_still_be_rated_when_the_session_is_over() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 1)]).begin();
    clinic.press_wanted(0.5);
    clinic.until(|clinic| clinic.session.finished());
    assert_eq!(clinic.session.rating_asked(), Some(super::input::Rating::Effort));
    clinic.input(Input::Rate { question: super::input::Rating::Effort, value: 4 });
    assert_eq!(clinic.session.rating_asked(), Some(super::input::Rating::Discomfort));
    clinic.input(Input::Next);
    assert_eq!(clinic.session.rating_asked(), None);
}

#[test]
fn focus_that_comes_and_goes_never_takes_the_switch_out_of_the_assessors_hands() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 1)]);
    clinic.input(Input::Pause { why: PauseReason::FocusLost });
    clinic.input(Input::Resume);
    assert_eq!(clinic.title(), words::MINE);
    assert!(!clinic.has(&Event::BlockBegan { block: 0, kind: BlockKind::TimedPress }));
}

#[test]
fn a_pause_while_the_last_consequence_is_seen_does_not_hold_up_the_session() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 1)]).begin();
    clinic.press_wanted(0.5);
    clinic.input(Input::Pause { why: PauseReason::FocusLost });
    clinic.input(Input::Resume);
    assert_eq!(clinic.outcomes(), [Outcome::Hit]);
    assert!(clinic.has(&Event::Finished { complete: true }));
}
