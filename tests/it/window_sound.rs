//! Sound in the real window. The whole way of a sound switch: the room is measured, a hum presses, the microphone is
//! pulled out and comes back, and the log agrees. And the sounds of the program itself: what its log says was heard is what
//! came out of the device.

use std::time::{Duration, Instant};

use pacewright::level::Way;
use pacewright::log::replay::{Replayed, replay};
use pacewright::session::event::Event;
use pacewright::session::input::{Input, PauseReason, Sound};
use pacewright::session::record::{Record, What};
use pacewright::sound::tone;
use pacewright::store;

use super::loudspeaker::Loudspeaker;
use super::room::Room;
use super::window_rig::{ENTER, PATIENCE, Rig, SCREEN, TAP};
use super::xvfb::key;

/// Without sounds of its own: the room has a microphone and nothing that plays.
const PROTOCOL: &str = r#"{
  "format": "pacewright protocol", "version": 1, "name": "Sound", "menu": "six",
  "settings": { "select_sound": "off", "cue_sound": "off" },
  "blocks": [ { "kind": "first-contact" } ]
}"#;
const LONG: Duration = Duration::from_millis(700);

fn presses(records: &[Record]) -> usize {
    let soft = Way::ALL[2];
    let press = |record: &&Record| matches!(record.what, What::Event(Event::LevelPress { way, .. }) if way == soft);
    records.iter().filter(press).count()
}

fn there(records: &[Record], what: impl Fn(&What) -> bool) -> bool {
    records.iter().any(|record| what(&record.what))
}

/// Presses the key until the screen changes: the microphone has to be heard first.
fn turn_page_when_heard(rig: &Rig, key: u8) {
    let (before, patience) = (rig.eyes.look(), Instant::now() + PATIENCE);
    while rig.eyes.look() == before {
        assert!(Instant::now() < patience, "nothing is heard: {}", rig.said("told"));
        rig.hands.tap(key, TAP);
        std::thread::sleep(Duration::from_millis(500));
    }
}

/// The part of the screen where it says what to do.
fn asked(rig: &Rig) -> Vec<u8> {
    let row = 4 * usize::from(SCREEN.0);
    rig.eyes.look().chunks(row).skip(20).take(60).flat_map(|row| row[..2_000].to_vec()).collect()
}

/// Looks until it says something else, or has said the same for longer than any calibration does.
fn until_asked(rig: &Rig, other: bool, than: &[u8]) {
    let patience = Instant::now() + PATIENCE;
    while (asked(rig) != than) != other && Instant::now() < patience {
        std::thread::sleep(TAP);
    }
}

/// Hums when it is asked for, until the session begins: what was not heard in time, as on a machine that is busy, is asked
/// for again.
fn calibrate(rig: &Rig, room: &Room) {
    for _ in 0..4 {
        let rest = asked(rig);
        for hum in 0..3 {
            until_asked(rig, true, &rest);
            let effort = asked(rig);
            room.hum(LONG);
            if hum < 2 { until_asked(rig, false, &rest) } else { until_asked(rig, true, &effort) }
        }
        turn_page_when_heard(rig, ENTER);
        std::thread::sleep(Duration::from_secs(2));
        if rig.has_log() {
            return;
        }
    }
}

#[test]
fn a_hum_is_calibrated_pressed_lost_found_again_and_logged() {
    let folder = tempfile::tempdir().expect("a folder");
    let room = Room::new(folder.path());
    let switch = ["--sound-switch", "--switch", "microphone soft sound"];
    let mut rig = Rig::start_in(&[room.environment()], "trial", ("--protocol", PROTOCOL), &switch);
    rig.turn_page(ENTER);
    turn_page_when_heard(&rig, key::F3);
    calibrate(&rig, &room);
    // In the assessor's hands nothing is counted.
    room.hum(LONG);
    rig.until("a press", |records| presses(records) == 1);
    room.pull_out();
    let waits = |what: &What| *what == What::Event(Event::Paused { why: PauseReason::Unplugged });
    rig.until("the session waits by itself", |records| there(records, waits));
    room.plug_in();
    rig.until("it goes on by itself", |records| there(records, |what| *what == What::Input(Input::Resume)));
    std::thread::sleep(Duration::from_secs(1));
    room.hum(LONG);
    rig.until("another press", |records| presses(records) == 2);
    rig.hands.tap(key::F10, TAP);
    let records = rig.wait_for_whole_log();
    let why = |what: &What| matches!(what, What::Input(Input::Note { text }) if text.starts_with("no sound switch: "));
    assert!(there(&records, why), "the reason stands in the log");
    let (log, _) = store::read_log(&rig.log()).expect("a log");
    assert!(matches!(replay(&log, "log"), Ok(Replayed::Agrees { .. })));
}

const HEARD: &str = r#"{
  "format": "pacewright protocol", "version": 1, "name": "Heard", "menu": "six",
  "settings": { "step_sound": "on", "volume": 1, "scan_interval": 1, "cue_lead": 1 },
  "blocks": [ { "kind": "timed-press", "trials": 9, "tiles": 3 } ]
}"#;

/// What the log says was heard.
fn logged(records: &[Record]) -> Vec<Sound> {
    let sound = |record: &Record| match record.what {
        What::Input(Input::Sound { sound, .. }) => Some(sound),
        _ => None,
    };
    records.iter().filter_map(sound).collect()
}

#[test]
fn what_comes_out_of_the_device_is_what_the_log_says_was_heard() {
    let folder = tempfile::tempdir().expect("a folder");
    let (loudspeaker, (name, value)) = (Loudspeaker::new(folder.path()), Loudspeaker::environment(folder.path()));
    let switch = ["--switch", "key Space"];
    let rig = Rig::start_in(&[(name, value.as_path())], "trial", ("--protocol", HEARD), &switch);
    rig.turn_page(ENTER);
    rig.turn_page(key::F3);
    rig.until("the cue and steps are heard", |records| logged(records).len() >= 6);
    let logged = logged(&rig.end());
    assert!(logged.contains(&Sound::Step) && logged.contains(&Sound::Cue), "{logged:?}");
    let (sounds, _) = loudspeaker.heard();
    // What was still to come when the window closed may stand in one of them only.
    assert!(sounds.len().abs_diff(logged.len()) <= 1, "{sounds:?} {logged:?}");
    let whole = sounds.len().min(logged.len()) - 1;
    for ((_, sounded), sound) in sounds.iter().zip(&logged).take(whole) {
        let (hz, seconds) = tone::pitch(*sound);
        assert!((sounded.hz() / f64::from(hz) - 1.0).abs() < 0.05, "{sound:?}: {sounded:?}");
        assert!((sounded.seconds() - f64::from(seconds)).abs() < 0.01, "{sound:?}: {sounded:?}");
    }
}
