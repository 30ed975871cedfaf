//! The first line of a log: all that is needed to run the session again and to judge its numbers.

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::session::protocol::Protocol;
use crate::session::setup::Setup;
use crate::settings::Settings;

/// The header. The wall clock and everything measured on the machine stand here and nowhere else,
/// so that two runs with one seed differ on this line only.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Header {
    /// Always [`Header::FORMAT`].
    pub format: String,
    /// Version of the format.
    pub version: u32,
    /// Version of the program that wrote it.
    pub program: String,
    /// Code of the client.
    pub client: String,
    /// A virtual client pressed: the data are invented.
    pub invented: bool,
    /// Wall clock at [`crate::time::Moment::START`], RFC 3339 with offset.
    pub began: String,
    /// Seed of all draws.
    pub seed: u64,
    /// Circumstances.
    pub setup: Setup,
    /// All settings at the start.
    pub settings: Settings,
    /// The protocol in full.
    pub protocol: Protocol,
    /// The menu in full, as in a menu file.
    pub menu: Value,
    /// What was measured of clock, frames and input before the start.
    pub measured: Measured,
}

/// How good the rulers were. Zero means that it was not measured.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Measured {
    /// Least step of the clock, in nanoseconds.
    pub clock_step_ns: u64,
    /// Cost of reading the clock, in nanoseconds.
    pub clock_read_ns: u64,
    /// Median interval between frames, in microseconds.
    pub frame_interval_us: u64,
    /// Median time from a scene's deadline to its frame's hand-over, in microseconds.
    pub frame_lag_us: u64,
    /// Steps at which the input device is polled, in microseconds; 0 where it is not polled.
    pub input_step_us: u64,
    /// Kind of display and driver.
    pub display: String,
}

impl Header {
    /// What the `format` field holds.
    pub const FORMAT: &'static str = "pacewright session log";
    /// The version written; older ones are read.
    pub const VERSION: u32 = 1;
}
