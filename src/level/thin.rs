//! Which samples matter: what changes nothing is neither followed nor logged.
//!
//! A sample matters when it lies on another side of a threshold than the last one that mattered, when it
//! is further from it than the noise of the rest, or when a second has passed. So a press can come out
//! of all samples only where it comes out of those that matter, and a log of these gives the same presses.

use super::{Calibration, Side, Thresholds};
use crate::time::{Moment, Span};

/// The longest time without a sample, while there are any.
const HEARTBEAT: Span = Span::from_ms(1_000);
/// The finest steps: a share of the smallest effort.
const STEPS: f64 = 100.0;

/// The last sample that mattered.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Thin {
    step: f64,
    thresholds: Thresholds,
    pub last: Option<(Moment, i32)>,
}

impl Thin {
    pub fn new(calibration: &Calibration, thresholds: Thresholds) -> Thin {
        let efforts = Side::ALL.into_iter().filter_map(|side| calibration.effort(side));
        let least = efforts.min().unwrap_or_default();
        Thin { step: (f64::from(least) / STEPS).max(f64::from(calibration.noise)).max(1.0), thresholds, last: None }
    }

    /// Takes other thresholds.
    pub fn set(&mut self, thresholds: Thresholds) {
        self.thresholds = thresholds;
    }

    /// How far a level goes before that is a movement.
    pub fn step(&self) -> f64 {
        self.step
    }

    /// Whether this sample matters, with rest at `rest`.
    pub fn matters(&self, at: Moment, value: i32, rest: f64) -> bool {
        let Some((before, last)) = self.last else { return true };
        at.since(before) >= HEARTBEAT
            || (f64::from(value) - f64::from(last)).abs() >= self.step
            || self.zone(value, rest) != self.zone(last, rest)
    }

    /// How many thresholds lie between rest and this value; below rest negative.
    fn zone(&self, value: i32, rest: f64) -> i32 {
        let passed = |side: Side| {
            let far = side.from_rest(f64::from(value), rest);
            let limits = self.thresholds.side(side);
            limits.map_or(0, |one| {
                [one.soft_off, one.soft_on, one.hard_off, one.hard_on].map(|limit| i32::from(far >= limit)).iter().sum()
            })
        };
        passed(Side::Above) - passed(Side::Below)
    }
}
