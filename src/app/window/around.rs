//! What stands around the board: its screen, and the desk from which it is watched.

use std::time::{Duration, Instant};

use winit::dpi::PhysicalSize;
use winit::window::Fullscreen;

use super::{App, Renderer, Stage};
use crate::app::board::BoardSetup;
use crate::app::learn::Learned;
use crate::app::render::{News, Tell};
use crate::app::{Orders, Watched};
use crate::session::input::{Input, PauseReason};

/// What is known of it.
#[derive(Default)]
pub(super) struct Around {
    /// Who watches, until the window is open.
    pub(super) watched: Option<Watched>,
    /// Size of the board in pixels when the session began, or when its change was told.
    pub(super) size: Option<(u32, u32)>,
    /// It is watched from a desk.
    beside: bool,
    go_on: GoOn,
}

/// The desk's wish to go on, which waits until the keyboard is here; since when it does.
#[derive(Default)]
struct GoOn(Option<Instant>);

/// A wish that has waited for longer is forgotten: by then somebody else may sit at the board.
const GOES_ON_WITHIN: Duration = Duration::from_secs(5);

impl GoOn {
    /// What is asked for now; `None` where it waits. Whoever asks to wait or to end no longer wants to go on.
    fn asked(&mut self, at: Instant, input: Input, keyboard: bool) -> Option<Input> {
        match input {
            Input::Next if !keyboard => {
                self.0 = Some(at);
                return None;
            }
            Input::Next | Input::Pause { .. } | Input::End => self.0 = None,
            _ => {}
        }
        Some(input)
    }

    /// The wish waits.
    fn waits(&self, at: Instant) -> bool {
        self.0.is_some_and(|since| at <= since + GOES_ON_WITHIN)
    }

    /// The keyboard is here: whether the wish still stands.
    fn here(&mut self, at: Instant) -> bool {
        self.0.take().is_some_and(|since| at <= since + GOES_ON_WITHIN)
    }
}

/// The way from the desk; it ends with it.
struct Desk(Tell);

impl Desk {
    fn asks(&self, input: Input) {
        (self.0)(News::Asked(input));
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        (self.0)(News::Unwatched);
    }
}

impl Around {
    pub(super) fn new(watched: Option<Watched>) -> Around {
        Around { beside: watched.is_some(), watched, ..Around::default() }
    }
}

impl App {
    pub(super) fn take_orders(&self, orders: Option<Orders>) {
        if let Some(orders) = orders {
            let desk = Desk(self.tell());
            orders(Box::new(move |input| desk.asks(input)));
        }
    }

    /// The desk was closed: nobody writes there, and its keys reach nobody.
    pub(super) fn unwatched(&mut self, at: Instant) {
        self.around.beside = false;
        if matches!(&self.stage, Stage::Running(runner) if !runner.focused()) {
            self.focus.lost(at);
        }
    }

    /// Asked for at the desk. Nothing goes on while the switch might not reach the window.
    pub(super) fn asked(&mut self, at: Instant, input: Input) {
        match &mut self.stage {
            Stage::Running(runner) => match self.around.go_on.asked(at, input, runner.focused()) {
                Some(input) => runner.asked(at, input),
                None => self.focus.lost(at),
            },
            Stage::Learning(_) | Stage::Calibrating(_) if input == Input::End => self.stage = Stage::Over,
            Stage::Learning(_) | Stage::Calibrating(_) | Stage::Over => {}
        }
    }

    /// Tries to have the keyboard back. While the clinician's own pause stands the switch works nothing, and at the desk
    /// somebody may be writing: it stays there until somebody goes on.
    pub(super) fn keep_focus(&mut self, now: Instant) {
        let waits = matches!(&self.stage, Stage::Running(runner) if runner.machine().paused_by_clinician());
        if self.around.beside && waits && !self.around.go_on.waits(now) {
            return self.focus.settled();
        }
        if let Some(open) = &self.open {
            self.focus.wake(now, &open.window, open.client.as_ref());
        }
    }

    /// The keyboard came or went.
    pub(super) fn go_on_when_here(&mut self, at: Instant, here: bool) {
        if let Stage::Running(runner) = &mut self.stage
            && here
            && self.around.go_on.here(at)
        {
            runner.asked(at, Input::Next);
        }
    }

    /// Where the screen stands is known.
    pub(super) fn place(&mut self, learned: &Learned) {
        self.board.distance_mm = learned.place.distance_mm;
        self.board.screen_width_mm = learned.place.width_mm;
        if let Some(open) = &self.open {
            open.renderer.set_up(self.board);
            open.window.set_cursor_visible(false);
        }
    }

    /// The board's set-up and its size in pixels.
    pub(super) fn painted(&self) -> (BoardSetup, u32, u32) {
        let (width, height) = self.size();
        (self.board, width, height)
    }

    /// The board's size in pixels.
    pub(super) fn size(&self) -> (u32, u32) {
        let size = self.open.as_ref().map(|open| open.window.inner_size()).unwrap_or_default();
        (size.width.max(1), size.height.max(1))
    }

    pub(super) fn resized(&mut self, at: Instant, size: PhysicalSize<u32>) {
        self.tell_renderer(|renderer| renderer.resize(size.width, size.height));
        self.screen_changed(at);
    }

    /// Another screen, or another size of it: tiles have other sizes and places, so the session waits until
    /// somebody has looked. A board whose monitor is gone moves to one that is left.
    fn screen_changed(&mut self, at: Instant) {
        let size = self.size();
        let Stage::Running(runner) = &mut self.stage else { return };
        if self.around.size.replace(size).is_none_or(|before| before == size) {
            return;
        }
        runner.input(at, Input::Pause { why: PauseReason::Screen });
        if let Some(open) = self.open.as_ref().filter(|_| !self.windowed) {
            open.window.set_fullscreen(Some(Fullscreen::Borderless(None)));
        }
    }

    pub(super) fn tell_renderer(&self, tell: impl FnOnce(&Renderer)) {
        if let Some(open) = &self.open {
            tell(&open.renderer);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAUSE: Input = Input::Pause { why: PauseReason::Clinician };

    #[test]
    fn a_wish_to_go_on_waits_for_the_keyboard_and_is_forgotten_when_it_is_stale() {
        let (now, mut go_on) = (Instant::now(), GoOn::default());
        assert_eq!(go_on.asked(now, Input::Next, true), Some(Input::Next));
        assert!(!go_on.here(now), "that one did not wait");
        assert_eq!(go_on.asked(now, Input::Next, false), None);
        assert!(go_on.waits(now) && !go_on.waits(now + GOES_ON_WITHIN + Duration::from_millis(1)));
        assert!(go_on.here(now + GOES_ON_WITHIN) && !go_on.here(now), "it is taken once");
        go_on.asked(now, Input::Next, false);
        assert!(!go_on.here(now + GOES_ON_WITHIN + Duration::from_millis(1)));
        for other in [PAUSE, Input::End] {
            go_on.asked(now, Input::Next, false);
            assert_eq!(go_on.asked(now, other.clone(), false), Some(other));
            assert!(!go_on.here(now));
        }
    }
}
