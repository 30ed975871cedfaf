//! From a calibration and the settings to thresholds, or to the reason why there are none.

use std::fmt;

use super::{Calibration, Side};
use crate::settings::Settings;

/// The soft threshold has to be this many times the noise of the rest.
const SOFT_OVER_NOISE: f64 = 2.0;
/// Letting go has to be seen over the noise as well.
const LET_GO_OVER_NOISE: f64 = 1.0;

/// The thresholds of both sides; at least one is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thresholds {
    /// Above rest.
    pub above: Option<Limits>,
    /// Below rest.
    pub below: Option<Limits>,
}

/// The thresholds of one side, each as far from rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// A press begins here.
    pub soft_on: f64,
    /// It ends below this.
    pub soft_off: f64,
    /// It is a hard one from here.
    pub hard_on: f64,
    /// It is no longer hard below this.
    pub hard_off: f64,
}

/// Why a level cannot be used as a switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// No value came.
    Silent,
    /// The level rests at the end of what the device can give.
    AtItsEnd,
    /// Nothing was seen to this side when an effort was asked for.
    NoEffort(Side),
    /// The thresholds of this side lie inside the noise of the rest.
    InNoise {
        /// Which side.
        side: Side,
        /// Where the soft press would begin.
        soft: u32,
        /// Where it would have to begin at least.
        least: u32,
    },
    /// Neither side was calibrated.
    NoSide,
}

impl Thresholds {
    /// The thresholds of one side.
    #[must_use]
    pub fn side(&self, side: Side) -> Option<Limits> {
        match side {
            Side::Above => self.above,
            Side::Below => self.below,
        }
    }
}

impl Limits {
    /// Those of an effort that goes this far.
    #[must_use]
    pub fn new(effort: f64, settings: &Settings) -> Limits {
        let soft_on = effort * settings.level_soft();
        let soft_off = soft_on * settings.level_let_go();
        let hard_on = effort * settings.level_hard();
        Limits { soft_on, soft_off, hard_on, hard_off: hard_on - (soft_on - soft_off) }
    }
}

impl Calibration {
    /// The thresholds under these settings.
    ///
    /// # Errors
    /// When a side's thresholds lie inside the noise of the rest, or no side was calibrated.
    pub fn thresholds(&self, settings: &Settings) -> Result<Thresholds, Refusal> {
        let (above, below) = (self.limits(Side::Above, settings)?, self.limits(Side::Below, settings)?);
        if above.or(below).is_none() {
            return Err(Refusal::NoSide);
        }
        Ok(Thresholds { above, below })
    }

    fn limits(&self, side: Side, settings: &Settings) -> Result<Option<Limits>, Refusal> {
        let Some(effort) = self.effort(side) else { return Ok(None) };
        let limits = Limits::new(f64::from(effort), settings);
        let noise = f64::from(self.noise);
        let least = (noise * SOFT_OVER_NOISE).max(noise * LET_GO_OVER_NOISE / settings.level_let_go());
        if limits.soft_on <= least {
            return Err(Refusal::InNoise { side, soft: limits.soft_on as u32, least: least as u32 + 1 });
        }
        Ok(Some(limits))
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::Silent => f.write_str("no level came from this device; check its plug, or choose another axis"),
            Refusal::AtItsEnd => f.write_str(
                "at rest the level stands at the end of its range; check plug and tube, or choose another axis",
            ),
            Refusal::NoEffort(side) => {
                write!(f, "nothing was seen {} rest; check the tube, or do without this side", words(*side))
            }
            Refusal::InNoise { side, soft, least } => write!(
                f,
                "a soft press {} rest would begin at {soft}, inside the noise of the rest; it has to begin at {least} at \
                 least: look for what moves the level at rest, make `level_soft` larger, or do without this side",
                words(*side)
            ),
            Refusal::NoSide => f.write_str("neither side is used; choose one"),
        }
    }
}

impl std::error::Error for Refusal {}

fn words(side: Side) -> &'static str {
    match side {
        Side::Above => "above",
        Side::Below => "below",
    }
}
