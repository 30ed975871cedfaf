//! Which frame is heard when, found from the pulls of the sound device.
//!
//! The device pulls buffers when it has room; the call comes late now and then, never early, so the least of the
//! offsets between the device's frames and our clock within the last seconds is the true one. It is taken anew all the
//! time, because the two clocks drift apart.

use std::collections::VecDeque;

use crate::time::Moment;

/// What is remembered, in microseconds of sound.
const WINDOW_US: i64 = 3_000_000;
/// The most pulls that are remembered: of a device that pulls more often, the last ones.
const SEEN: usize = 1_024;
/// The last pulls; when the least of them lies so much above the least of all, frames were lost.
const LATEST: usize = 16;
const GAP_US: i64 = 3_000;
/// A single pull that comes so much too late tells it alone: the device has stood still.
const STOOD_US: i64 = 100_000;

/// The offset between the frames of a device and our clock.
#[derive(Clone, Debug)]
pub struct Pulls {
    rate: u32,
    /// Of each pull: its first frame, as microseconds of sound, and the moment at which that is heard less them.
    seen: VecDeque<(i64, i64)>,
    /// The least offset of them.
    offset: Option<i64>,
}

impl Pulls {
    /// Nothing has been pulled yet, at so many frames a second.
    #[must_use]
    pub fn new(rate: u32) -> Pulls {
        Pulls { rate, seen: VecDeque::with_capacity(SEEN), offset: None }
    }

    /// The frame `first` and those behind it were pulled; the device says that it will be heard at `heard`.
    pub fn pulled(&mut self, first: u64, heard: Moment) {
        let place = self.us(first);
        let full = self.seen.len() == SEEN;
        self.seen.drain(..usize::from(full));
        while self.seen.front().is_some_and(|(before, _)| *before < place - WINDOW_US) {
            self.seen.pop_front();
        }
        let offset = heard.0 as i64 - place;
        if self.offset.is_some_and(|least| offset > least + STOOD_US) {
            self.seen.clear();
        }
        self.seen.push_back((place, offset));
        let latest = self.seen.len().saturating_sub(LATEST);
        if latest > 0 && self.least(latest) > self.least(0).map(|all| all + GAP_US) {
            self.seen.drain(..latest);
        }
        self.offset = self.least(0);
    }

    fn least(&self, from: usize) -> Option<i64> {
        self.seen.range(from..).map(|(_, offset)| *offset).min()
    }

    /// When a frame is heard; `None` before the first pull.
    #[must_use]
    pub fn heard(&self, frame: u64) -> Option<Moment> {
        Some(Moment((self.us(frame) + self.offset?).max(0) as u64))
    }

    /// The frame that is heard at a moment.
    #[must_use]
    pub fn frame(&self, heard: Moment) -> Option<u64> {
        let us = (heard.0 as i64 - self.offset?).max(0);
        Some((i128::from(us) * i128::from(self.rate) / 1_000_000) as u64)
    }

    fn us(&self, frame: u64) -> i64 {
        (u128::from(frame) * 1_000_000 / u128::from(self.rate.max(1))) as i64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn late_calls_do_not_move_the_frames() {
        let mut pulls = Pulls::new(48_000);
        assert_eq!(pulls.heard(0), None);
        for (call, late) in [0_u64, 2_000, 700, 0, 3_100].into_iter().enumerate() {
            pulls.pulled(480 * call as u64, Moment(1_000_000 + 10_000 * call as u64 + late));
        }
        assert_eq!(pulls.heard(48_000), Some(Moment(2_000_000)));
        assert_eq!(pulls.frame(Moment(2_000_000)), Some(48_000));
    }

    #[test]
    fn lost_frames_are_noticed_within_a_few_pulls() {
        let mut pulls = Pulls::new(48_000);
        let heard = |call: u64| Moment(10_000 * call + if call < 100 { 0 } else { 50_000 });
        (0..100 + LATEST as u64).for_each(|call| pulls.pulled(480 * call, heard(call)));
        assert_eq!(pulls.heard(480 * 200), Some(Moment(2_050_000)));
    }
}
