//! A drawing surface over an X connection of its own.
//!
//! The render thread must not share the window's connection: key stamps then wait behind the
//! driver's uploads. This is the only file that may use `unsafe`: graphics libraries take the
//! connection as a raw pointer.

#![allow(unsafe_code)]

use std::num::NonZeroU32;
use std::ptr::NonNull;
use std::sync::Arc;

use raw_window_handle::{
    DisplayHandle, HandleError, HasDisplayHandle, HasWindowHandle, RawWindowHandle, WindowHandle, XcbDisplayHandle,
    XcbWindowHandle,
};
use winit::window::Window;
use x11rb::xcb_ffi::XCBConnection;

/// The window seen through a connection of its own; keeps both alive.
pub struct X11Surface {
    connection: XCBConnection,
    screen: i32,
    id: NonZeroU32,
    _window: Arc<Window>,
}

impl X11Surface {
    /// Connects to the display that the window is on; `None` where there is no X or no libxcb.
    pub fn new(window: &Arc<Window>) -> Option<X11Surface> {
        let id = NonZeroU32::new(window_id(window)?)?;
        x11rb::xcb_ffi::load_libxcb().ok()?;
        let (connection, screen) = XCBConnection::connect(None).ok()?;
        Some(X11Surface { connection, screen: screen as i32, id, _window: Arc::clone(window) })
    }
}

/// The number by which X knows the window; `None` on other displays.
#[must_use]
pub fn window_id(window: &Window) -> Option<u32> {
    match window.window_handle().ok()?.as_raw() {
        RawWindowHandle::Xlib(handle) => u32::try_from(handle.window).ok(),
        RawWindowHandle::Xcb(handle) => Some(handle.window.get()),
        _ => None,
    }
}

impl HasDisplayHandle for X11Surface {
    fn display_handle(&self) -> Result<DisplayHandle<'_>, HandleError> {
        let connection = NonNull::new(self.connection.get_raw_xcb_connection());
        let handle = XcbDisplayHandle::new(connection, self.screen);
        // SAFETY: the pointer is that of a live `xcb_connection_t`: `self.connection` owns it, is
        // never replaced, and is borrowed for as long as the handle lives.
        Ok(unsafe { DisplayHandle::borrow_raw(handle.into()) })
    }
}

impl HasWindowHandle for X11Surface {
    fn window_handle(&self) -> Result<WindowHandle<'_>, HandleError> {
        let handle = XcbWindowHandle::new(self.id);
        // SAFETY: the window exists for as long as `self` does, which holds a reference to it, and
        // its id is valid on every connection to the same X server.
        Ok(unsafe { WindowHandle::borrow_raw(handle.into()) })
    }
}
