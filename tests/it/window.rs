//! The real window on a screen of its own: keys go in, pictures and records come back.

use std::process::Command;
use std::time::{Duration, Instant};

use pacewright::app::board::{self, BoardSetup};
use pacewright::engine::effect::{Effect, Lit};
use pacewright::menu;
use pacewright::session::event::Event;
use pacewright::session::input::{Input, PauseReason};
use pacewright::session::record::{Record, What};
use pacewright::session::scene::Scene;
use pacewright::session::trial::Outcome;
use pacewright::session::{Plan, Session, protocol_file};
use pacewright::settings::Settings;
use tempfile::TempDir;

use super::window_rig::{ENTER, PATIENCE, Rig, SCREEN, TAP, edges, stamps};
use super::xvfb::key;

const F9: u8 = 75;

/// What a driver may change in a channel of a pixel.
const ROUNDING: u8 = 3;

/// A protocol short enough for a test; the log reaches the disk within two seconds, so the scan is slow.
const PROTOCOL: &str = r#"{
  "format": "pacewright protocol", "version": 1, "name": "Window test", "menu": "six",
  "settings": { "scan_interval": 5, "cue_lead": 0.5, "pause_after_selection": 0.5 },
  "blocks": [
    { "kind": "timed-press", "trials": 2, "tiles": 3 },
    { "kind": "menu-tasks", "tasks": [["lamp-on"]] }
  ]
}"#;

fn trial(arguments: &[&str]) -> Rig {
    Rig::start("trial", ("--protocol", PROTOCOL), arguments)
}

/// The scene of a session on which nothing has happened yet.
fn first_scene() -> Scene {
    let read = protocol_file::read("protocol", PROTOCOL, menu::shipped::find);
    let (protocol, menu) = read.protocol.expect("it is valid");
    let settings = Settings::from_json(&protocol.settings).expect("they are valid");
    Session::new(Plan { protocol, menu, settings, seed: 1 }).scene().clone()
}

#[test]
fn a_switch_is_learned_and_its_presses_arrive_as_edges_with_rising_stamps() {
    let rig = trial(&[]);
    for page in [ENTER, key::SPACE, key::SPACE] {
        rig.turn_page(page);
    }
    for _ in 0..5 {
        rig.hands.tap(key::SPACE, TAP);
        std::thread::sleep(TAP);
    }
    let records = rig.end();
    assert_eq!(edges(&records), [true, false].repeat(5), "{records:#?}");
    let stamps = stamps(&records, |input| matches!(input, Input::Edge { .. }));
    assert!(stamps.is_sorted_by(|one, next| one < next), "{stamps:?}");
}

#[test]
fn a_key_that_is_held_repeats_on_the_keyboard_and_not_in_the_records() {
    let rig = trial(&["--switch", "Space"]);
    rig.turn_page(ENTER);
    // The server repeats a held key after 0.66 s, 25 times a second.
    rig.hands.tap(key::SPACE, Duration::from_millis(1_500));
    assert_eq!(edges(&rig.end()), [true, false]);
}

#[test]
fn the_screen_shows_what_the_board_paints() {
    let rig = trial(&["--switch", "Space"]);
    rig.turn_page(ENTER);
    let setup = BoardSetup { distance_mm: 1_000, screen_width_mm: 530, ..BoardSetup::default() };
    let painted = board::picture(&first_scene(), u32::from(SCREEN.0), u32::from(SCREEN.1), &setup);
    let patience = Instant::now() + PATIENCE;
    loop {
        let seen = rig.eyes.look();
        let same = |(seen, painted): (&[u8], &[u8])| {
            let [blue, green, red, _] = seen else { return false };
            [red, green, blue].into_iter().zip(painted).all(|(seen, painted)| seen.abs_diff(*painted) <= ROUNDING)
        };
        let wrong = seen.chunks(4).zip(painted.data().chunks(4)).filter(|pair| !same(*pair)).count();
        if wrong == 0 {
            break;
        }
        assert!(Instant::now() < patience, "{wrong} pixels differ from the board's own picture");
        std::thread::sleep(TAP);
    }
    rig.end();
}

