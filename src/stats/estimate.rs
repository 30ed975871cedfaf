//! How sure an estimate is: an interval and its level.

/// An interval, both ends included, in the unit of the estimate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Lower and upper end.
    #[must_use]
    pub fn ends(self) -> [f64; 2] {
        [self.low, self.high]
    }

    /// Both ends multiplied by a positive factor.
    #[must_use]
    pub fn times(self, factor: f64) -> Interval {
        Interval { low: self.low * factor, high: self.high * factor }
    }
}

/// A confidence level: a share strictly between 0 and 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level(f64);

impl Level {
    /// 90 %.
    pub const NINETY: Level = Level(0.90);
    /// 95 %.
    pub const NINETY_FIVE: Level = Level(0.95);

    /// A level of one's own; `None` unless it lies strictly between 0 and 1.
    #[must_use]
    pub fn new(share: f64) -> Option<Level> {
        (share > 0.0 && share < 1.0).then_some(Level(share))
    }

    /// The share, for example 0.95.
    #[must_use]
    pub fn share(self) -> f64 {
        self.0
    }

    /// The share left out on either side: 0.025 at 95 %.
    #[must_use]
    pub fn tail(self) -> f64 {
        (1.0 - self.0) / 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::Level;

    #[test]
    fn a_level_lies_between_nothing_and_certainty() {
        assert_eq!(Level::new(0.95), Some(Level::NINETY_FIVE));
        assert_eq!((Level::new(0.0), Level::new(1.0), Level::new(f64::NAN)), (None, None, None));
    }
}
