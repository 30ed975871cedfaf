//! The program in its window on a screen of its own, with hands at its keyboard and eyes on its screen.

use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::store;
use pacewright::time::Moment;
use tempfile::TempDir;
use x11rb::connection::Connection;
use x11rb::protocol::xproto::{
    ClientMessageEvent, ConnectionExt as _, CreateWindowAux, EventMask, ImageFormat, InputFocus, WindowClass,
};
use x11rb::rust_connection::RustConnection;

use super::xvfb::{Hands, Xvfb, key};

/// The key that says yes.
pub const ENTER: u8 = 36;
/// Longer than any machine takes to answer a key.
pub const PATIENCE: Duration = Duration::from_secs(20);
/// How long a tapped key is down.
pub const TAP: Duration = Duration::from_millis(40);
/// The screen, in pixels: the window fills it.
pub const SCREEN: (u16, u16) = (1280, 720);

/// The program in its window on a screen of its own.
pub struct Rig {
    program: Child,
    pub hands: Hands,
    pub eyes: Eyes,
    pub folder: TempDir,
    _xvfb: Xvfb,
}

/// Somebody who looks at the screen.
pub struct Eyes {
    connection: RustConnection,
    screen: usize,
}

impl Eyes {
    /// Looks at this display.
    pub fn at(display: &str) -> Eyes {
        let (connection, screen) = x11rb::connect(Some(display)).expect("the display answers");
        Eyes { connection, screen }
    }

    /// Asks every window to close, as the cross in its corner does.
    pub fn close_windows(&self) {
        let display = &self.connection;
        let atom = |name: &[u8]| {
            display.intern_atom(false, name).expect("the display is there").reply().expect("a name's number").atom
        };
        let (protocols, close) = (atom(b"WM_PROTOCOLS"), atom(b"WM_DELETE_WINDOW"));
        let root = display.setup().roots[self.screen].root;
        let windows = display.query_tree(root).expect("the display is there").reply().expect("its windows");
        for window in windows.children {
            let event = ClientMessageEvent::new(32, window, protocols, [close, x11rb::CURRENT_TIME, 0, 0, 0]);
            let sent = display.send_event(false, window, EventMask::NO_EVENT, event);
            sent.expect("the display is there").check().expect("the window is there");
        }
    }

    /// The whole screen, four bytes a pixel (blue, green, red, unused).
    pub fn look(&self) -> Vec<u8> {
        let screen = &self.connection.setup().roots[self.screen];
        let (width, height) = (screen.width_in_pixels, screen.height_in_pixels);
        let asked = self.connection.get_image(ImageFormat::Z_PIXMAP, screen.root, 0, 0, width, height, !0);
        asked.expect("the display is there").reply().expect("the display shows its screen").data
    }

    /// Which window has the keyboard.
    pub fn focus(&self) -> u32 {
        let asked = self.connection.get_input_focus();
        asked.expect("the display is there").reply().expect("some window has it").focus
    }

    /// Opens a window of one pixel and gives it the keyboard.
    pub fn steal_the_keyboard(&self) -> u32 {
        let window = self.open_window(1);
        let asked = self.connection.set_input_focus(InputFocus::PARENT, window, x11rb::CURRENT_TIME);
        asked.expect("the display is there").check().expect("the keyboard");
        window
    }

    /// Opens a square window of so many pixels in the upper left corner: a pointer there is on no other window.
    pub fn open_window(&self, side: u16) -> u32 {
        let root = self.connection.setup().roots[self.screen].root;
        let window = self.connection.generate_id().expect("ids are left");
        let like_root = CreateWindowAux::new().override_redirect(1);
        let class = WindowClass::COPY_FROM_PARENT;
        let created = self.connection.create_window(0, window, root, 0, 0, side, side, 0, class, 0, &like_root);
        created.expect("the display is there").check().expect("a window");
        self.connection.map_window(window).expect("the display is there").check().expect("a window to be seen");
        window
    }

