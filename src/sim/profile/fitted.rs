//! What a profile that was fitted to logs rests on, and what they leave open.
//!
//! ```json
//! "fitted": {
//!   "sessions": 1, "presses": 45, "set_up": "right cheek", "invented": false,
//!   "measured": [{ "trait": "latency, mean", "unit": "s", "value": 0.71, "low": 0.66, "high": 0.76, "count": 45 }],
//!   "assumed": [{ "trait": "recovery", "value": "corrects every error", "why": "no block measures it" }],
//!   "draws": [{ "latency": { "law": "ex-gaussian", "mu_s": 0.55, "sigma_s": 0.07, "tau_s": 0.16 }, "miss": 0.03 }]
//! }
//! ```
//!
//! Intervals are 90 %. Each draw is one guess at the truth, as likely as any other; what a draw does
//! not hold stays as in `traits`.

use serde::{Deserialize, Serialize};

use super::super::latency::Latency;
use super::super::traits::{Aim, Traits};
use super::Profile;

/// How a profile came from logs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fitted {
    /// Sessions that it rests on.
    pub sessions: u32,
    /// Presses that its latencies rest on.
    pub presses: u32,
    /// Switch, site, mounting and position.
    pub set_up: String,
    /// A virtual client pressed.
    pub invented: bool,
    /// What was measured.
    pub measured: Vec<Measured>,
    /// What the logs cannot tell.
    pub assumed: Vec<Assumed>,
    /// Guesses at the truth.
    pub draws: Vec<Draw>,
}

/// One thing that was measured.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Its name.
    #[serde(rename = "trait")]
    pub name: String,
    /// Unit of the three values: `s`, `share`, `per min`, `Hz`, `presses`.
    pub unit: String,
    /// What was found.
    pub value: f64,
    /// Lower end of its 90 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// How many presses, lightings or seconds it rests on.
    pub count: u32,
}

/// One thing that was not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Assumed {
    /// Its name.
    #[serde(rename = "trait")]
    pub name: String,
    /// What is taken for it.
    pub value: String,
    /// Why it was not measured.
    pub why: String,
}

/// One guess at what the client is like.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Draw {
    /// From onset to press.
    pub latency: Latency,
    /// Where a client aims who times the presses.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aim: Option<Aim>,
    /// Added at the first of a group.
    #[serde(default)]
    pub first_item_s: f64,
    /// Share of lightings let go by.
    #[serde(default)]
    pub miss: f64,
    /// Share of late presses not made.
    #[serde(default)]
    pub gives_up_late: f64,
    /// Involuntary presses a second.
    #[serde(default)]
    pub involuntary_per_s: f64,
    /// Growth of ln latency in a minute of work.
    #[serde(default)]
    pub slower_per_min: f64,
}

impl Draw {
    /// A client who is like this, and otherwise like `traits`.
    #[must_use]
    pub fn over(&self, traits: &Traits) -> Traits {
        Traits {
            latency: self.latency.clone(),
            aim: self.aim,
            first_item_s: self.first_item_s,
            miss: self.miss,
            gives_up_late: self.gives_up_late,
            involuntary_per_s: self.involuntary_per_s,
            course: super::super::traits::Course { slower_per_min: self.slower_per_min, ..traits.course },
            ..traits.clone()
        }
    }
}

impl Profile {
    /// The clients that the profile may stand for: one for each draw, or the one that it describes
    /// where it was not fitted.
    #[must_use]
    pub fn guesses(&self) -> Vec<Traits> {
        match &self.fitted {
            Some(fitted) if !fitted.draws.is_empty() => {
                fitted.draws.iter().map(|draw| draw.over(&self.traits)).collect()
            }
            _ => vec![self.traits.clone()],
        }
    }
}
