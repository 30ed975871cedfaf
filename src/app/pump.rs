//! How long news from another thread take to reach the window thread: the lag of everything that does
//! not come from the window system, pads above all.

use std::time::{Duration, Instant};

use super::measure::median;
use super::render::{News, Tell};

/// News sent to find it, and the time between two.
const PINGS: u32 = 25;
const BETWEEN: Duration = Duration::from_millis(7);

/// The lags so far, in microseconds.
#[derive(Debug, Default)]
pub struct Pump {
    lags_us: Vec<u64>,
}

impl Pump {
    /// Sends the news, from a thread that ends by itself.
    pub fn start(&self, tell: Tell) {
        std::thread::spawn(move || {
            for _ in 0..PINGS {
                std::thread::sleep(BETWEEN);
                tell(News::Ping(Instant::now()));
            }
        });
    }

    /// One came.
    pub fn came(&mut self, sent: Instant, at: Instant) {
        self.lags_us.push(at.saturating_duration_since(sent).as_micros() as u64);
    }

    /// The median, at least 1; 0 while nothing came.
    #[must_use]
    pub fn lag_us(&self) -> u64 {
        let found = median(self.lags_us.clone());
        if self.lags_us.is_empty() { 0 } else { found.max(1) }
    }
}
