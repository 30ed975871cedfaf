//! A whole visit: worked at the desk by what a screen reader would say, and at the board by injected keys.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant, UNIX_EPOCH};

use pacewright::app::desk::Desk;
use pacewright::app::desk::state::Found;
use pacewright::log::header::Header;
use pacewright::log::writer::Writer;
use pacewright::session::event::Event;
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::session::setup::Setup;
use pacewright::session::{Plan, Session, shipped as protocols};
use pacewright::settings::Settings;
use pacewright::sim::client::Client;
use pacewright::sim::profile::shipped;
use pacewright::sim::sitting;
use pacewright::store::{self, Store, instant};
use pacewright::time::Moment;

use super::desk_rig::{Beside, watch};
use super::window_rig::{ENTER, PATIENCE, TAP};
use super::xvfb::key;

/// Short enough for a test.
const PROTOCOL: &str = r#"{
  "format": "pacewright protocol", "version": 1, "name": "Desk test", "menu": "six",
  "settings": { "scan_interval": 3, "cue_lead": 0.5 },
  "blocks": [{ "kind": "timed-press", "trials": 3, "tiles": 3 }]
}"#;

/// An earlier session of the client, so that there is something to confirm: a virtual client pressed. Its header
/// does not say so, because what is invented is never judged together with what is not.
pub fn earlier(data: &Path) {
    let (protocol, menu) = protocols::find("longer-trial").expect("it is shipped");
    let settings = Settings::from_json(&protocol.settings).expect("they are valid");
    let plan = Plan { protocol, menu, settings, seed: 7 };
    let setup = Setup {
        site: "cheek".into(),
        switch: "light-touch switch".into(),
        devices: vec!["key Space".into()],
        screen_distance_mm: 900,
        screen_width_mm: 530,
        ..Setup::default()
    };
    let began = "2026-01-01T10:00:00Z".to_string();
    let header = Header { client: "K7-03".into(), began, setup, ..Header::for_plan(&plan) };
    let at = instant(UNIX_EPOCH + Duration::from_secs(1_767_261_600)).expect("a day");
    let store = Store::open(data).expect("a folder");
    let (_, file) = store.create_log(&"K7-03".parse().expect("a code"), &at).expect("a log");
    let mut writer = Writer::begin(file, &header).expect("a header");
    let mut client = Client::new(shipped::find("steady").expect("it is shipped").traits, 7);
    let mut last = Moment::START;
    let keep = |fresh: &[Record]| {
        for record in fresh {
            last = last.max(record.at);
            writer.add(record).expect("room");
        }
    };
    sitting::sit(&mut Session::new(plan), &mut client, keep).expect("it comes to an end");
    writer.end(last).expect("room");
}

/// The client's last log, as far as it is written.
pub fn newest(data: &Path) -> (Header, Vec<Record>) {
    let path = store::logs_of(data, &"K7-03".parse().expect("a code")).expect("a folder").pop().expect("a log");
    let (mut log, _) = store::read_log(&path).expect("a log");
    (log.header.take().expect("a header"), log.into_known())
}

pub fn input(record: &Record) -> Option<&Input> {
    match &record.what {
        What::Input(input) => Some(input),
        _ => None,
    }
}

#[test]
fn a_visit_from_the_new_client_to_the_report() {
    let mut beside = Beside::start(earlier);
    beside.rig.type_into("New client", "K7-03");
    beside.rig.click("Enter");
    beside.rig.click("Add a set-up");
    beside.rig.type_into("Site", "cheek");
    beside.rig.type_into("Switch", "light-touch switch");

    check_the_switch(&mut beside);
    sit_the_trial(&mut beside);
    confirm(&mut beside);

    beside.rig.click("At home");
    beside.rig.type_into("Scan rate, seconds per item", "0.5 to 5 by 0.5");
    assert!(beside.rig.says("the next slower choice"), "{}", beside.rig.words());
    beside.rig.click("Report");
    beside.until("the sessions are listed", |desk| desk.sessions("K7-03") == 4);
    let logs = store::logs_of(&beside.data(), &"K7-03".parse().expect("a code")).expect("a folder");
    assert!(logs[1..].iter().all(|log| log.with_extension("html").exists()), "the board wrote each report");
    let wrong: Vec<_> = beside.rig.desk.notices.iter().filter(|notice| notice.wrong).collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}

/// The board asks for place and switch; the verdict stands at the desk, and what was learned is kept.
fn check_the_switch(beside: &mut Beside) {
    beside.rig.click("Switch check");
    beside.open_board("Check the switch on the board", &[ENTER, ENTER, ENTER, key::SPACE, key::SPACE]);
    beside.hands.tap(key::F3, TAP);
    beside.until("the check begins", |desk| watch(desk).is_some_and(|watch| watch.begun()));
    for press in 1..=3 {
        beside.hands.tap(key::SPACE, TAP * press);
        std::thread::sleep(TAP * 3);
    }
    let three = |desk: &Desk| watch(desk).is_some_and(|watch| watch.findings().iter().any(|it| it.presses == 3));
    beside.until("three presses are seen", three);
    assert!(beside.rig.says("3 of 8 presses"), "{}", beside.rig.words());
    beside.hands.tap(key::F3, TAP);
    beside.until("the check is over", |desk| desk.running.is_none());
    assert!(beside.rig.says("The switch is: key Space"), "{}", beside.rig.words());
}

