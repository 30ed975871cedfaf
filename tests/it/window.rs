//! The real window on a screen of its own: keys go in, pictures and records come back.

use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use pacewright::app::board::{self, BoardSetup};
use pacewright::engine::effect::{Effect, Lit};
use pacewright::session::event::Event;
use pacewright::session::input::{Input, PauseReason};
use pacewright::session::record::{Record, What};
use pacewright::session::scene::Scene;
use pacewright::session::trial::Outcome;
use pacewright::session::{Plan, Session, protocol_file};
use pacewright::settings::Settings;
use pacewright::time::Moment;
use pacewright::{menu, store};
use tempfile::TempDir;
use x11rb::connection::Connection;
use x11rb::protocol::xproto::{ConnectionExt as _, CreateWindowAux, ImageFormat, InputFocus, WindowClass};
use x11rb::rust_connection::RustConnection;

use super::xvfb::{Hands, Xvfb, key};

const ENTER: u8 = 36;
const F9: u8 = 75;
/// Longer than any machine takes to answer a key.
const PATIENCE: Duration = Duration::from_secs(20);
const TAP: Duration = Duration::from_millis(40);

/// The screen, in pixels: the window fills it.
const SCREEN: (u16, u16) = (1280, 720);
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

/// The program in its window on a screen of its own.
struct Rig {
    program: Child,
    hands: Hands,
    eyes: Eyes,
    folder: TempDir,
    _xvfb: Xvfb,
}

/// Somebody who looks at the screen.
struct Eyes {
    connection: RustConnection,
    screen: usize,
}

impl Eyes {
    /// The whole screen, four bytes a pixel (blue, green, red, unused).
    fn look(&self) -> Vec<u8> {
        let screen = &self.connection.setup().roots[self.screen];
        let (width, height) = (screen.width_in_pixels, screen.height_in_pixels);
        let asked = self.connection.get_image(ImageFormat::Z_PIXMAP, screen.root, 0, 0, width, height, !0);
        asked.expect("the display is there").reply().expect("the display shows its screen").data
    }

    /// Which window has the keyboard.
    fn focus(&self) -> u32 {
        let asked = self.connection.get_input_focus();
        asked.expect("the display is there").reply().expect("some window has it").focus
    }

    /// Opens a window of one pixel and gives it the keyboard.
    fn steal_the_keyboard(&self) -> u32 {
        let root = self.connection.setup().roots[self.screen].root;
        let window = self.connection.generate_id().expect("ids are left");
        let like_root = CreateWindowAux::new().override_redirect(1);
        let class = WindowClass::COPY_FROM_PARENT;
        let created = self.connection.create_window(0, window, root, 0, 0, 1, 1, 0, class, 0, &like_root);
        created.expect("the display is there").check().expect("a window");
        self.connection.map_window(window).expect("the display is there").check().expect("a window to be seen");
        let asked = self.connection.set_input_focus(InputFocus::PARENT, window, x11rb::CURRENT_TIME);
        asked.expect("the display is there").check().expect("the keyboard");
        window
    }

    /// Waits until the screen looks different from `before`, and gives the new look.
    fn until_changed(&self, before: &[u8], what: &str) -> Vec<u8> {
        let patience = Instant::now() + PATIENCE;
        while Instant::now() < patience {
            let now = self.look();
            if now != before {
                return now;
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        panic!("the screen did not change after {what}");
    }
}

impl Rig {
    fn start(arguments: &[&str]) -> Rig {
        let xvfb = Xvfb::start(SCREEN.0, SCREEN.1).unwrap_or_else(|words| panic!("{words}"));
        let (connection, screen) = x11rb::connect(Some(&xvfb.display)).expect("the display answers");
        let (hands, eyes) = (Hands::at(&xvfb.display), Eyes { connection, screen });
        let empty = eyes.look();
        let folder = TempDir::new().expect("a folder");
        let protocol = folder.path().join("protocol.json");
        std::fs::write(&protocol, PROTOCOL).expect("a protocol");
        let program = Command::new(env!("CARGO_BIN_EXE_pacewright"))
            .args(["trial", "--client", "T1", "--seed", "1", "--distance", "1000", "--screen-width", "530"])
            .arg("--protocol")
            .arg(&protocol)
            .arg("--data")
            .arg(folder.path().join("data"))
            .args(arguments)
            .env("DISPLAY", &xvfb.display)
            .env_remove("WAYLAND_DISPLAY")
            .stdout(Stdio::null())
            .spawn()
            .expect("the program starts");
        let mut rig = Rig { program, hands, eyes, folder, _xvfb: xvfb };
        rig.wait_for_window(&empty);
        rig
    }

    /// The log, once it is there.
    fn log(&self) -> PathBuf {
        let patience = Instant::now() + PATIENCE;
        while Instant::now() < patience {
            let files = std::fs::read_dir(self.folder.path().join("data")).into_iter().flatten().flatten();
            let mut logs =
                files.map(|file| file.path()).filter(|path| path.extension().is_some_and(|it| it == "jsonl"));
            if let Some(log) = logs.next() {
                return log;
            }
            std::thread::sleep(TAP);
        }
        panic!("there is no log");
    }

    /// The records that have reached the disk; a line that is still being written is left out.
    fn records(&self) -> Vec<Record> {
        let (log, _) = store::read_log(&self.log()).expect("a log");
        log.known().cloned().collect()
    }

    fn wait_for_window(&mut self, empty: &[u8]) {
        self.eyes.until_changed(empty, "the start; is a Vulkan driver there? `sh .ci/setup` installs one");
    }

    /// Taps a key and waits for the page that it leads to.
    fn turn_page(&self, key: u8) {
        let before = self.eyes.look();
        self.hands.tap(key, TAP);
        self.eyes.until_changed(&before, &format!("key {key}"));
    }

    /// Ends the session and gives its records.
    fn end(self) -> Vec<Record> {
        self.hands.tap(key::F10, TAP);
        self.wait_for_end()
    }

    fn wait_for_end(mut self) -> Vec<Record> {
        assert!(self.program.wait().expect("the program ends").success());
        let (log, problems) = store::read_log(&self.log()).expect("a log");
        assert_eq!(problems, [], "the log is whole");
        assert!(log.end.is_some(), "it has its end record");
        assert!(self.log().with_extension("html").exists(), "the report stands beside it");
        log.known().cloned().collect()
    }
}

impl Drop for Rig {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

/// The stamps of the inputs that `wanted` picks.
fn stamps(records: &[Record], wanted: impl Fn(&Input) -> bool) -> Vec<Moment> {
    let picked = |record: &&Record| matches!(&record.what, What::Input(input) if wanted(input));
    records.iter().filter(picked).map(|record| record.at).collect()
}

fn edges(records: &[Record]) -> Vec<bool> {
    let down = |record: &Record| match record.what {
        What::Input(Input::Edge { down, .. }) => Some(down),
        _ => None,
    };
    records.iter().filter_map(down).collect()
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
    let rig = Rig::start(&[]);
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
    let rig = Rig::start(&["--switch", "Space"]);
    rig.turn_page(ENTER);
    // The server repeats a held key after 0.66 s, 25 times a second.
    rig.hands.tap(key::SPACE, Duration::from_millis(1_500));
    assert_eq!(edges(&rig.end()), [true, false]);
}

#[test]
fn the_screen_shows_what_the_board_paints() {
    let rig = Rig::start(&["--switch", "Space"]);
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
    let rig = Rig::start(&["--switch", "Space"]);
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
    let rig = Rig::start(&["--switch", "Space"]);
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
    let rig = Rig::start(&["--switch", "Space"]);
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
