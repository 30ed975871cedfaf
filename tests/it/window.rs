//! The real window on a screen of its own: keys go in, pictures and records come back.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;
use x11rb::connection::Connection;
use x11rb::protocol::xproto::{ConnectionExt as _, CreateWindowAux, ImageFormat, InputFocus, WindowClass};
use x11rb::rust_connection::RustConnection;

use super::xvfb::{Hands, Xvfb, key};

const ENTER: u8 = 36;
const F9: u8 = 75;
/// Longer than any machine takes to answer a key.
const PATIENCE: Duration = Duration::from_secs(20);
const TAP: Duration = Duration::from_millis(40);

/// The program in its window on a screen of its own.
struct Rig {
    program: Child,
    hands: Hands,
    eyes: Eyes,
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
        let xvfb = Xvfb::start(1280, 720).unwrap_or_else(|words| panic!("{words}"));
        let (connection, screen) = x11rb::connect(Some(&xvfb.display)).expect("the display answers");
        let (hands, eyes) = (Hands::at(&xvfb.display), Eyes { connection, screen });
        let empty = eyes.look();
        let program = Command::new(env!("CARGO_BIN_EXE_pacewright"))
            .args(arguments)
            .env("DISPLAY", &xvfb.display)
            .env_remove("WAYLAND_DISPLAY")
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut rig = Rig { program, hands, eyes, _xvfb: xvfb };
        rig.wait_for_window(&empty);
        rig
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
    fn end(mut self) -> Vec<Value> {
        self.hands.tap(key::F10, TAP);
        let out = BufReader::new(self.program.stdout.take().expect("it is piped"));
        let records = out.lines().map(|line| serde_json::from_str(&line.expect("text")).expect("JSON")).collect();
        assert!(self.program.wait().expect("the program ends").success());
        records
    }
}

impl Drop for Rig {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

fn inputs<'a>(records: &'a [Value], kind: &str) -> Vec<&'a Value> {
    records.iter().filter(|record| record["what"]["in"] == kind).collect()
}

fn stamps(records: &[&Value]) -> Vec<u64> {
    records.iter().map(|record| record["at"].as_u64().expect("microseconds")).collect()
}

#[test]
fn a_switch_is_learned_and_its_presses_arrive_as_edges_with_rising_stamps() {
    let rig = Rig::start(&[]);
    for page in [ENTER, ENTER, ENTER, key::SPACE, key::SPACE] {
        rig.turn_page(page);
    }
    for _ in 0..5 {
        rig.hands.tap(key::SPACE, TAP);
        std::thread::sleep(TAP);
    }
    let records = rig.end();
    let edges = inputs(&records, "edge");
    let downs: Vec<bool> = edges.iter().map(|edge| edge["what"]["down"] == true).collect();
    assert_eq!(downs, [true, false].repeat(5), "{records:#?}");
    assert!(stamps(&edges).is_sorted_by(|one, next| one < next), "{edges:#?}");
}

#[test]
fn a_key_that_is_held_repeats_on_the_keyboard_and_not_in_the_records() {
    let rig = Rig::start(&["--switch", "Space"]);
    rig.turn_page(key::F3);
    // The server repeats a held key after 0.66 s, 25 times a second.
    rig.hands.tap(key::SPACE, Duration::from_millis(1_500));
    let records = rig.end();
    let edges = inputs(&records, "edge");
    assert_eq!(edges.len(), 2, "{edges:#?}");
}

#[test]
fn every_scene_is_reported_once_when_it_is_shown_and_a_pause_and_the_end_are_inputs() {
    let rig = Rig::start(&["--switch", "Space"]);
    rig.turn_page(key::F3);
    rig.hands.tap(F9, TAP);
    let seen = rig.eyes.look();
    rig.eyes.until_changed(&seen, "a step");
    let records = rig.end();
    let shown: Vec<u64> =
        inputs(&records, "shown").iter().map(|record| record["what"]["number"].as_u64().expect("a number")).collect();
    assert!(shown.len() >= 2 && shown.is_sorted_by(|one, next| one < next), "{shown:?}");
    assert_eq!(inputs(&records, "pause").len(), 1);
    assert_eq!(records.last().expect("records")["what"]["in"], "end");
}

#[test]
fn losing_the_keyboard_pauses_and_the_window_takes_it_back() {
    let rig = Rig::start(&["--switch", "Space"]);
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
    let kinds: Vec<&str> = records.iter().filter_map(|record| record["what"]["in"].as_str()).collect();
    let kinds: Vec<&str> = kinds.into_iter().filter(|kind| *kind != "shown").collect();
    assert_eq!(kinds, ["pause", "resume", "edge", "edge", "end"]);
    assert_eq!(inputs(&records, "pause")[0]["what"]["why"], "focus-lost");
}

#[test]
fn without_a_display_the_program_says_so() {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
    let ended = command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY").output().expect("the program starts");
    assert_eq!(ended.status.code(), Some(2));
    let words = String::from_utf8_lossy(&ended.stderr).into_owned();
    assert!(words.contains("`DISPLAY`") && words.contains("`pacewright demo`"), "{words}");
}
