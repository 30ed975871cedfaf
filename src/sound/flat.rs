//! Whether a microphone hears anything at all. One that is muted, or a stand-in of the system's for one that was
//! unplugged, gives zeros and nothing else; a room, even a silent one, hardly does (common
//! practice, no source).
//!
//! Some microphones give zeros between sounds, because a filter shuts whatever is not speech out. So zeros tell only of
//! one that has never been heard, and of one that used to give none.

use crate::time::{Moment, Span};

/// So long without a zero, and zeros are none of its ways (common practice, no source).
const FLOOR: Span = Span::from_ms(2_000);
/// So long nothing but zeros (common practice, no source).
const FLAT: Span = Span::from_ms(2_000);

/// What is known of one microphone.
#[derive(Clone, Debug, Default)]
pub struct Flat {
    /// Since when there have been zeros only, or none.
    zeros: Option<(bool, Moment)>,
    heard: bool,
    floor: bool,
    flat: bool,
}

impl Flat {
    /// The level is this at `at`; gives what that changes: nothing is heard (`true`), or something is again.
    pub fn level(&mut self, at: Moment, value: i32) -> Option<bool> {
        let zero = value == 0;
        let (_, since) = *self.zeros.insert(self.zeros.filter(|(zeros, _)| *zeros == zero).unwrap_or((zero, at)));
        let long = at.since(since);
        self.heard |= !zero;
        self.floor |= !zero && long >= FLOOR;
        let flat = zero && (self.flat || (self.floor || !self.heard) && long >= FLAT);
        (std::mem::replace(&mut self.flat, flat) != flat).then_some(flat)
    }

    /// Nothing is heard.
    #[must_use]
    pub fn is_flat(&self) -> bool {
        self.flat
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// So many milliseconds of a level.
    type Part = (u64, fn(u64) -> i32);

    /// The changes, in milliseconds, of a level every 5 ms.
    fn told(parts: &[Part]) -> Vec<(u64, bool)> {
        let (mut flat, mut at, mut told) = (Flat::default(), 0, Vec::new());
        for (lasts, value) in parts {
            let end = at + lasts;
            while at < end {
                told.extend(flat.level(Moment(at * 1_000), value(at)).map(|flat| (at, flat)));
                at += 5;
            }
        }
        told
    }

    const ZERO: fn(u64) -> i32 = |_| 0;
    const ROOM: fn(u64) -> i32 = |ms| 900 + (ms % 7) as i32;

    #[test]
    fn one_that_has_never_been_heard_is_flat_until_it_is() {
        assert_eq!(told(&[(5_000, ZERO), (1_000, ROOM)]), [(2_000, true), (5_000, false)]);
    }

    #[test]
    fn one_that_used_to_hear_the_room_is_flat_when_it_hears_none() {
        let unplugged = told(&[(3_000, ROOM), (4_000, ZERO), (3_000, ROOM)]);
        assert_eq!(unplugged, [(5_000, true), (7_000, false)]);
        assert_eq!(told(&[(3_000, ROOM), (1_900, ZERO), (3_000, ROOM)]), [], "a gap is none");
    }

    #[test]
    fn one_that_gives_zeros_between_sounds_is_not() {
        let voice: fn(u64) -> i32 = |ms| if ms % 6_000 < 700 { 40_000 } else { 0 };
        assert_eq!(told(&[(60_000, voice)]), []);
    }
}
