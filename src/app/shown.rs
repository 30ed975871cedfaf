//! The way of `Shown` stamps from the render thread to the window thread.
//!
//! Stamp and entry are one step under the lock, so whoever stamps an edge and then takes all that
//! was shown up to it has every frame that was handed over before that edge.

use std::collections::VecDeque;
use std::sync::Mutex;
use std::time::Instant;

use crate::lock::past_panics;

/// A scene that was handed to the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    /// Its number.
    pub number: u64,
    /// When.
    pub at: Instant,
}

/// Oldest first.
#[derive(Debug, Default)]
pub struct ShownQueue {
    waiting: Mutex<VecDeque<Shown>>,
}

impl ShownQueue {
    /// The scene with this number is handed over now; tells the stamp.
    pub fn stamp(&self, number: u64) -> Instant {
        let mut waiting = past_panics(&self.waiting);
        let at = Instant::now();
        waiting.push_back(Shown { number, at });
        at
    }

    /// The oldest that was handed over at `until` or before.
    pub fn take(&self, until: Instant) -> Option<Shown> {
        let mut waiting = past_panics(&self.waiting);
        if waiting.front()?.at <= until { waiting.pop_front() } else { None }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_came_after_stays() {
        let queue = ShownQueue::default();
        queue.stamp(1);
        queue.stamp(2);
        let between = Instant::now();
        std::thread::sleep(std::time::Duration::from_millis(1));
        queue.stamp(3);
        let numbers: Vec<u64> = std::iter::from_fn(|| queue.take(between)).map(|shown| shown.number).collect();
        assert_eq!(numbers, [1, 2]);
        assert_eq!(queue.take(Instant::now()).map(|shown| shown.number), Some(3));
    }
}
