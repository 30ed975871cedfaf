//! The real window worked by a pointer that rests: it takes a tile, takes nothing more until it has left, and nothing
//! while it is on another window.

use std::time::{Duration, Instant};

use pacewright::engine::effect::Effect;
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::time::Span;

use x11rb::protocol::xproto::MOTION_NOTIFY_EVENT;

use super::window_rig::{ENTER, PATIENCE, Rig, SCREEN};
use super::xvfb::key;

/// A dwell time that is soon over.
const DWELL: Span = Span::from_ms(600);
/// The middle of the middle tile, and a place above the tiles.
const ON: (i16, i16) = (SCREEN.0 as i16 / 2, SCREEN.1 as i16 * 6 / 10);
const ABOVE: (i16, i16) = (SCREEN.0 as i16 / 2, 3);
/// On a window of somebody else's, where there is one: to the board it is gone, as on another monitor.
const OFF: (i16, i16) = (5, 5);

/// Three tiles, one of which is to be taken, with this dwell time.
fn protocol(dwell: Span) -> String {
    format!(
        r#"{{
  "format": "pacewright protocol", "version": 1, "name": "Pointer", "menu": "six",
  "settings": {{ "technique": "dwell", "dwell": {}, "cue_lead": 0.5, "pause_after_selection": 0.5 }},
  "blocks": [ {{ "kind": "timed-press", "trials": 9, "tiles": 3 }} ]
}}"#,
        dwell.as_seconds()
    )
}

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
    let rig = Rig::start("trial", ("--protocol", &protocol(DWELL)), &[]);
    let point = |place| rig.hands.fake(MOTION_NOTIFY_EVENT, 0, place);
    point(ABOVE);
    rig.turn_page(ENTER);
    rig.turn_page(key::F3);
    point(ON);
    rig.until("the first tile is taken", |records| taken(records).len() == 1);
    // It lies where it lies through the next trial, until that is given up for want of a choice or the client looks away.
    rig.until("the next trial", |records| trials(records) >= 2);
    std::thread::sleep(Duration::from_secs(3));
    let lying = taken(&rig.records()).len();
    point(ABOVE);
    std::thread::sleep(Duration::from_millis(500));
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

/// A dwell time within which any machine shows that the tile is lit.
const LONG_DWELL: Span = Span::from_ms(4_000);

/// What the middle tile looks like.
fn tile(rig: &Rig) -> Vec<u8> {
    let (row, from) = (4 * usize::from(SCREEN.0), 4 * (ON.0 as usize - 150));
    let look = rig.eyes.look();
    look.chunks(row).skip(ON.1 as usize - 80).take(160).flat_map(|row| row[from..from + 1_200].to_vec()).collect()
}

/// Looks until the tile looks like this (`same`) or no longer does.
fn until_tile(rig: &Rig, same: bool, look: &[u8]) {
    let patience = Instant::now() + PATIENCE;
    while (tile(rig) == look) != same {
        assert!(Instant::now() < patience, "the tile never looked as it should");
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn a_pointer_that_leaves_the_board_takes_nothing_and_is_told_until_it_is_back() {
    let rig = Rig::start("trial", ("--protocol", &protocol(LONG_DWELL)), &[]);
    let point = |place| rig.hands.fake(MOTION_NOTIFY_EVENT, 0, place);
    rig.eyes.open_window(10);
    point(ABOVE);
    rig.turn_page(ENTER);
    rig.turn_page(key::F3);
    rig.until("a trial", |records| trials(records) >= 1);
    std::thread::sleep(Duration::from_secs(1));
    let dark = tile(&rig);
    point(ON);
    until_tile(&rig, false, &dark);
    point(OFF);
    // The edge of the tile fills no more, and the light goes out: the person sees that nothing will be taken.
    until_tile(&rig, true, &dark);
    let told =
        |what: &What| matches!(what, What::Input(Input::Note { text }) if text.starts_with("The pointer is not"));
    rig.until("it is told", |records| records.iter().any(|record| told(&record.what)));
    std::thread::sleep(Duration::from_secs(3));
    let before = taken(&rig.records()).len();
    point(ON);
    rig.until("the tile is taken", |records| !taken(records).is_empty());
    let records = rig.end();
    assert_eq!(before, 0, "nothing was taken without the pointer");
    let stay = |place: &usize| match records[*place].what {
        What::Effect(Effect::Rested { since, until, .. }) => until.since(since),
        _ => Span(0),
    };
    assert!(taken(&records).iter().all(|place| stay(place) >= LONG_DWELL), "a stay begins anew");
    let left = |record: &&Record| record.what == What::Input(Input::PointerLeft);
    assert_eq!(records.iter().filter(left).count(), 1, "it left once");
}
