//! A switch that changes faster than any hand is shut out until it is quiet.
//!
//! A chattering contact or a device that floods would fill the log and starve the scan. Up to the
//! limit everything goes through, so that a switch check sees the chatter.

use std::time::{Duration, Instant};

use crate::app::binding::Binding;

/// More raw changes in a second than tremor and bounce can make.
const MOST: u32 = 200;
const WINDOW: Duration = Duration::from_secs(1);

/// What becomes of an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passage {
    /// It goes through.
    Through,
    /// From this one on its switch is shut out.
    ShutOut,
    /// It is left out.
    LeftOut,
    /// It goes through again; so many were left out before it.
    Again(u64),
}

/// All switches that changed lately.
#[derive(Clone, Debug, Default)]
pub struct Floods {
    switches: Vec<Seen>,
}

#[derive(Clone, Debug)]
struct Seen {
    binding: Binding,
    since: Instant,
    count: u32,
    last: Instant,
    left_out: Option<u64>,
}

impl Floods {
    /// Counts a raw change at `at`.
    pub fn edge(&mut self, at: Instant, binding: Binding) -> Passage {
        let place = self.switches.iter().position(|seen| seen.binding == binding).unwrap_or_else(|| {
            self.switches.push(Seen { binding, since: at, count: 0, last: at, left_out: None });
            self.switches.len() - 1
        });
        self.switches[place].edge(at)
    }
}

impl Seen {
    fn edge(&mut self, at: Instant) -> Passage {
        let quiet = at.saturating_duration_since(self.last) >= WINDOW;
        self.last = at;
        if let Some(left_out) = self.left_out {
            if !quiet {
                self.left_out = Some(left_out + 1);
                return Passage::LeftOut;
            }
            (self.left_out, self.since, self.count) = (None, at, 1);
            return Passage::Again(left_out);
        }
        if at.saturating_duration_since(self.since) >= WINDOW {
            (self.since, self.count) = (at, 0);
        }
        self.count += 1;
        if self.count > MOST {
            self.left_out = Some(1);
            return Passage::ShutOut;
        }
        Passage::Through
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chattering_switch_is_shut_out_until_it_has_been_quiet_for_a_second() {
        let (mut floods, start) = (Floods::default(), Instant::now());
        let binding: Binding = "key Space".parse().unwrap();
        let mut edge = |ms| floods.edge(start + Duration::from_millis(ms), binding);
        let passages: Vec<Passage> = (0..3_000).map(&mut edge).collect();
        let count = |wanted| passages.iter().filter(|passage| **passage == wanted).count();
        assert_eq!(count(Passage::Through), 200);
        assert_eq!((count(Passage::ShutOut), count(Passage::LeftOut)), (1, 2_799));
        assert_eq!(edge(3_500), Passage::LeftOut);
        assert_eq!(edge(4_600), Passage::Again(2_801));
        assert_eq!(edge(4_700), Passage::Through);
    }

    #[test]
    fn the_fastest_hand_goes_through() {
        // Tremor of 12 Hz with three changes at either edge: 72 changes a second.
        let (mut floods, start) = (Floods::default(), Instant::now());
        let binding: Binding = "mouse button 1".parse().unwrap();
        let through = |n: u64| floods.edge(start + Duration::from_millis(n * 1_000 / 72), binding) == Passage::Through;
        assert!((0..720).all(through));
    }
}
