//! Who works on the session: the window thread, and the pads' thread with an edge that it has stamped. One at a time.
//!
//! An edge of a pad does not wait until the window thread has woken: on a busy machine that takes longer than all that
//! the session does with it. Nothing that it leads to touches the window; that is settled by the window thread after.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, MutexGuard};

use winit::application::ApplicationHandler;
use winit::event::{DeviceEvent, DeviceId, ElementState, WindowEvent};
use winit::event_loop::ActiveEventLoop;
use winit::window::WindowId;

use super::App;
use crate::app::devices::pad_thread::PadNews;
use crate::app::render::{News, Tell};
use crate::app::words_of_panic;
use crate::lock::past_panics;

/// What both threads work on, until it is taken away at the end.
#[derive(Clone)]
pub(super) struct Shared(Arc<Mutex<Option<App>>>);

impl Shared {
    pub(super) fn new(app: App) -> Shared {
        Shared(Arc::new(Mutex::new(Some(app))))
    }

    fn lock(&self) -> MutexGuard<'_, Option<App>> {
        past_panics(&self.0)
    }

    pub(super) fn take(&self) -> Option<App> {
        self.lock().take()
    }

    /// Does `this` with nobody else at work; nothing once all is over.
    fn work(&self, this: impl FnOnce(&mut App)) {
        if let Some(app) = &mut *self.lock() {
            this(app);
        }
    }

    /// For the pads' thread: what it is told reaches the session at once; `tell` wakes the window thread.
    pub(super) fn hand_in(&self, tell: Tell) -> impl Fn(PadNews) + Send + 'static {
        let shared = self.clone();
        move |news| {
            let done = catch_unwind(AssertUnwindSafe(|| shared.work(|app| app.pad(news))));
            tell(done.map_or_else(|panic| News::Broken(words_of_panic(&*panic)), |()| News::Handed));
        }
    }
}

/// The window thread's end of it.
pub(super) struct Shell(pub(super) Shared);

impl ApplicationHandler<News> for Shell {
    fn resumed(&mut self, events: &ActiveEventLoop) {
        self.0.work(|app| app.resumed(events, &self.0));
    }

    fn window_event(&mut self, events: &ActiveEventLoop, _: WindowId, event: WindowEvent) {
        self.0.work(|app| app.window_event(events, event));
    }

    fn device_event(&mut self, _: &ActiveEventLoop, _: DeviceId, event: DeviceEvent) {
        // Only those of X are asked for; elsewhere the numbers of buttons mean something else.
        if let DeviceEvent::Button { button, state } = event {
            self.0.work(|app| app.devices.wheel.button(button, state == ElementState::Pressed));
        }
    }

    fn user_event(&mut self, events: &ActiveEventLoop, news: News) {
        self.0.work(|app| app.user_event(events, news));
    }

    fn about_to_wait(&mut self, events: &ActiveEventLoop) {
        self.0.work(|app| app.about_to_wait(events));
    }

    fn exiting(&mut self, _: &ActiveEventLoop) {
        self.0.work(App::exiting);
    }
}
