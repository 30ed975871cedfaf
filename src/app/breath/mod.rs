//! A level as a switch, a breath's pressure or a sound's loudness: where it comes from, its calibration, and an emulator.

pub mod calibrate;
pub mod emulator;
pub mod source;

mod words;

use crate::level::Calibration;
use crate::settings::Settings;

/// What the window has to know of the level that works its switches.
#[derive(Clone, Debug)]
pub struct LevelConfig {
    /// Where it comes from.
    pub source: source::Source,
    /// The settings that decide its thresholds.
    pub settings: Settings,
    /// What an earlier session has found out about it, to be used again or not.
    pub kept: Option<Kept>,
}

/// A calibration of an earlier session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// What was found.
    pub found: Calibration,
    /// The day it was found, for people to read.
    pub day: String,
}
