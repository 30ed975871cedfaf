//! The whole way of a breath in the real window, with the emulator: calibration, presses, a log that agrees.

use std::time::{Duration, Instant};

use pacewright::level::Way;
use pacewright::log::replay::{Replayed, replay};
use pacewright::session::event::Event;
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::store;

use super::window_rig::{ENTER, Rig, TAP};
use super::xvfb::key;

const PROTOCOL: &str = r#"{
  "format": "pacewright protocol", "version": 1, "name": "Breath", "menu": "six",
  "blocks": [ { "kind": "first-contact" } ]
}"#;
/// The arrow keys that are held for a puff.
const HARD: u8 = 111;
pub const SOFT: u8 = 114;
/// A calibration of one side.
const CALIBRATES: Duration = Duration::from_secs(33);

/// The presses that were told.
fn ways(records: &[Record]) -> Vec<Way> {
    let way = |record: &Record| match record.what {
        What::Event(Event::LevelPress { way, .. }) => Some(way),
        _ => None,
    };
    records.iter().filter_map(way).collect()
}

/// From the page before a calibration of one side to the session behind it.
pub fn calibrate(rig: &Rig) {
    rig.turn_page(key::F3);
    let begun = Instant::now();
    // A comfortable effort in each ten seconds, the first after 8 s of rest.
    for effort in 0..3 {
        let at = Duration::from_millis(9_000 + 10_000 * effort);
        std::thread::sleep(at.saturating_sub(begun.elapsed()));
        rig.hands.tap(HARD, Duration::from_millis(800));
    }
    std::thread::sleep(CALIBRATES.saturating_sub(begun.elapsed()));
    // Until the calibration is over the key does nothing.
    while !rig.folder.path().join("data").read_dir().is_ok_and(|mut data| {
        data.any(|file| file.is_ok_and(|file| file.path().extension().is_some_and(|it| it == "jsonl")))
    }) {
        assert!(begun.elapsed() < 2 * CALIBRATES, "the calibration never ended");
        rig.hands.tap(ENTER, TAP);
        std::thread::sleep(Duration::from_millis(500));
    }
}

#[test]
fn an_emulated_breath_is_calibrated_pressed_logged_and_marked() {
    let switches = ["--breath", "emulated", "--roles", "select,call", "--switch", "emulated breath soft puff"];
    let more = ["--switch", "emulated breath hard puff"];
    let mut rig = Rig::start("trial", ("--protocol", PROTOCOL), &[&switches[..], &more[..]].concat());
    rig.turn_page(ENTER);
    calibrate(&rig);
    // In the assessor's hands nothing is counted, so that the call leads nowhere.
    for puff in [SOFT, HARD, SOFT] {
        rig.hands.tap(puff, Duration::from_millis(600));
        std::thread::sleep(Duration::from_millis(900));
    }
    rig.hands.tap(key::F10, TAP);
    let records = rig.wait_for_whole_log();
    let [soft, hard] = [Way::ALL[2], Way::ALL[3]];
    assert_eq!(ways(&records), [soft, hard, soft]);
    let calibrated =
        records.iter().any(|record| matches!(&record.what, What::Input(Input::Calibrated(source)) if source.emulated));
    assert!(calibrated);
    let (log, _) = store::read_log(&rig.log()).expect("a log");
    assert!(matches!(replay(&log, "log"), Ok(Replayed::Agrees { .. })));
    let report = std::fs::read_to_string(rig.log().with_extension("html")).expect("a report");
    assert!(report.contains("Emulated breath"));
}
