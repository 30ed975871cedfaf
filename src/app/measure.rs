//! Measures the frames of this screen before the session, so that the log can say how good it was.

use std::time::{Duration, Instant};

/// Frames drawn one after the other to find their interval.
const INTERVALS: usize = 8;
/// Single frames drawn after a pause to find the lag.
const LAGS: usize = 5;
/// Long enough that the queue of frames has run empty.
const PAUSE: Duration = Duration::from_millis(30);

/// How fast the screen takes frames.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Frames {
    /// Median interval between frames drawn one after the other, in microseconds; 0 when none came.
    pub interval_us: u64,
    /// Median time from the wish for a frame to its hand-over, in microseconds; 0 when none came.
    pub lag_us: u64,
}

/// Draws a few frames; `draw` says when its frame was handed over, or `None` when it was not.
pub fn frames(mut draw: impl FnMut() -> Option<Instant>) -> Frames {
    let stamps: Vec<Instant> = (0..=INTERVALS).map_while(|_| draw()).collect();
    let intervals = stamps.windows(2).map(|pair| (pair[1] - pair[0]).as_micros() as u64).collect();
    let lags = (0..LAGS).map_while(|_| lag(&mut draw)).collect();
    Frames { interval_us: median(intervals), lag_us: median(lags) }
}

fn lag(draw: &mut impl FnMut() -> Option<Instant>) -> Option<u64> {
    std::thread::sleep(PAUSE);
    let wish = Instant::now();
    draw().map(|stamp| (stamp - wish).as_micros() as u64)
}

/// The middle value, the lower of two; 0 of nothing.
#[must_use]
pub fn median(mut values: Vec<u64>) -> u64 {
    values.sort_unstable();
    values.get(values.len().saturating_sub(1) / 2).copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_is_the_middle() {
        assert_eq!((median(vec![9, 1, 5]), median(vec![4, 1, 3, 2]), median(Vec::new())), (5, 2, 0));
    }

    #[test]
    fn a_hidden_window_measures_nothing() {
        assert_eq!(frames(|| None), Frames::default());
    }

    #[test]
    fn intervals_are_those_of_the_stamps() {
        let mut stamp = Instant::now();
        let steady = frames(|| {
            stamp += Duration::from_millis(16);
            Some(stamp)
        });
        assert_eq!(steady.interval_us, 16_000);
    }
}
