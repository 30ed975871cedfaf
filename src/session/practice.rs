//! What a practice session was for: stands in the header of its log.

use serde::{Deserialize, Serialize};

/// The part of a practice plan that a session was run by.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Practice {
    /// Name of the step.
    pub step: String,
    /// What practice is for.
    pub goal: Goal,
    /// Wanted share of presses in time.
    pub success: f64,
    /// The advised scan interval, or with a pointer the dwell time, in seconds, and how many days old the advice was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub advised: Option<(f64, u32)>,
}

/// What practice is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Goal {
    /// Timings may get faster, steps harder.
    Improve,
    /// What there is is kept: never faster than advised.
    Keep,
}
