//! The real window worked by a pointer that rests: it takes a tile, and takes nothing more until it has left.

use pacewright::engine::effect::Effect;
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::time::Span;

use x11rb::protocol::xproto::MOTION_NOTIFY_EVENT;

use super::window_rig::{ENTER, Rig, SCREEN};
use super::xvfb::key;

const DWELL: Span = Span::from_ms(600);
const PROTOCOL: &str = r#"{
  "format": "pacewright protocol", "version": 1, "name": "Pointer", "menu": "six",
  "settings": { "technique": "dwell", "dwell": 0.6, "cue_lead": 0.5, "pause_after_selection": 0.5 },
  "blocks": [ { "kind": "timed-press", "trials": 9, "tiles": 3 } ]
}"#;
/// The middle of the middle tile, and a place above the tiles.
const ON: (i16, i16) = (SCREEN.0 as i16 / 2, SCREEN.1 as i16 * 6 / 10);
const ABOVE: (i16, i16) = (SCREEN.0 as i16 / 2, 3);

/// The stays that took a tile, as the places of their records.
fn taken(records: &[Record]) -> Vec<usize> {
    let takes = |record: &Record| matches!(record.what, What::Effect(Effect::Rested { taken: true, .. }));
    (0..records.len()).filter(|place| takes(&records[*place])).collect()
}

fn trials(records: &[Record]) -> usize {
    use pacewright::session::event::Event;
    records.iter().filter(|record| matches!(record.what, What::Event(Event::TrialBegan { .. }))).count()
}

#[test]
fn a_pointer_that_rests_takes_a_tile_and_the_next_one_only_after_it_has_left() {
    let rig = Rig::start("trial", ("--protocol", PROTOCOL), &[]);
    let point = |place| rig.hands.fake(MOTION_NOTIFY_EVENT, 0, place);
    point(ABOVE);
    rig.turn_page(ENTER);
    rig.turn_page(key::F3);
    point(ON);
    rig.until("the first tile is taken", |records| taken(records).len() == 1);
    // It lies where it lies through the next trial, until that is given up for want of a choice or the client looks away.
    rig.until("the next trial", |records| trials(records) >= 2);
    std::thread::sleep(std::time::Duration::from_secs(3));
    let lying = taken(&rig.records()).len();
    point(ABOVE);
    std::thread::sleep(std::time::Duration::from_millis(500));
    point(ON);
    rig.until("another tile is taken", |records| taken(records).len() >= 2);
    let records = rig.end();
    assert_eq!(lying, 1, "a pointer that only lies there takes nothing more");
    let (first, second) = (taken(&records)[0], taken(&records)[1]);
    let left = |record: &Record| matches!(record.what, What::Input(Input::PointerLeft | Input::Pointer { .. }));
    assert!(records[first..second].iter().filter(|record| left(record)).count() >= 2, "it left and came back");
    for place in [first, second] {
        let What::Effect(Effect::Rested { since, until, .. }) = records[place].what else { panic!("no stay") };
        assert!(until.since(since) >= DWELL, "{since:?} {until:?}");
    }
}
