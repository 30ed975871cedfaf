//! Sessions worked with more than one switch.

use super::*;
use crate::engine::effect::Role;

fn given(clinic: &mut Clinic, roles: &[Role]) {
    clinic.input(Input::Switches { roles: roles.to_vec(), devices: vec!["key Space".into(); roles.len()] });
}

fn press(clinic: &mut Clinic, switch: u8) {
    clinic.input(Input::Edge { switch: Switch(switch), down: true });
    clinic.wait(0.15);
    clinic.input(Input::Edge { switch: Switch(switch), down: false });
}

fn scanning(roles: &[Role]) -> Clinic {
    let mut clinic = Clinic::of(vec![menu_tasks(&["lamp-on"])]);
    given(&mut clinic, roles);
    let mut clinic = clinic.begin();
    clinic.until(|clinic| matches!(clinic.session.asked(), Asked::Entry(..)));
    clinic
}

#[test]
fn a_call_breaks_off_says_that_nobody_comes_and_loses_no_trial() {
    let mut clinic = scanning(&[Role::Select, Role::Call]);
    press(&mut clinic, 1);
    assert_eq!(clinic.title(), words::CALLED);
    assert!(clinic.has(&Event::Paused { why: PauseReason::Call }));
    clinic.input(Input::Next);
    clinic.press_wanted(0.5);
    clinic.until(|clinic| clinic.session.finished());
    assert_eq!(clinic.outcomes(), [Outcome::Aborted, Outcome::Hit]);
}

#[test]
fn the_exit_switch_at_the_top_asks_for_rest() {
    let mut clinic = scanning(&[Role::Select, Role::Exit]);
    press(&mut clinic, 1);
    assert!(clinic.has(&Event::Rest { why: RestReason::Asked }));
    assert_eq!(clinic.title(), words::REST);
}

#[test]
fn where_any_press_is_right_every_switch_takes() {
    let mut clinic = Clinic::of(vec![block(BlockKind::Reaction, 1)]);
    given(&mut clinic, &[Role::Step, Role::Select]);
    let mut clinic = clinic.begin();
    clinic.until(|clinic| matches!(clinic.session.lit, Lit::Entry { .. }));
    clinic.wait(0.5);
    press(&mut clinic, 0);
    clinic.until(|clinic| clinic.session.finished());
    assert_eq!(clinic.outcomes(), [Outcome::Hit]);
}

#[test]
fn an_unplugged_switch_pauses_and_the_session_goes_on_by_itself() {
    let mut clinic = scanning(&[Role::Select]);
    clinic.input(Input::Pause { why: PauseReason::Unplugged });
    assert!(clinic.session.scene().note.as_ref().is_some_and(|note| note.text.contains("unplugged")));
    clinic.input(Input::Resume);
    clinic.press_wanted(0.5);
    clinic.until(|clinic| clinic.session.finished());
    assert_eq!(clinic.outcomes(), [Outcome::Aborted, Outcome::Hit]);
}
