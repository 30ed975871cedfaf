//! The tile that is held until it is full, and then let go.

use super::*;

/// So long it has to be held.
const HOLD: f64 = 0.5;

fn held(settings: Settings) -> Clinic {
    let block = Block { hold: HOLD, wait: [1.0, 1.0], ..block(BlockKind::Reaction, 4) };
    let mut clinic = Clinic::with(vec![block], settings).begin();
    until_lit(&mut clinic);
    clinic
}

fn until_lit(clinic: &mut Clinic) {
    clinic.until(|clinic| matches!(clinic.session.asked(), Asked::Hold(..)) && clinic.session.lit != Lit::Nothing);
    clinic.wait(FRAME.as_seconds() + 0.4);
}

fn switch(clinic: &mut Clinic, down: bool) {
    clinic.input(Input::Edge { switch: Switch(0), down });
}

/// How far the edge of the tile is filled.
fn filled(clinic: &Clinic) -> u8 {
    let Body::Tiles(tiles) = &clinic.session.scene().body else { panic!("no tile") };
    tiles.tiles[0].filled
}

#[test]
fn it_fills_while_it_is_held_and_is_right_once_it_is_full_and_let_go() {
    let mut clinic = held(Settings::default());
    assert_eq!(clinic.cue(), words::HOLD);
    switch(&mut clinic, true);
    let mut seen = Vec::new();
    for _ in 0..7 {
        clinic.wait(HOLD / 8.0);
        seen.push(filled(&clinic));
    }
    assert_eq!(seen, [1, 2, 3, 4, 5, 6, 7]);
    clinic.wait(HOLD / 8.0);
    assert_eq!((filled(&clinic), clinic.cue().as_str()), (8, words::HOLD_FULL));
    clinic.wait(2.0);
    assert!(clinic.outcomes().is_empty(), "it waits to be let go");
    switch(&mut clinic, false);
    clinic.wait(3.0);
    assert_eq!(clinic.outcomes(), [Outcome::Hit]);
    let trial = clinic.trials()[0].clone();
    assert_eq!((trial.reached, trial.presses[0].latency_us), (true, Some(400_000)));
}

#[test]
fn let_go_too_soon_is_early_and_let_go_too_late_is_late() {
    let mut clinic = held(Settings::default());
    switch(&mut clinic, true);
    clinic.wait(0.3);
    assert!(filled(&clinic) > 0);
    switch(&mut clinic, false);
    clinic.wait(0.1);
    assert_eq!((filled(&clinic), clinic.cue().as_str()), (0, words::HOLD_SHORT));
    until_lit(&mut clinic);
    switch(&mut clinic, true);
    clinic.wait(HOLD + 5.1);
    assert_eq!(clinic.cue(), words::HOLD_LONG);
    switch(&mut clinic, false);
    clinic.wait(2.0);
    assert_eq!(clinic.outcomes(), [Outcome::Early, Outcome::Late]);
    assert!(clinic.trials().iter().all(|trial| !trial.reached && trial.presses[0].latency_us == Some(400_000)));
}

#[test]
fn a_press_that_began_before_it_lit_is_early_and_none_is_an_omission() {
    let mut clinic = held(Settings::default());
    let begun = |clinic: &Clinic| clinic.events().filter(|event| matches!(event, Event::TrialBegan { .. })).count();
    clinic.until(|clinic| begun(clinic) == 2);
    assert_eq!(clinic.outcomes(), [Outcome::Omission]);
    // Three seconds of cue and one of waiting.
    clinic.wait(3.8);
    switch(&mut clinic, true);
    clinic.wait(0.9);
    assert_eq!(clinic.cue(), words::HOLD);
    switch(&mut clinic, false);
    clinic.wait(3.0);
    assert_eq!(clinic.outcomes(), [Outcome::Omission, Outcome::Early]);
}

#[test]
fn a_press_at_the_last_moment_may_be_held_on_and_one_in_the_lockout_fills_nothing() {
    let mut clinic = held(Settings::default());
    clinic.wait(4.5);
    switch(&mut clinic, true);
    clinic.wait(HOLD + 0.1);
    assert_eq!(filled(&clinic), 8);
    switch(&mut clinic, false);
    clinic.wait(0.5);
    until_lit(&mut clinic);
    switch(&mut clinic, true);
    clinic.wait(0.2);
    switch(&mut clinic, false);
    clinic.wait(2.0);
    assert_eq!(clinic.outcomes(), [Outcome::Hit, Outcome::Early]);
}

#[test]
fn the_clients_own_longer_hold_time_takes_its_place_and_holds_for_the_tile_alone() {
    let mut clinic = held(Settings::default().with(Id::Hold, 1_000_000));
    switch(&mut clinic, true);
    clinic.wait(0.7);
    assert_eq!(filled(&clinic), 5);
    switch(&mut clinic, false);
    clinic.wait(2.0);
    assert_eq!(clinic.outcomes(), [Outcome::Early]);
    // Elsewhere a press is a press.
    let mut clinic = held(Settings::default());
    clinic.until(|clinic| clinic.title() == words::REST);
    clinic.press();
    clinic.carry_on();
}

#[test]
fn what_acts_on_release_elsewhere_fills_here_all_the_same() {
    let settings = Settings::default().with(Id::ActOn, 1).with(Id::LongPress, 2_000_000);
    let mut clinic = held(settings);
    switch(&mut clinic, true);
    clinic.wait(3.0);
    assert_eq!(filled(&clinic), 8);
    switch(&mut clinic, false);
    clinic.wait(2.0);
    assert_eq!(clinic.outcomes(), [Outcome::Hit]);
}
