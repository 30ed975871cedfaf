//! What the window system and the other threads tell.

use std::time::Instant;

use winit::event::WindowEvent;
use winit::event_loop::ActiveEventLoop;

use super::shell::Shared;
use super::{AWAKE_SETTLES, App};
use crate::app::AppError;
use crate::app::board::{Size, touch_field};
use crate::app::render::{News, Renderer};

impl App {
    pub(super) fn resumed(&mut self, events: &ActiveEventLoop, shared: &Shared) {
        if self.open.is_some() {
            return;
        }
        match self.open(events, shared) {
            Ok(open) => self.open = Some(open),
            Err(failure) => self.failure = Some(failure),
        }
        let now = Instant::now();
        self.ask_awake = Some(now + AWAKE_SETTLES);
        self.focus.lost(now);
        self.settle(events);
    }

    pub(super) fn window_event(&mut self, events: &ActiveEventLoop, event: WindowEvent) {
        let at = Instant::now();
        let (width, height) = self.size();
        if let Some(changes) = self.devices.changes(&event, width, touch_field(&self.board, Size { width, height })) {
            changes.into_iter().for_each(|change| self.change(at, change));
            return self.settle(events);
        }
        match event {
            WindowEvent::CursorMoved { position, .. } => {
                return self.pointer(at, Some((position.x, position.y)), events);
            }
            WindowEvent::CursorLeft { .. } => return self.pointer(at, None, events),
            WindowEvent::Focused(here) => self.focus_is(at, here),
            WindowEvent::CloseRequested => self.end(at),
            WindowEvent::Resized(size) => self.resized(at, size),
            WindowEvent::RedrawRequested => self.tell_renderer(Renderer::again),
            _ => return,
        }
        self.settle(events);
    }

    pub(super) fn user_event(&mut self, events: &ActiveEventLoop, news: News) {
        let at = Instant::now();
        match news {
            News::FirstFrame(stamp) => self.first_frame = Some(stamp),
            News::Measured(frames, display) => self.measured(frames, display),
            News::Asked(input) => self.asked(at, input),
            News::Unwatched => self.unwatched(at),
            News::Ping(sent) => self.pump.came(sent, at),
            News::Sound(news) => self.sound_is(at, news),
            News::Microphone(news) => self.microphone_is(at, news),
            News::Shown | News::Handed => {}
            News::Refused(cause) => self.fail(at, AppError::Screen(cause)),
            News::Broken(cause) => self.fail(at, AppError::Broken(cause)),
        }
        self.settle(events);
    }

    pub(super) fn about_to_wait(&mut self, events: &ActiveEventLoop) {
        if self.deadline().is_some_and(|deadline| deadline <= Instant::now()) {
            self.settle(events);
        }
    }

    pub(super) fn exiting(&mut self) {
        // Sleep and the screen saver are let go, and the render thread ends before the window does.
        self.open = None;
    }
}
