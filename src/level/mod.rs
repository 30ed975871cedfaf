//! A level that rises and falls as up to four switches: the pressure of a breath, the loudness of a voice.
//!
//! Samples with stamps go in, in whole units of the device; raw edges of switches come out and go through
//! the same filter as any other. A calibration says where rest is, how noisy it is and how far this
//! person comfortably goes to either side; settings say at which shares of that a soft and a hard press
//! begin. Thresholds inside the noise are refused.
//!
//! Nothing here knows what the level is of, reads a clock or opens a device. The machine needs no fixed
//! rate: between two samples the level is taken to stand.
//!
//! No open standard and no paper was found that gives thresholds for a breath: the shares are common
//! practice, no source.

mod ask;
mod breath;
mod calibration;
mod calibrator;
mod follow;
mod rest;
mod thin;
mod thresholds;
pub mod units;

use serde::{Deserialize, Serialize};

pub use ask::Ask;
pub use calibration::Calibration;
pub use calibrator::Calibrator;
pub use follow::{Level, Told, Trouble};
pub use thresholds::{Limits, Refusal, Thresholds};

/// To which side of rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Above rest: a puff, a voice.
    Above,
    /// Below rest: a sip.
    Below,
}

/// How far.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Strength {
    /// Past the soft threshold; where no hard press is asked for on this side, anything past it.
    Soft,
    /// Past the hard threshold.
    Hard,
}

/// One of the four switches that a level can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Way {
    /// To which side.
    pub side: Side,
    /// How far.
    pub strength: Strength,
}

/// The device gives values from `least` to `greatest`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Range {
    /// The least value.
    pub least: i32,
    /// The greatest value.
    pub greatest: i32,
}

impl Side {
    /// Both.
    pub const ALL: [Side; 2] = [Side::Above, Side::Below];

    /// How far `value` lies to this side of `rest`; negative on the other side.
    #[must_use]
    pub fn from_rest(self, value: f64, rest: f64) -> f64 {
        match self {
            Side::Above => value - rest,
            Side::Below => rest - value,
        }
    }
}

impl Way {
    /// All four.
    pub const ALL: [Way; 4] = [
        Way { side: Side::Below, strength: Strength::Soft },
        Way { side: Side::Below, strength: Strength::Hard },
        Way { side: Side::Above, strength: Strength::Soft },
        Way { side: Side::Above, strength: Strength::Hard },
    ];
}

#[cfg(test)]
mod tests;
