//! One trial as it stands in the log.

use serde::{Deserialize, Serialize};

use super::event::BlockKind;
use super::input::{Interruption, Prompt};
use crate::time::{Moment, Span};

/// One judged trial.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Trial {
    /// Place of its block in the protocol, from 0.
    pub block: u16,
    /// Kind of its block.
    pub kind: BlockKind,
    /// Number in its block, from 1.
    pub trial: u32,
    /// `false` for practice.
    pub scored: bool,
    /// How it ended: the first thing that went wrong, or a hit.
    pub outcome: Outcome,
    /// The target was taken in the end.
    pub reached: bool,
    /// Id of the target.
    pub target: String,
    /// First or second try at this target.
    pub attempt: u8,
    /// The cue began.
    pub cued: Moment,
    /// The scan (or the wait) began.
    pub began: Moment,
    /// It was judged.
    pub ended: Moment,
    /// The random wait drawn, in reaction blocks.
    pub wait_us: Option<Span>,
    /// Position of the target in its last group, from 0.
    pub position: u16,
    /// Entries in that group.
    pub count: u16,
    /// Scan interval in force.
    pub interval_us: Span,
    /// Number of the set of settings in force, see [`super::event::Event::Settings`].
    pub settings: u32,
    /// Passes over the target's group that went by without a press while it could have been taken.
    pub passes_missed: u32,
    /// Accepted presses, in order.
    pub presses: Vec<Press>,
    /// Outcome of the trial before in this block.
    pub previous: Option<Outcome>,
    /// Help given.
    pub prompt: Prompt,
    /// What came between.
    pub interruption: Option<Interruption>,
    /// Left out of the findings, and why.
    pub excluded: Option<String>,
}

/// One accepted press within a trial.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Press {
    /// The contact closed.
    pub pressed: Moment,
    /// The filter accepted it.
    pub accepted: Moment,
    /// What it did.
    pub outcome: Outcome,
    /// Levels below the top at which it came: 0 at the top.
    pub level: u8,
    /// Position of the entry it took, from 0; `None` when nothing was there to take.
    pub position: Option<u16>,
    /// Position of the entry that was wanted, from 0.
    pub wanted: u16,
    /// Entries in the group.
    pub count: u16,
    /// Press minus the moment at which the wanted entry was (or would have been) shown, in
    /// microseconds: negative for an early press, beyond the interval for a late one. `None` for a
    /// press that was meant for nothing.
    pub latency_us: Option<i64>,
}

/// How a press or a trial is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// The wanted entry, at its time.
    Hit,
    /// The entry before the wanted one, or before it lit.
    Early,
    /// The entry after the wanted one.
    Late,
    /// No press in all loops.
    Omission,
    /// A press when nothing was there to take, or after a hit.
    Extra,
    /// Another entry, not next to the wanted one.
    Wrong,
    /// Broken off: pause, stall, stuck switch.
    Aborted,
}

impl Outcome {
    /// All of them, in the order of reports.
    pub const ALL: [Outcome; 7] = [
        Outcome::Hit,
        Outcome::Early,
        Outcome::Late,
        Outcome::Omission,
        Outcome::Extra,
        Outcome::Wrong,
        Outcome::Aborted,
    ];

    /// Its word in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Outcome::Hit => "hit",
            Outcome::Early => "early",
            Outcome::Late => "late",
            Outcome::Omission => "omission",
            Outcome::Extra => "extra",
            Outcome::Wrong => "wrong",
            Outcome::Aborted => "aborted",
        }
    }
}

impl Trial {
    /// The whole of it was missed: in none of its passes, at none of its levels, was there a press for its target.
    #[must_use]
    pub fn was_missed(&self) -> bool {
        self.outcome == Outcome::Omission && self.meant().is_none()
    }

    /// The last press that was meant for its target.
    #[must_use]
    pub fn meant(&self) -> Option<&Press> {
        self.presses.iter().rev().find(|press| press.outcome != Outcome::Extra)
    }

    /// Whether it enters the findings: scored, unassisted, not broken off, not left out.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.scored && self.excluded.is_none() && self.prompt == Prompt::None && self.outcome != Outcome::Aborted
    }
}
