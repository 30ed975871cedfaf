//! What the runner does for a session that a pointer works.

use std::time::Instant;

use super::Runner;
use crate::app::eye::Eye;
use crate::session::input::Input;

/// For the log.
const TOO_MANY: &str = "the pointer gives more than 250 samples a second: those between are left out";

impl Runner {
    /// Where the tiles are, when the session has to be told; `eye` knows the board.
    pub fn place_tiles(&mut self, at: Instant, eye: &Eye) {
        if self.machine.wants_tiles() {
            let spots = eye.spots(self.machine.scene());
            self.input(at, Input::Tiles { spots });
        }
    }

    /// The pointer moved, or has left the window.
    pub fn pointer(&mut self, at: Instant, place: Option<(i32, i32)>) {
        if !self.machine.takes_pointer() {
            return;
        }
        let before = self.pointer.left_out();
        if let Some(place) = self.pointer.sample(at, place) {
            self.point(at, place);
        }
        if self.pointer.left_out() && !before {
            self.input(at, Input::Note { text: TOO_MANY.to_string() });
        }
    }

    /// Where the pointer has been told to be, if that had to wait.
    pub(super) fn point_when_due(&mut self, now: Instant) {
        if let Some(place) = self.pointer.due(now) {
            self.point(now, place);
        }
    }

    fn point(&mut self, at: Instant, place: Option<(i32, i32)>) {
        if self.machine.takes_pointer() {
            self.input(at, place.map_or(Input::PointerLeft, |(x, y)| Input::Pointer { x, y }));
        }
    }

    /// The pointer has to be seen by the client.
    #[must_use]
    pub fn shows_pointer(&self) -> bool {
        self.machine.takes_pointer()
    }
}
