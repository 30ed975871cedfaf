//! A screen without a screen: an Xvfb of its own, and keys worked through XTest.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use x11rb::connection::Connection;
use x11rb::protocol::xproto::{KEY_PRESS_EVENT, KEY_RELEASE_EVENT};
use x11rb::protocol::xtest::ConnectionExt as _;
use x11rb::rust_connection::RustConnection;

/// A virtual X server that ends with this value.
pub struct Xvfb {
    process: Child,
    /// What `DISPLAY` has to be.
    pub display: String,
}

impl Xvfb {
    /// Starts one on a free display number.
    ///
    /// # Errors
    /// Says what is missing and how to get it.
    pub fn start(width: u16, height: u16) -> Result<Xvfb, String> {
        let missing = |cause: String| format!("cannot start `Xvfb`: {cause}; run `sh .ci/setup`, which installs it");
        let mut process = Command::new("Xvfb")
            .args(["-displayfd", "1", "-nolisten", "tcp", "-screen", "0", &format!("{width}x{height}x24")])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|error| missing(error.to_string()))?;
        let mut number = String::new();
        let said = BufReader::new(process.stdout.take().expect("it is piped")).read_line(&mut number);
        if said.is_err() || number.trim().is_empty() {
            let _ = process.wait();
            return Err(missing("it ended at once".into()));
        }
        Ok(Xvfb { process, display: format!(":{}", number.trim()) })
    }
}

impl Drop for Xvfb {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Keys by their number in X, which is that of evdev plus eight.
pub mod key {
    /// The space bar.
    pub const SPACE: u8 = 65;
    /// Go on.
    pub const F3: u8 = 69;
    /// End.
    pub const F10: u8 = 76;
}

/// Somebody at the keyboard of a display.
pub struct Hands {
    connection: RustConnection,
}

impl Hands {
    /// Sits down at this display.
    pub fn at(display: &str) -> Hands {
        let (connection, _) = x11rb::connect(Some(display)).expect("the display answers");
        Hands { connection }
    }

    /// A key goes down or up.
    pub fn key(&self, key: u8, down: bool) {
        let kind = if down { KEY_PRESS_EVENT } else { KEY_RELEASE_EVENT };
        self.fake(kind, key, (0, 0));
    }

    /// What a hand may do, by its number in X: a key, a button of the mouse, or the pointer at a place.
    pub fn fake(&self, kind: u8, detail: u8, (x, y): (i16, i16)) {
        let asked = self.connection.xtest_fake_input(kind, detail, x11rb::CURRENT_TIME, x11rb::NONE, x, y, 0);
        asked.expect("the display takes it");
        self.connection.flush().expect("the display is there");
    }

    /// A key goes down, stays down for `held` and comes up.
    pub fn tap(&self, key: u8, held: Duration) {
        self.key(key, true);
        std::thread::sleep(held);
        self.key(key, false);
    }
}