    /// Waits until the screen looks different from `before`, and gives the new look.
    pub fn until_changed(&self, before: &[u8], what: &str) -> Vec<u8> {
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
    /// Runs `command` with `file` as its `--protocol` or `--plan`; what it prints is kept in the folder.
    pub fn start(command: &str, file: (&str, &str), arguments: &[&str]) -> Rig {
        Rig::start_in(&[], command, file, arguments)
    }

    /// The same with more in its environment.
    pub fn start_in(environment: &[(&str, &Path)], command: &str, file: (&str, &str), arguments: &[&str]) -> Rig {
        let xvfb = Xvfb::start(SCREEN.0, SCREEN.1).unwrap_or_else(|words| panic!("{words}"));
        let (hands, eyes) = (Hands::at(&xvfb.display), Eyes::at(&xvfb.display));
        let empty = eyes.look();
        let folder = TempDir::new().expect("a folder");
        let (option, text) = file;
        let path = folder.path().join("given.json");
        std::fs::write(&path, text).expect("a file");
        let kept = |name: &str| Stdio::from(std::fs::File::create(folder.path().join(name)).expect("a file"));
        let program = Command::new(env!("CARGO_BIN_EXE_pacewright"))
            .args([command, "--client", "T1", "--seed", "1", "--distance", "1000", "--screen-width", "530"])
            .arg(option)
            .arg(&path)
            .arg("--data")
            .arg(folder.path().join("data"))
            .args(arguments)
            .envs(environment.iter().copied())
            .env("DISPLAY", &xvfb.display)
            .env_remove("WAYLAND_DISPLAY")
            .stdout(kept("printed"))
            .stderr(kept("told"))
            .spawn()
            .expect("the program starts");
        let mut rig = Rig { program, hands, eyes, folder, _xvfb: xvfb };
        rig.wait_for_window(&empty);
        rig
    }

    /// What it has printed on standard output (`printed`) or standard error (`told`).
    pub fn said(&self, file: &str) -> String {
        std::fs::read_to_string(self.folder.path().join(file)).expect("it is text")
    }

    /// Waits until the log tells it.
    pub fn until(&self, what: &str, there: impl Fn(&[Record]) -> bool) {
        let patience = Instant::now() + 2 * PATIENCE;
        while !there(&self.records()) {
            assert!(Instant::now() < patience, "it never came: {what}");
            std::thread::sleep(TAP);
        }
    }

    /// The log, once it is there.
    pub fn log(&self) -> PathBuf {
        let patience = Instant::now() + PATIENCE;
        while Instant::now() < patience {
            if let Some(log) = self.log_now() {
                return log;
            }
            std::thread::sleep(TAP);
        }
        panic!("there is no log");
    }

    /// A session has begun.
    pub fn has_log(&self) -> bool {
        self.log_now().is_some()
    }

    fn log_now(&self) -> Option<PathBuf> {
        let files = std::fs::read_dir(self.folder.path().join("data")).into_iter().flatten().flatten();
        files.map(|file| file.path()).find(|path| path.extension().is_some_and(|it| it == "jsonl"))
    }

    /// The records that have reached the disk; a line that is still being written is left out.
    pub fn records(&self) -> Vec<Record> {
        let (log, _) = store::read_log(&self.log()).expect("a log");
        log.known().cloned().collect()
    }

    fn wait_for_window(&mut self, empty: &[u8]) {
        self.eyes.until_changed(empty, "the start; is a Vulkan driver there? `sh .ci/setup` installs one");
    }

    /// Taps a key and waits for the page that it leads to.
    pub fn turn_page(&self, key: u8) {
        let before = self.eyes.look();
        self.hands.tap(key, TAP);
        self.eyes.until_changed(&before, &format!("key {key}"));
    }

    /// Ends the session and gives its records.
    pub fn end(self) -> Vec<Record> {
        self.hands.tap(key::F10, TAP);
        self.wait_for_end()
    }

    /// Waits for the end and gives the records of the whole log.
    pub fn wait_for_end(mut self) -> Vec<Record> {
        self.wait_for_whole_log()
    }

    /// The same, for whoever asks more of it afterwards.
    pub fn wait_for_whole_log(&mut self) -> Vec<Record> {
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
pub fn stamps(records: &[Record], wanted: impl Fn(&Input) -> bool) -> Vec<Moment> {
    let picked = |record: &&Record| matches!(&record.what, What::Input(input) if wanted(input));
    records.iter().filter(picked).map(|record| record.at).collect()
}

/// The edges of the switch: down, up.
pub fn edges(records: &[Record]) -> Vec<bool> {
    let down = |record: &Record| match record.what {
        What::Input(Input::Edge { down, .. }) => Some(down),
        _ => None,
    };
    records.iter().filter_map(down).collect()
}