/// What is known is not asked again; what is asked for at the desk stands in the log as the clinician's input.
fn sit_the_trial(beside: &mut Beside) {
    beside.rig.click("To the trial (F3)");
    let path = beside.folder.path().join("protocol.json");
    std::fs::write(&path, PROTOCOL).expect("a file");
    beside.rig.desk.visit.as_mut().expect("a client").protocol = path.display().to_string();
    beside.open_board("Begin the trial", &[ENTER]);
    beside.hands.tap(key::F3, TAP);
    let judged = |desk: &Desk| watch(desk).is_some_and(|watch| watch.tally().values().sum::<u32>() > 0);
    beside.work(key::SPACE, "a trial is judged", judged);
    beside.rig.click("Slower (F11)");
    beside.rig.click("Looks tired");
    beside.work(key::SPACE, "all trials are judged", |desk| watch(desk).is_none_or(|watch| watch.finished()));
    let tally = watch(&beside.rig.desk).expect("it has just finished").tally();
    // The questions about the block are passed over.
    beside.hands.tap(key::F3, TAP);
    beside.until("the board is closed", |desk| desk.running.is_none());
    assert_eq!(beside.rig.desk.at, "findings");

    let (header, records) = newest(&beside.data());
    assert_eq!(header.setup.devices, ["key Space"]);
    let inputs: Vec<&Input> = records.iter().filter_map(input).collect();
    assert!(inputs.contains(&&Input::Note { text: "Looks tired".into() }), "{inputs:?}");
    assert!(inputs.contains(&&Input::Set { name: "scan_interval".into(), value: 3.1.into() }), "{inputs:?}");
    let counted = |record: &&Record| matches!(&record.what, What::Event(Event::Trial(trial)) if trial.counts());
    let counted = records.iter().filter(counted).count();
    assert_eq!(tally.values().sum::<u32>() as usize, counted, "the desk counted what the log holds");
}

/// The advised values are tried on the board, and the desk ends it.
fn confirm(beside: &mut Beside) {
    beside.until("the findings are there", found);
    beside.open_board("Run the confirm block", &[ENTER]);
    beside.hands.tap(key::F3, TAP);
    beside.until("the block begins", |desk| watch(desk).is_some_and(|watch| watch.begun()));
    beside.rig.click("End (F10)");
    beside.until("the board is closed", |desk| desk.running.is_none());
    beside.rig.click("Findings");
    beside.until("the findings are there again", found);
    let (header, records) = newest(&beside.data());
    assert_eq!((header.protocol.name.as_str(), header.setup.site.as_str()), ("Confirm", "cheek"));
    assert_ne!(header.settings.scan_interval(), Settings::default().scan_interval(), "at the advised scan rate");
    assert!(records.iter().filter_map(input).any(|input| *input == Input::End));
}

fn found(desk: &Desk) -> bool {
    desk.visit.as_ref().is_some_and(|visit| matches!(visit.found, Found::Here(..)))
}

pub fn begin_a_trial(beside: &mut Beside) {
    beside.rig.type_into("New client", "K7-03");
    beside.rig.click("Enter");
    beside.rig.click("Add a set-up");
    beside.rig.click("Trial");
    beside.open_board("Begin the trial", &[ENTER, ENTER, ENTER, key::SPACE, key::SPACE]);
    beside.hands.tap(key::F3, TAP);
    beside.until("a block begins", |desk| watch(desk).is_some_and(|watch| watch.begun()));
}

/// Ends the process that holds the folder's lock, as a crash would.
fn kill_the_board(data: &Path) {
    let holder = std::fs::read_to_string(data.join("pacewright.lock")).expect("a lock");
    let killed = Command::new("kill").args(["-9", holder.trim()]).status().expect("`kill` is there");
    assert!(killed.success());
}

#[test]
fn a_board_that_is_killed_is_told_and_gone_on_with() {
    let mut beside = Beside::start(|_| {});
    begin_a_trial(&mut beside);
    kill_the_board(&beside.data());
    beside.until("the desk knows", |desk| desk.broken_off.is_some());
    assert!(beside.rig.says("the board ended before its time"), "{}", beside.rig.words());
    beside.open_board("Go on with it", &[ENTER]);
    beside.rig.click("End (F10)");
    beside.until("the board is closed", |desk| desk.running.is_none());
    let (header, records) = newest(&beside.data());
    assert!(header.continues.is_some());
    assert!(records.iter().any(|record| matches!(record.what, What::Event(Event::Finished { .. }))));
}

#[test]
fn a_trial_goes_on_when_the_desk_is_closed() {
    let mut beside = Beside::start(|_| {});
    begin_a_trial(&mut beside);
    beside.close_desk();
    beside.hands.tap(key::SPACE, TAP);
    std::thread::sleep(TAP * 5);
    beside.hands.tap(key::F10, TAP);
    let patience = Instant::now() + PATIENCE;
    let ended = |data: &Path| newest(data).1.iter().filter_map(input).any(|input| *input == Input::End);
    while !ended(&beside.data()) {
        assert!(Instant::now() < patience, "the log has no end");
        std::thread::sleep(TAP);
    }
    let (_, records) = newest(&beside.data());
    let edges = records.iter().filter_map(input).filter(|input| matches!(input, Input::Edge { .. })).count();
    assert!(edges >= 2, "the press behind the desk's end is in the log");
}
