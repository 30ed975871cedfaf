//! Where rest is: it follows slow drift, and is looked for again when the level has stood elsewhere.

use super::{Calibration, Thresholds};
use crate::time::{Moment, Span};

/// Time constant with which rest follows the level while nothing is pressed (common practice, no source).
const FOLLOWS: Span = Span::from_ms(5_000);
/// The level has stood still for this long: this is rest now.
const STANDS: Span = Span::from_ms(3_000);

/// The resting level.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rest {
    /// Where it is.
    pub level: f64,
    /// The level counts as back at rest within this.
    near: f64,
    /// Nothing can be pressed until the level has been seen at rest, or on its way.
    seeking: Option<Seek>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Seek {
    since: Moment,
    least: i32,
    greatest: i32,
    /// Where the level has been is not known: if it goes on away from rest, somebody works it.
    unheard: bool,
}

impl Rest {
    /// Not seen yet; it is expected where the calibration found it.
    pub fn new(calibration: &Calibration, thresholds: &Thresholds) -> Rest {
        let mut rest = Rest { level: f64::from(calibration.rest), near: 0.0, seeking: Some(Seek::NOWHERE) };
        rest.set(thresholds);
        rest
    }

    /// Takes other thresholds.
    pub fn set(&mut self, thresholds: &Thresholds) {
        let ends = [thresholds.above, thresholds.below].into_iter().flatten().map(|limits| limits.soft_off);
        self.near = ends.fold(f64::INFINITY, f64::min);
    }

    /// The level was `value` for so long while nothing was pressed.
    pub fn follow(&mut self, value: i32, span: Span) {
        if self.seeking.is_none() {
            let share = span.0 as f64 / (span.0 + FOLLOWS.0) as f64;
            self.level += share * (f64::from(value) - self.level);
        }
    }

    /// The device is gone. From now on nothing is pressed until the level has been seen at rest, or on its way from it.
    pub fn lose(&mut self) {
        self.seeking = Some(Seek::NOWHERE);
    }

    /// The level does not come back. From now on nothing is pressed until it is at rest.
    pub fn stands(&mut self) {
        self.seeking = Some(Seek { unheard: false, ..Seek::NOWHERE });
    }

    /// It has not been seen.
    pub fn is_sought(&self) -> bool {
        self.seeking.is_some()
    }

    /// The level is `value` from `at` on.
    pub fn look(&mut self, at: Moment, value: i32) {
        let Some(seek) = self.seeking else { return };
        let away = f64::from(value) - self.level;
        if away.abs() < self.near || seek.unheard && seek.went(value, away) >= self.near / 2.0 {
            self.seeking = None;
            return;
        }
        let wider = Seek { least: seek.least.min(value), greatest: seek.greatest.max(value), ..seek };
        let seen = seek.least <= seek.greatest;
        let still = seen && f64::from(wider.greatest) - f64::from(wider.least) < self.near;
        self.seeking = Some(if still { wider } else { Seek { since: at, least: value, greatest: value, ..seek } });
    }

    /// When a level that stands still is taken for rest.
    pub fn deadline(&self) -> Option<Moment> {
        self.seeking.filter(|seek| seek.least <= seek.greatest).map(|seek| seek.since + STANDS)
    }

    /// It has stood still for long enough.
    pub fn settle(&mut self) {
        if let Some(seek) = self.seeking.take() {
            self.level = f64::midpoint(f64::from(seek.least), f64::from(seek.greatest));
        }
    }
}

impl Seek {
    /// No value has been seen: the least is above the greatest, so that any value begins anew.
    const NOWHERE: Seek = Seek { since: Moment::START, least: i32::MAX, greatest: i32::MIN, unheard: true };

    /// How far the level has gone from rest, to the side on which it is, since it was heard first; nothing before that.
    fn went(&self, value: i32, away: f64) -> f64 {
        let from = if away > 0.0 { self.least } else { self.greatest };
        let heard = self.least <= self.greatest;
        if heard { (f64::from(value) - f64::from(from)) * away.signum() } else { 0.0 }
    }
}
