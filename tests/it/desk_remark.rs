//! A remark typed at the desk beside the real board: the board leaves the keyboard there until somebody goes on.

use std::time::{Duration, Instant};

use egui::{Event, Key, Modifiers};
use pacewright::app::desk::Desk;
use pacewright::app::desk::remark::Keyboard;
use pacewright::desk::watch::Watch;
use pacewright::session::input::Input;

use super::desk_rig::{Beside, watch};
use super::desk_visit::{begin_a_trial, input, newest};
use super::window_rig::{PATIENCE, TAP};
use super::xvfb::key;

/// The board tries within this time to have the keyboard back.
const TRIES: Duration = Duration::from_secs(2);

#[test]
fn the_board_leaves_the_keyboard_while_a_remark_is_written_and_takes_it_to_go_on() {
    let mut beside = Beside::start(|_| {});
    begin_a_trial(&mut beside);
    beside.rig.click("Other words (pauses) …");
    beside.until("the board waits", Desk::takes_remark);
    assert_eq!(beside.rig.desk.keyboard(), Keyboard::Desk);
    // As the desk's window does.
    let desk = beside.eyes.steal_the_keyboard();
    std::thread::sleep(TRIES);
    assert_eq!(beside.eyes.focus(), desk, "the board has taken the keyboard from whoever writes");
    beside.rig.frame(vec![Event::Text("pale, lips dry".into())]);
    beside.rig.key(Key::F3, Modifiers::NONE);
    beside.until("it goes on", |desk| watch(desk).and_then(Watch::session).is_some_and(|it| !it.is_paused()));
    assert_ne!(beside.eyes.focus(), desk, "the switch reaches the board again");
    beside.rig.click("End (F10)");
    beside.until("the board is closed", |desk| desk.running.is_none());
    let (_, records) = newest(&beside.data());
    let noted = Input::Note { text: "pale, lips dry".into() };
    assert!(records.iter().filter_map(input).any(|input| *input == noted), "the remark is in the log");
}

#[test]
fn a_board_whose_desk_is_closed_takes_the_keyboard_back() {
    let mut beside = Beside::start(|_| {});
    begin_a_trial(&mut beside);
    beside.rig.click("Other words (pauses) …");
    beside.until("the board waits", Desk::takes_remark);
    let desk = beside.eyes.steal_the_keyboard();
    beside.close_desk();
    let patience = Instant::now() + PATIENCE;
    while beside.eyes.focus() == desk {
        assert!(Instant::now() < patience, "no key reaches the board");
        std::thread::sleep(TAP);
    }
    beside.hands.tap(key::F10, TAP);
}
