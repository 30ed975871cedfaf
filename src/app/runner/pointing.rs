//! What the runner does for a session that a pointer works.

use std::time::{Duration, Instant};

use super::Runner;
use crate::app::devices::pointer::Samples;
use crate::app::eye::Eye;
use crate::session::input::Input;

/// For the log.
const TOO_MANY: &str = "the pointer gives more than 250 samples a second: those between are left out";

/// What is said while it is elsewhere.
const ELSEWHERE: &str = "The pointer is not on this screen: it takes nothing until it is back.";
/// It is said once it has been gone for so long: many go past the edge and come back.
const GONE: Duration = Duration::from_secs(2);

/// The pointer on its way to the session, and whether it is on the screen.
#[derive(Default)]
pub(super) struct Pointing {
    samples: Samples,
    /// Since when it has been off the screen.
    gone: Option<Instant>,
    /// That is said.
    said: bool,
}

impl Pointing {
    /// When [`Runner::point_when_due`] has to be called next.
    pub(super) fn deadline(&self) -> Option<Instant> {
        let says = self.gone.filter(|_| !self.said).map(|gone| gone + GONE);
        self.samples.deadline().into_iter().chain(says).min()
    }

    /// What has to be known of it.
    pub(super) fn words(&self) -> Option<&'static str> {
        self.said.then_some(ELSEWHERE)
    }
}

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
        self.pointer.gone = if place.is_none() { self.pointer.gone.or(Some(at)) } else { None };
        self.say_elsewhere(at);
        let before = self.pointer.samples.left_out();
        if let Some(place) = self.pointer.samples.sample(at, place) {
            self.point(at, place);
        }
        if self.pointer.samples.left_out() && !before {
            self.input(at, Input::Note { text: TOO_MANY.to_string() });
        }
    }

    /// Where the pointer has been told to be, if that had to wait; and that it is gone, once it has been for long.
    pub(super) fn point_when_due(&mut self, now: Instant) {
        if let Some(place) = self.pointer.samples.due(now) {
            self.point(now, place);
        }
        self.say_elsewhere(now);
    }

    fn say_elsewhere(&mut self, now: Instant) {
        let said = self.pointer.gone.is_some_and(|gone| gone + GONE <= now);
        if std::mem::replace(&mut self.pointer.said, said) != said {
            self.overlay.revision += 1;
            if said {
                self.input(now, Input::Note { text: ELSEWHERE.to_string() });
            }
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
