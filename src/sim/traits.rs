//! What a virtual client is like: everything that decides when it presses and how its contact behaves.
//!
//! All of it is invented or chosen; nothing here is measured. Zero, or the default, is a trait that
//! the client does not have. Times are in seconds.

use serde::{Deserialize, Serialize};

use super::hand::seconds;
use super::latency::Latency;
use crate::time::Moment;

/// How a virtual client works its switch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Traits {
    /// From the wanted entry's onset to the press, for a client who reacts.
    pub latency: Latency,
    /// A client who times its presses to the rhythm instead, wherever the entry can be foreseen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aim: Option<Aim>,
    /// Added to the latency when the wanted entry is the first of its group.
    #[serde(default)]
    pub first_item_s: f64,
    /// Share of lightings of the wanted entry that are let go by.
    #[serde(default)]
    pub miss: f64,
    /// Share of presses not made when the highlight has moved on before them.
    #[serde(default)]
    pub gives_up_late: f64,
    /// Involuntary presses a second, one by one.
    #[serde(default)]
    pub involuntary_per_s: f64,
    /// Involuntary presses in bursts.
    #[serde(default)]
    pub spasm: Spasm,
    /// Presses that repeat themselves.
    #[serde(default)]
    pub tremor: Tremor,
    /// Median time for which the switch is held.
    #[serde(default = "light_touch")]
    pub held_s: f64,
    /// Standard deviation of the natural logarithm of that time.
    #[serde(default = "even_touch")]
    pub held_scatter: f64,
    /// How it moves a pointer, where one works the menu.
    #[serde(default)]
    pub pointer: Pointing,
    /// How the contact behaves.
    #[serde(default)]
    pub contact: Contact,
    /// How time at work and practice change the client.
    #[serde(default)]
    pub course: Course,
    /// What it does after an error.
    #[serde(default)]
    pub recovery: Recovery,
    /// Share of questions that are answered with Rest.
    #[serde(default)]
    pub rests: f64,
    /// From here on, since the session began, it does nothing of its own will; 0 is a client who never
    /// does anything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stops_after_s: Option<f64>,
}

impl Traits {
    /// It does nothing of its own will.
    #[must_use]
    pub fn never_presses(&self) -> bool {
        self.miss >= 1.0 || self.stops_after_s.is_some_and(|seconds| seconds <= 0.0)
    }

    /// When it does nothing any more.
    pub(super) fn stops_at(&self) -> Moment {
        self.stops_after_s.map_or(Moment::NEVER, |stops| Moment::START + seconds(stops))
    }

    /// Share of presses that last at least so many seconds, 0 or more.
    #[must_use]
    pub fn lasts(&self, seconds: f64) -> f64 {
        if self.held_scatter <= 0.0 {
            return f64::from(u8::from(self.held_s >= seconds));
        }
        let z = libm::log(seconds / self.held_s) / self.held_scatter;
        0.5 * libm::erfc(z / std::f64::consts::SQRT_2)
    }
}

fn light_touch() -> f64 {
    STEADY.held_s
}

fn even_touch() -> f64 {
    STEADY.held_scatter
}

/// Where a client who times its presses to the rhythm aims, from the onset of the wanted entry.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Aim {
    /// Share of the scan interval.
    pub share: f64,
    /// Added to it, in seconds; negative aims before the onset.
    #[serde(default)]
    pub offset_s: f64,
    /// Standard deviation of the aim, whatever the interval, in seconds.
    pub sd_s: f64,
    /// Standard deviation that grows with the time waited, as a share of it.
    #[serde(default)]
    pub sd_share: f64,
}

/// Bursts of involuntary presses.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Spasm {
    /// Bursts a second.
    pub per_s: f64,
    /// Presses in each.
    pub presses: u8,
    /// Mean pause between two of them.
    pub gap_s: f64,
}

/// A press that becomes a train of presses.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Tremor {
    /// Share of presses that do.
    pub share: f64,
    /// Presses a second within the train.
    pub hertz: f64,
    /// Presses in all.
    pub presses: u8,
}

