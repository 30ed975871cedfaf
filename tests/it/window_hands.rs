//! The real window worked with a mouse button, the wheel, and two keys.

use std::time::Duration;

use pacewright::engine::effect::Switch;
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};

use x11rb::protocol::xproto::{BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT};

use super::window_rig::{ENTER, Rig, TAP};
use super::xvfb::key;

/// The page stands still until a switch is worked.
const STEPPED: &str = r#"{
  "format": "pacewright protocol", "version": 1, "name": "Hands", "menu": "six",
  "settings": { "technique": "step", "cue_lead": 0.5, "pause_after_selection": 0.5 },
  "blocks": [ { "kind": "timed-press", "trials": 3, "tiles": 3 } ]
}"#;
const KEY_A: u8 = 38;
const WHEEL_UP: u8 = 4;

/// A mouse button goes down and comes up; 4 and 5 turn the wheel.
fn click(rig: &Rig, button: u8, held: Duration) {
    rig.hands.fake(BUTTON_PRESS_EVENT, button, (0, 0));
    std::thread::sleep(held);
    rig.hands.fake(BUTTON_RELEASE_EVENT, button, (0, 0));
}

/// Which switch went down, in order.
fn presses(records: &[Record]) -> Vec<u8> {
    let down = |record: &Record| match record.what {
        What::Input(Input::Edge { switch: Switch(switch), down: true }) => Some(switch),
        _ => None,
    };
    records.iter().filter_map(down).collect()
}

/// Works the switches in the assessor's hands, then ends.
fn worked(switches: [&str; 2], work: impl Fn(&Rig)) -> Vec<u8> {
    let [one, other] = switches;
    let rig = Rig::start("trial", ("--protocol", STEPPED), &["--switch", one, "--switch", other]);
    rig.turn_page(ENTER);
    work(&rig);
    presses(&rig.end())
}

#[test]
fn a_mouse_button_and_the_wheel_are_two_switches() {
    let found = worked(["mouse button 1", "mouse wheel up"], |rig| {
        click(rig, 1, TAP);
        // Here the wheel is a button, which may stay down for any time.
        [Duration::ZERO, TAP].into_iter().for_each(|held| click(rig, WHEEL_UP, held));
        std::thread::sleep(TAP);
        click(rig, 3, TAP);
    });
    assert_eq!(found, [0, 1, 1], "another button is nobody's");
}

#[test]
fn two_keys_as_a_sip_and_puff_interface_sends_them_are_two_switches() {
    let found = worked(["key KeyA", "key Space"], |rig| {
        for code in [KEY_A, KEY_A, key::SPACE] {
            rig.hands.tap(code, TAP);
            std::thread::sleep(TAP);
        }
    });
    assert_eq!(found, [0, 0, 1]);
}
