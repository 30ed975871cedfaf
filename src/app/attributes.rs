//! What the window system is asked for.

use winit::dpi::{LogicalSize, PhysicalPosition};
use winit::event_loop::ActiveEventLoop;
use winit::window::{Fullscreen, Window, WindowAttributes};

/// Full screen is asked for in size and place as well: without a window manager nobody else does.
pub fn attributes(title: &str, windowed: bool, events: &ActiveEventLoop) -> WindowAttributes {
    let attributes = named(Window::default_attributes().with_title(title));
    if windowed {
        return attributes.with_inner_size(LogicalSize::new(1280.0, 800.0));
    }
    let attributes = attributes.with_fullscreen(Some(Fullscreen::Borderless(None)));
    match events.primary_monitor().or_else(|| events.available_monitors().next()) {
        Some(monitor) => attributes.with_inner_size(monitor.size()).with_position(PhysicalPosition::new(0, 0)),
        None => attributes,
    }
}

#[cfg(all(unix, not(target_os = "macos")))]
fn named(attributes: WindowAttributes) -> WindowAttributes {
    use winit::platform::x11::WindowAttributesExtX11;
    attributes.with_name("pacewright", "pacewright")
}

#[cfg(not(all(unix, not(target_os = "macos"))))]
fn named(attributes: WindowAttributes) -> WindowAttributes {
    attributes
}
