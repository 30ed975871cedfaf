//! What was found out about one person and one source of a level.

use serde::{Deserialize, Serialize};

use super::{Range, Side};

/// Rest, its noise and the efforts, in whole units of the device.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Calibration {
    /// The level at rest: the median over the time of the rest.
    pub rest: i32,
    /// For 99 % of the time of the rest the level was no further from it.
    pub noise: u32,
    /// How far the level went above rest in each comfortable effort; empty when that side is not used.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub above: Vec<u32>,
    /// The same below rest.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub below: Vec<u32>,
    /// What the device can give.
    pub range: Range,
}

impl Calibration {
    /// The efforts to one side.
    #[must_use]
    pub fn efforts(&self, side: Side) -> &[u32] {
        match side {
            Side::Above => &self.above,
            Side::Below => &self.below,
        }
    }

    /// The comfortable effort to one side, the median of them; the lower of two. `None` when the side is not used.
    #[must_use]
    pub fn effort(&self, side: Side) -> Option<u32> {
        let mut efforts = self.efforts(side).to_vec();
        efforts.sort_unstable();
        efforts.get(efforts.len().checked_sub(1)? / 2).copied()
    }

    /// The greatest effort to this side is more than twice the least: it is not yet the same movement.
    #[must_use]
    pub fn is_uneven(&self, side: Side) -> bool {
        let efforts = self.efforts(side);
        let (least, greatest) = (efforts.iter().min(), efforts.iter().max());
        least.zip(greatest).is_some_and(|(least, greatest)| u64::from(*greatest) > 2 * u64::from(*least))
    }

    /// An effort to this side reached the end of what the device can give.
    #[must_use]
    pub fn is_cut_off(&self, side: Side) -> bool {
        let end = match side {
            Side::Above => self.range.greatest.abs_diff(self.rest),
            Side::Below => self.rest.abs_diff(self.range.least),
        };
        self.efforts(side).iter().any(|effort| *effort >= end)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_effort_is_the_middle_one() {
        let range = Range { least: -1_000, greatest: 1_000 };
        let calibration = Calibration { rest: 100, noise: 5, above: vec![900, 400, 500], below: Vec::new(), range };
        assert_eq!(calibration.effort(Side::Above), Some(500));
        assert_eq!(calibration.effort(Side::Below), None);
        assert!(calibration.is_uneven(Side::Above) && !calibration.is_uneven(Side::Below));
        assert!(calibration.is_cut_off(Side::Above) && !calibration.is_cut_off(Side::Below));
    }
}
