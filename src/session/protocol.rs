//! What a session consists of: blocks in order, as a protocol file states them.

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use super::event::BlockKind;
use super::stop::{Precision, StopRules};
use crate::settings::{Id, SettingError, Settings, rounding};

/// A whole protocol.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Protocol {
    /// Always [`Protocol::FORMAT`].
    pub format: String,
    /// Version of the format; this program reads [`Protocol::VERSION`].
    pub version: u32,
    /// What it is called: "first look".
    pub name: String,
    /// What it is for, in a sentence or two.
    #[serde(default)]
    pub about: String,
    /// Name of a shipped menu, or path of a menu file beside the protocol.
    pub menu: String,
    /// Settings that differ from the defaults, by their names in the registry.
    #[serde(default)]
    pub settings: Map<String, Value>,
    /// Most presses that the client is asked for; a warning stands when the blocks come to more.
    #[serde(default)]
    pub most_presses: Option<u32>,
    /// Most minutes of client time; a warning stands when the blocks come to more.
    #[serde(default)]
    pub most_minutes: Option<f64>,
    /// Rest is offered after this many trials; 0 is never.
    #[serde(default = "eight")]
    pub rest_every: u32,
    /// The client works the session alone, by the switch: it starts, leaves a pause and ends by an offer, and
    /// a bell can be rung from rest.
    #[serde(default, alias = "ends_by_choice", skip_serializing_if = "std::ops::Not::not")]
    pub alone: bool,
    /// When a block rests by itself, where the block says nothing else.
    #[serde(default)]
    pub stop: StopRules,
    /// The blocks, in order; never empty.
    pub blocks: Vec<Block>,
}

fn eight() -> u32 {
    8
}

impl Protocol {
    /// What the `format` field holds.
    pub const FORMAT: &'static str = "pacewright protocol";
    /// The version written and read.
    pub const VERSION: u32 = 1;
}

/// One block of trials of one kind.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Block {
    /// What is done in it.
    pub kind: BlockKind,
    /// Practice trials before the scored ones.
    #[serde(default)]
    pub practice: u32,
    /// Scored trials; in menu tasks and confirm, targets drawn when `tasks` is empty.
    #[serde(default)]
    pub trials: u32,
    /// Tiles of a timed press; 0 takes six.
    #[serde(default)]
    pub tiles: u16,
    /// Passes over the tiles of a timed press; 0 takes one. With one pass the last tile is never asked for.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub passes: u16,
    /// Seconds of a quiet watch; 0 takes sixty.
    #[serde(default)]
    pub seconds: f64,
    /// What the client does during a quiet watch.
    #[serde(default)]
    pub watch: WatchKind,
    /// Least and greatest random wait of a reaction trial, in seconds.
    #[serde(default = "two_to_five")]
    pub wait: [f64; 2],
    /// Seconds for which the tile of a reaction trial has to be held, and then let go; 0 takes a press. A longer hold
    /// time among the settings takes its place.
    #[serde(default, skip_serializing_if = "is_none")]
    pub hold: f64,
    /// Menu tasks: each a sequence of item ids, done in order; a single target is a sequence of one.
    #[serde(default)]
    pub tasks: Vec<Vec<String>>,
    /// Menu tasks that are drawn: so many choices make one task; 0 takes one.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub together: u16,
    /// Tasks are drawn in seeded order; otherwise they come as written.
    #[serde(default = "yes")]
    pub shuffled: bool,
    /// While a menu task is under way something else in the simulated home changes by itself.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub distractions: bool,
    /// Trials between two rests that come by themselves; 0 is none.
    #[serde(default)]
    pub set_size: u32,
    /// The block ends early once its latencies are this precise.
    #[serde(default)]
    pub ends_when: Option<Precision>,
    /// Stop rules of this block, where they differ from the protocol's.
    #[serde(default)]
    pub stop: Option<StopRules>,
    /// Settings of this block that differ from the protocol's, by their names in the registry.
    #[serde(default)]
    pub settings: Map<String, Value>,
    /// The scan interval of this block is so many times the one that would be in force, on the setting's next
    /// step; below 1 is faster.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub slower: f64,
}

fn one() -> f64 {
    1.0
}

fn is_one(times: &f64) -> bool {
    *times == 1.0
}

fn is_zero(count: &u16) -> bool {
    *count == 0
}

fn is_none(seconds: &f64) -> bool {
    *seconds == 0.0
}

fn two_to_five() -> [f64; 2] {
    [2.0, 5.0]
}

fn yes() -> bool {
    true
}

impl Block {
    /// A block of this kind with everything else left at its default.
    #[must_use]
    pub fn of(kind: BlockKind) -> Block {
        Block {
            kind,
            practice: 0,
            trials: 0,
            tiles: 0,
            passes: 0,
            seconds: 0.0,
            watch: WatchKind::default(),
            wait: two_to_five(),
            hold: 0.0,
            tasks: Vec::new(),
            together: 0,
            shuffled: true,
            distractions: false,
            set_size: 0,
            ends_when: None,
            stop: None,
            settings: Map::new(),
            slower: 1.0,
        }
    }

    /// The settings of this block, over `settings`.
    ///
    /// # Errors
    /// At the first name or value of its own that is not valid.
    pub fn settings_over(&self, settings: &Settings) -> Result<Settings, SettingError> {
        Ok(self.slowed(settings.overlaid(&self.settings)?))
    }

    /// `settings` at the block's own share of their scan interval.
    #[must_use]
    pub fn slowed(&self, settings: Settings) -> Settings {
        if is_one(&self.slower) {
            return settings;
        }
        let seconds = rounding::up(Id::ScanInterval, self.slower * settings.scan_interval().as_seconds());
        settings.with(Id::ScanInterval, libm::round(seconds * 1e6) as i64)
    }
}

/// What the client does while the switch is watched.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WatchKind {
    /// Lies or sits at rest.
    #[default]
    AtRest,
    /// Talks, swallows or is moved.
    Moving,
}
