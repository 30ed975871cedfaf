//! What the window system is asked for.

use winit::dpi::LogicalSize;
use winit::event_loop::ActiveEventLoop;
use winit::window::{Fullscreen, Window, WindowAttributes};

/// Full screen is asked for in size and place as well: without a window manager nobody else does.
pub fn attributes(title: &str, windowed: bool, desk: Option<(i32, i32)>, events: &ActiveEventLoop) -> WindowAttributes {
    let attributes = named(Window::default_attributes().with_title(title));
    if windowed {
        return attributes.with_inner_size(LogicalSize::new(1280.0, 800.0));
    }
    let monitor = desk.and_then(|desk| beside(events.available_monitors(), desk, |monitor| monitor.position().into()));
    let attributes = attributes.with_fullscreen(Some(Fullscreen::Borderless(monitor.clone())));
    match monitor.or_else(|| events.primary_monitor()).or_else(|| events.available_monitors().next()) {
        Some(monitor) => attributes.with_inner_size(monitor.size()).with_position(monitor.position()),
        None => attributes,
    }
}

/// A window of this size, or smaller on a screen that is.
pub fn within(wanted: LogicalSize<f64>, events: &ActiveEventLoop) -> LogicalSize<f64> {
    let monitor = events.primary_monitor().or_else(|| events.available_monitors().next());
    let screen = monitor.map(|monitor| monitor.size().to_logical(monitor.scale_factor()));
    screen.map_or(wanted, |screen| smaller(wanted, screen))
}

/// The smallest window that can be worked.
pub const SMALLEST: LogicalSize<f64> = LogicalSize::new(640.0, 480.0);

/// What is told of a screen may be nothing.
fn smaller(wanted: LogicalSize<f64>, screen: LogicalSize<f64>) -> LogicalSize<f64> {
    let side = |wanted: f64, screen: f64, least: f64| wanted.min(screen.max(least));
    LogicalSize::new(
        side(wanted.width, screen.width, SMALLEST.width),
        side(wanted.height, screen.height, SMALLEST.height),
    )
}

/// The first of `monitors` that is not the desk's, by their upper left corners.
fn beside<M>(monitors: impl Iterator<Item = M>, desk: (i32, i32), corner: impl Fn(&M) -> (i32, i32)) -> Option<M> {
    let mut monitors = monitors;
    monitors.find(|monitor| corner(monitor) != desk)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_window_is_no_larger_than_its_screen() {
        let on = |width, height| smaller(LogicalSize::new(1180.0, 800.0), LogicalSize::new(width, height));
        assert_eq!(on(800.0, 600.0), LogicalSize::new(800.0, 600.0));
        assert_eq!(on(1920.0, 1080.0), LogicalSize::new(1180.0, 800.0));
        assert_eq!(on(0.0, 0.0), SMALLEST);
    }

    #[test]
    fn the_board_takes_the_monitor_that_is_not_the_desks() {
        let both = [(0, 0), (1920, 0)];
        let taken = |desk| beside(both.iter().copied(), desk, |corner| *corner);
        assert_eq!((taken((0, 0)), taken((1920, 0))), (Some((1920, 0)), Some((0, 0))));
        assert_eq!(beside([(0, 0)].into_iter(), (0, 0), |corner| *corner), None);
    }
}
