//! Sessions that the client works alone, by the switch.

use super::*;
use crate::session::offer::Offer;

/// Behind the carer's word: the client is asked whether to start.
fn alone(blocks: Vec<Block>) -> Clinic {
    let mut clinic = Clinic::of(blocks).alone();
    clinic.wait(5.0);
    clinic.input(Input::Next);
    clinic
}

fn chosen(offer: Offer) -> Event {
    Event::Chosen { offer }
}

#[test]
fn the_client_starts_and_whoever_does_nothing_comes_to_rest() {
    let mut clinic = alone(vec![block(BlockKind::TimedPress, 3)]);
    assert_eq!(clinic.offers(), ["Rest", "Start", "End"]);
    clinic.until(|clinic| clinic.has(&Event::Rest { why: RestReason::NoPress }));
    assert_eq!(clinic.trials().len(), 0);
    clinic.press();
    assert_eq!(clinic.offers(), ["Rest", "Start", "Bell, no call", "End"]);
    clinic.choose("Start");
    clinic.until(|clinic| !clinic.trials().is_empty());
}

#[test]
fn nothing_begins_when_the_client_ends_at_once() {
    let mut clinic = alone(vec![block(BlockKind::TimedPress, 3)]);
    clinic.end();
    assert!(clinic.has(&Event::Finished { complete: false }) && clinic.trials().is_empty());
}

#[test]
fn an_end_that_was_not_meant_leads_to_rest_and_back() {
    let mut clinic = alone(vec![block(BlockKind::TimedPress, 3)]);
    clinic.choose("End");
    assert_eq!(clinic.cue(), words::QUESTION_END);
    clinic.until(|clinic| clinic.has(&Event::Rest { why: RestReason::NoPress }));
    clinic.press();
    clinic.choose("Start");
    clinic.until(|clinic| !clinic.trials().is_empty());
}

#[test]
fn a_press_leaves_any_pause_for_the_question() {
    for why in [PauseReason::Clinician, PauseReason::Lag, PauseReason::Unplugged, PauseReason::FocusLost] {
        let mut clinic = alone(vec![block(BlockKind::TimedPress, 3)]);
        clinic.choose("Start");
        clinic.wait(1.0);
        clinic.input(Input::Pause { why });
        assert!(clinic.session.is_paused());
        clinic.wait(1.0);
        clinic.press();
        assert_eq!(clinic.offers(), ["Rest", "Carry on", "Bell, no call", "End"], "{why:?}");
    }
}

#[test]
fn the_bell_says_that_nobody_is_called_and_leads_to_rest() {
    let mut clinic = alone(vec![block(BlockKind::TimedPress, 3)]);
    clinic.choose("Rest");
    clinic.press();
    clinic.choose("Bell, no call");
    assert!(clinic.has(&chosen(Offer::Bell)) && clinic.cue().contains("Nobody has been called"));
    clinic.until(|clinic| clinic.title() == words::REST);
    clinic.press();
    clinic.end();
    assert!(clinic.session.finished());
}

#[test]
fn what_comes_next_is_chosen_and_ends_the_session() {
    let mut clinic = alone(vec![block(BlockKind::TimedPress, 3)]);
    clinic.choose("Start");
    clinic.wait(1.0);
    clinic.input(Input::Offer { offers: vec![Offer::Rest, Offer::Easier, Offer::End] });
    clinic.choose("Rest");
    clinic.press();
    assert_eq!(clinic.offers(), ["Rest", "Easier", "Bell, no call", "End"]);
    clinic.choose("Easier");
    assert!(clinic.session.finished() && clinic.has(&chosen(Offer::Easier)));
    assert_eq!(clinic.outcomes(), [Outcome::Aborted]);
}

#[test]
fn every_press_of_first_contact_works_the_home_and_none_the_alarm_call() {
    let mut clinic = alone(vec![Block::of(BlockKind::FirstContact)]);
    clinic.choose("Start");
    for _ in 0..12 {
        clinic.wait(2.0);
        clinic.press();
        let home = &clinic.session.scene().home;
        assert_eq!(home.iter().filter(|thing| thing.changed).count(), 1, "{home:?}");
    }
    let answers: Vec<&str> = clinic
        .events()
        .filter_map(|event| if let Event::Answered { item, .. } = event { Some(item.as_str()) } else { None })
        .collect();
    assert!(answers.len() == 12 && !answers.contains(&"alarm-call"), "{answers:?}");
}

#[test]
fn with_a_clinician_at_the_bed_nothing_of_this_is_offered() {
    let mut clinic = Clinic::of(vec![block(BlockKind::TimedPress, 3)]).begin();
    clinic.until(|clinic| !clinic.trials().is_empty());
    clinic.input(Input::Pause { why: PauseReason::Clinician });
    clinic.press();
    assert!(clinic.session.is_paused());
}

#[test]
fn a_question_that_the_screen_cannot_keep_up_with_pauses_instead_of_being_asked_for_ever() {
    let mut clinic = alone(vec![block(BlockKind::TimedPress, 2)]);
    let limit = clinic.now + Span::from_ms(120_000);
    while let Some(due) = clinic.session.deadline().filter(|due| *due <= limit) {
        clinic.now = due;
        clinic.session.advance(due, &mut clinic.records);
        clinic.session.input(due, Input::Stalled, &mut clinic.records);
    }
    assert!(clinic.has(&Event::Paused { why: PauseReason::Lag }));
    let asked = clinic.events().filter(|event| **event == Event::Question).count();
    assert_eq!(asked, 3);
    clinic.press();
    assert_eq!(clinic.offers(), ["Rest", "Start", "Bell, no call", "End"], "a press goes on");
}