/// How a pointer is moved: set out for after a latency, moved in one stroke, and trembling all the while.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Pointing {
    /// Standard deviation of each sample's place across and down, in degrees of visual angle.
    pub tremor_deg: f64,
    /// What any stroke takes.
    pub move_s: f64,
    /// What it takes longer for each bit of the index of difficulty, log2(distance / size + 1).
    pub move_s_per_bit: f64,
    /// Share of ways that lead over another tile, on which the pointer rests while the eye searches.
    #[serde(skip_serializing_if = "is_nothing")]
    pub searches: f64,
    /// Mean of how long it rests there, beyond [`Pointing::SHORTEST_LOOK_S`].
    #[serde(skip_serializing_if = "is_nothing")]
    pub looks_s: f64,
}

fn is_nothing(value: &f64) -> bool {
    *value == 0.0
}

impl Pointing {
    /// No look at a tile is shorter (fixations of 0.15 to 0.5 s: Rayner 1998).
    pub const SHORTEST_LOOK_S: f64 = 0.15;
}

impl Default for Pointing {
    fn default() -> Pointing {
        UNHURRIED
    }
}

const UNHURRIED: Pointing =
    Pointing { tremor_deg: 0.15, move_s: 0.3, move_s_per_bit: 0.25, searches: 0.0, looks_s: 0.0 };

/// The electrical contact.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Contact {
    /// Times that the contact breaks and comes back each time it closes, and comes back and breaks
    /// each time it opens.
    pub bounces: u8,
    /// They are over within this time.
    pub bounce_s: f64,
    /// Times a second that the contact fails while it is held.
    pub drop_outs_per_s: f64,
    /// How long each failure lasts.
    pub drop_out_s: f64,
}

/// How time at work and practice change a client.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Course {
    /// Growth of the natural logarithm of the latency in a minute of work.
    pub slower_per_min: f64,
    /// Growth of the share of lightings let go by in a minute of work.
    pub lapses_per_min: f64,
    /// Share of the work so far that a rest undoes.
    pub rest_undoes: f64,
    /// By how much the first latency is longer than one after much practice, as a share.
    pub unpractised: f64,
    /// Presses after which that share has fallen to 37 %.
    pub practice_presses: f64,
}

/// What a client does after an error.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Recovery {
    /// Chance of taking the way out each time it is lit in a group entered by mistake; otherwise the
    /// client waits for the scan to leave it.
    pub takes_exit: f64,
    /// Chance of trying again when the same target is asked for after a wrong choice.
    pub tries_again: f64,
}

impl Default for Recovery {
    fn default() -> Recovery {
        CORRECTS
    }
}

const CORRECTS: Recovery = Recovery { takes_exit: 1.0, tries_again: 1.0 };

/// A person of the invented scenario: steady, unhurried, with a light touch of the cheek.
pub const STEADY: Traits = Traits {
    latency: Latency::ExGaussian { mu_s: 0.55, sigma_s: 0.07, tau_s: 0.16 },
    aim: None,
    first_item_s: 0.0,
    miss: 0.03,
    gives_up_late: 0.0,
    involuntary_per_s: 0.004,
    spasm: Spasm { per_s: 0.0, presses: 0, gap_s: 0.0 },
    tremor: Tremor { share: 0.0, hertz: 0.0, presses: 0 },
    held_s: 0.22,
    held_scatter: 0.25,
    pointer: UNHURRIED,
    contact: Contact { bounces: 0, bounce_s: 0.0, drop_outs_per_s: 0.0, drop_out_s: 0.0 },
    course: Course {
        slower_per_min: 0.0,
        lapses_per_min: 0.0,
        rest_undoes: 0.0,
        unpractised: 0.0,
        practice_presses: 0.0,
    },
    recovery: CORRECTS,
    rests: 0.1,
    stops_after_s: None,
};
