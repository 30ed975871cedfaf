//! What the window asks of the X server beside winit: the keyboard, and no screen saver.

use winit::event_loop::EventLoop;
use winit::platform::x11::EventLoopExtX11;
use winit::window::Window;
use x11rb::connection::Connection;
use x11rb::properties::WmHints;
use x11rb::protocol::screensaver::ConnectionExt as _;
use x11rb::protocol::xproto::{ConnectionExt as _, InputFocus};
use x11rb::rust_connection::RustConnection;

use super::x11_surface::window_id;

/// The window system is X.
pub fn is_x11<T>(events: &EventLoop<T>) -> bool {
    events.is_x11()
}

/// A small connection of its own; what it holds is let go when it is dropped.
pub struct X11Client {
    connection: RustConnection,
    window: u32,
}

impl X11Client {
    /// Connects to the display of the window; `None` where there is no X.
    pub fn new(window: &Window) -> Option<X11Client> {
        let window = window_id(window)?;
        let (connection, _) = x11rb::connect(None).ok()?;
        Some(X11Client { connection, window })
    }

    /// Takes the keyboard, with or without a window manager; tells whether the server agreed.
    pub fn take_keyboard(&self) -> bool {
        let asked = self.connection.set_input_focus(InputFocus::PARENT, self.window, x11rb::CURRENT_TIME);
        asked.is_ok_and(|cookie| cookie.check().is_ok())
    }

    /// Tells window managers whether to give the window the keyboard when it is clicked (ICCCM 4.1.7).
    pub fn wants_keyboard(&self, wants: bool) {
        let hints = WmHints::get(&self.connection, self.window).ok().and_then(|cookie| cookie.reply().ok().flatten());
        let hints = WmHints { input: Some(wants), ..hints.unwrap_or_default() };
        let _ = hints.set(&self.connection, self.window);
        let _ = self.connection.flush();
    }

    /// Rings the bell of the display, where it has one that sounds.
    pub fn ring(&self) {
        let _ = self.connection.bell(100);
        let _ = self.connection.flush();
    }

    /// Keeps the server's screen saver and power saving away for as long as this connection lives.
    pub fn hold_screen_saver(&self) -> bool {
        let version = self.connection.screensaver_query_version(1, 1);
        let known = version.is_ok_and(|cookie| cookie.reply().is_ok());
        let suspended = known && self.connection.screensaver_suspend(1).is_ok_and(|cookie| cookie.check().is_ok());
        suspended && self.connection.flush().is_ok()
    }
}