#[test]
fn a_session_is_worked_with_one_key_and_its_log_says_what_was_done() {
    let rig = trial(&["--switch", "Space"]);
    rig.turn_page(ENTER);
    rig.turn_page(key::F3);
    work_the_session(&rig);
    // The questions about the last block are passed over.
    rig.hands.tap(key::F3, TAP);
    let records = rig.wait_for_end();
    let outcome = |record: &Record| match &record.what {
        What::Event(Event::Trial(trial)) => Some(trial.outcome),
        _ => None,
    };
    let outcomes: Vec<Outcome> = records.iter().filter_map(outcome).filter(|it| *it != Outcome::Aborted).collect();
    assert_eq!(outcomes, [Outcome::Hit; 3]);
    let lamp = |record: &Record| matches!(&record.what, What::Event(Event::Answered { text, .. }) if text == "The lamp is on.");
    assert!(records.iter().any(lamp));
}

/// Presses what is asked for, as the log tells it, until the session is over.
fn work_the_session(rig: &Rig) {
    let patience = Instant::now() + 6 * PATIENCE;
    let (mut read, mut wanted, mut lit) = (0, None, None);
    loop {
        assert!(Instant::now() < patience, "the session does not end");
        let records = rig.records();
        for record in &records[read.min(records.len())..] {
            match &record.what {
                What::Event(Event::TrialBegan { target, .. }) => {
                    // The lamp is the second item of the menu; tiles are counted from 1.
                    let tile = target.strip_prefix("tile-").and_then(|number| number.parse::<u16>().ok());
                    wanted = Some(tile.map_or(1, |number| number - 1));
                }
                What::Event(Event::Question) => wanted = Some(1),
                What::Event(Event::Finished { complete }) => return assert!(complete),
                What::Effect(Effect::Highlight { number, lit: Lit::Entry { entry, .. }, .. })
                    if wanted == Some(entry.0) =>
                {
                    lit = Some(*number);
                }
                // Nobody presses before there is something to see.
                What::Input(Input::Shown { number }) if lit.is_some_and(|lit| lit <= *number) => {
                    (wanted, lit) = (None, None);
                    rig.hands.tap(key::SPACE, TAP);
                }
                _ => {}
            }
        }
        read = records.len();
        std::thread::sleep(TAP);
    }
}

#[test]
fn every_scene_is_reported_once_when_it_is_shown_and_a_pause_and_the_end_are_inputs() {
    let rig = trial(&["--switch", "Space"]);
    rig.turn_page(ENTER);
    rig.turn_page(key::F3);
    rig.turn_page(F9);
    let records = rig.end();
    let number = |record: &Record| match record.what {
        What::Input(Input::Shown { number }) => Some(number),
        _ => None,
    };
    let shown: Vec<u64> = records.iter().filter_map(number).collect();
    assert!(shown.len() >= 2 && shown.is_sorted_by(|one, next| one < next), "{shown:?}");
    assert_eq!(stamps(&records, |input| matches!(input, Input::Pause { .. })).len(), 1);
    assert_eq!(stamps(&records, |input| *input == Input::End).len(), 1);
}

#[test]
fn losing_the_keyboard_pauses_and_the_window_takes_it_back() {
    let rig = trial(&["--switch", "Space"]);
    rig.turn_page(ENTER);
    rig.turn_page(key::F3);
    let ours = rig.eyes.focus();
    let thief = rig.eyes.steal_the_keyboard();
    let patience = Instant::now() + PATIENCE;
    while rig.eyes.focus() != ours {
        assert!(Instant::now() < patience, "the keyboard did not come back from {thief}");
        std::thread::sleep(TAP);
    }
    rig.hands.tap(key::SPACE, TAP);
    let records = rig.end();
    let lost = |input: &Input| *input == Input::Pause { why: PauseReason::FocusLost };
    assert_eq!(stamps(&records, lost).len(), 1);
    assert_eq!(stamps(&records, |input| *input == Input::Resume).len(), 1);
    assert_eq!(edges(&records), [true, false]);
}

#[test]
fn without_a_display_a_virtual_client_runs_the_demonstration() {
    let folder = TempDir::new().expect("a folder");
    let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
    command.current_dir(folder.path()).env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY");
    let ended = command.output().expect("the program starts");
    let words = String::from_utf8_lossy(&ended.stdout).into_owned();
    assert_eq!(ended.status.code(), Some(0), "{words}");
    assert!(words.contains("`DISPLAY`") && words.contains("All data are invented"), "{words}");
}

#[test]
fn without_a_display_there_is_no_trial() {
    let folder = TempDir::new().expect("a folder");
    let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
    command.args(["trial", "--client", "T1", "--data"]).arg(folder.path().join("data"));
    let ended = command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").output().expect("the program starts");
    assert_eq!(ended.status.code(), Some(2));
    let words = String::from_utf8_lossy(&ended.stderr).into_owned();
    assert!(words.contains("`DISPLAY`") && words.contains("`pacewright demo`"), "{words}");
}
