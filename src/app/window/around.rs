//! What stands around the board: its screen, and the desk from which it is watched.

use std::time::Instant;

use winit::dpi::PhysicalSize;
use winit::window::Fullscreen;

use super::{App, Renderer, Stage};
use crate::app::board::BoardSetup;
use crate::app::learn::Learned;
use crate::app::render::News;
use crate::app::{Orders, Watched};
use crate::session::input::{Input, PauseReason};

/// What is known of it.
#[derive(Default)]
pub(super) struct Around {
    /// Who watches, until the window is open.
    pub(super) watched: Option<Watched>,
    /// Size of the board in pixels when the session began, or when its change was told.
    pub(super) size: Option<(u32, u32)>,
    /// The desk asks to go on as soon as the keyboard is here.
    go_on: bool,
}

impl Around {
    pub(super) fn new(watched: Option<Watched>) -> Around {
        Around { watched, ..Around::default() }
    }
}

impl App {
    pub(super) fn take_orders(&self, orders: Option<Orders>) {
        if let Some(orders) = orders {
            let tell = self.tell();
            orders(Box::new(move |input| tell(News::Asked(input))));
        }
    }

    /// Asked for at the desk. Nothing goes on while the switch might not reach the window.
    pub(super) fn asked(&mut self, at: Instant, input: Input) {
        match &mut self.stage {
            Stage::Running(runner) if input == Input::Next && !runner.focused() => {
                self.around.go_on = true;
                self.focus.lost(at);
            }
            Stage::Running(runner) => runner.asked(at, input),
            Stage::Learning(_) | Stage::Calibrating(_) if input == Input::End => self.stage = Stage::Over,
            Stage::Learning(_) | Stage::Calibrating(_) | Stage::Over => {}
        }
    }

    /// The keyboard came or went.
    pub(super) fn go_on_when_here(&mut self, at: Instant, here: bool) {
        if let Stage::Running(runner) = &mut self.stage
            && here
            && std::mem::take(&mut self.around.go_on)
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
