//! Where there is no X server: nothing is asked of it.

use winit::event_loop::EventLoop;
use winit::window::Window;

/// Never.
pub fn is_x11<T>(_: &EventLoop<T>) -> bool {
    false
}

/// Never there.
pub enum X11Client {}

impl X11Client {
    /// None.
    pub fn new(_: &Window) -> Option<X11Client> {
        None
    }

    /// Never called.
    pub fn take_keyboard(&self) -> bool {
        match *self {}
    }

    /// Never called.
    pub fn wants_keyboard(&self, _: bool) {
        match *self {}
    }

    /// Never called.
    pub fn ring(&self) {
        match *self {}
    }

    /// Never called.
    pub fn hold_screen_saver(&self) -> bool {
        match *self {}
    }
}
