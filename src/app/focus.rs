//! Taking the keyboard back when another window took it.
//!
//! First the window system is asked politely, then the X server directly; after a few tries it is
//! left alone, because the screen says by then that someone must click.

use std::time::{Duration, Instant};

use winit::window::Window;

use super::x11_client::X11Client;

const TRIES: u8 = 5;
const BETWEEN: Duration = Duration::from_millis(300);

/// The tries that are left.
#[derive(Debug, Default)]
pub struct Focus {
    tries: u8,
    next: Option<Instant>,
}

impl Focus {
    /// The keyboard is not here: try from `now` on.
    pub fn lost(&mut self, now: Instant) {
        (self.tries, self.next) = (0, Some(now));
    }

    /// It is here, or nobody wants it.
    pub fn settled(&mut self) {
        self.next = None;
    }

    /// When [`Focus::wake`] has to be called next.
    #[must_use]
    pub fn deadline(&self) -> Option<Instant> {
        self.next
    }

    /// Tries once when it is time.
    pub fn wake(&mut self, now: Instant, window: &Window, client: Option<&X11Client>) {
        if self.next.is_none_or(|next| next > now) {
            return;
        }
        window.focus_window();
        if let Some(client) = client.filter(|_| self.tries > 0) {
            client.take_keyboard();
        }
        self.tries += 1;
        self.next = (self.tries < TRIES).then_some(now + BETWEEN);
    }
}
