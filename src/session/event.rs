//! What a session does, beside the effects of its engine.

use serde::{Deserialize, Serialize};

use super::input::PauseReason;
use super::offer::Offer;
use super::trial::Trial;
use crate::engine::effect::Switch;
use crate::level::{Trouble, Way};
use crate::settings::Settings;
use crate::switch_check::Finding;
use crate::time::{Moment, Span};

/// Something that the session did. The instant travels beside it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "kebab-case")]
pub enum Event {
    /// The screen changes to something that is no highlight.
    Scene {
        /// Number under which the shell reports it as shown.
        number: u64,
        /// Its main words.
        text: String,
    },
    /// A block begins.
    BlockBegan {
        /// Its place in the protocol, from 0.
        block: u16,
        /// Its kind.
        kind: BlockKind,
    },
    /// A block ends.
    BlockEnded {
        /// Its place in the protocol, from 0.
        block: u16,
        /// Why.
        why: BlockEnd,
    },
    /// The settings in force from now on; `revision` counts from 0.
    Settings {
        /// Number of this set of values.
        revision: u32,
        /// Scan interval, for readers that want only this.
        scan_interval_us: Span,
        /// All of them.
        values: Box<Settings>,
    },
    /// The session had come to this instant when the next input reached it under an older stamp, or a stall did.
    /// Behind a stall: what was due by this instant, and only that, happened before the next input.
    Clock,
    /// A trial begins: the cue is to be seen.
    TrialBegan {
        /// Its place in the protocol, from 0.
        block: u16,
        /// Number of the trial in its block, from 1.
        trial: u32,
        /// Id of the target.
        target: String,
    },
    /// A trial was judged.
    Trial(Box<Trial>),
    /// A task of several choices is over.
    TaskEnded {
        /// Its place in the protocol, from 0.
        block: u16,
        /// How many choices it had.
        choices: u16,
        /// How it went as a whole.
        end: TaskEnd,
    },
    /// The last finished trial is left out of the findings.
    Excluded {
        /// Its place in the protocol, from 0.
        block: u16,
        /// Number of the trial in its block.
        trial: u32,
        /// Why.
        reason: String,
    },
    /// An activation while a quiet watch ran.
    Unwanted {
        /// Its place in the protocol, from 0.
        block: u16,
    },
    /// A stay of the pointer on an entry, in a trial.
    Stay {
        /// Its place in the protocol, from 0.
        block: u16,
        /// The entry was the wanted one.
        wanted: bool,
        /// How long it lasted, until the pointer left or the entry was taken.
        stay_us: Span,
        /// The entry was taken: the stay would have lasted longer.
        taken: bool,
    },
    /// What a switch check found out about one switch.
    SwitchChecked(Box<Finding>),
    /// A raw edge of a switch that a level works: the same as an input `edge` from any other switch.
    LevelEdge {
        /// Which switch.
        switch: Switch,
        /// `true` when it closed.
        down: bool,
    },
    /// It is known which press of a level this is.
    LevelPress {
        /// The number of its source.
        source: u8,
        /// Which press.
        #[serde(flatten)]
        way: Way,
        /// When the level left rest.
        began: Moment,
        /// How far from rest it had gone, in units of the device.
        peak: u32,
    },
    /// Something is wrong with a level.
    LevelTrouble {
        /// The number of its source.
        source: u8,
        /// What.
        trouble: Trouble,
    },
    /// The home answered a choice.
    Answered {
        /// Id of the item.
        item: String,
        /// What it said.
        text: String,
    },
    /// Something in the simulated home changed by itself, to distract.
    Distracted {
        /// Id of the thing.
        thing: String,
    },
    /// The scan rests; one press leads back to the question.
    Rest {
        /// Why.
        why: RestReason,
    },
    /// Rest or carry on?
    Question,
    /// The client chose to carry on.
    CarriedOn,
    /// The client chose something else than to rest or to carry on.
    Chosen {
        /// What.
        offer: Offer,
    },
    /// The session waits.
    Paused {
        /// Why.
        why: PauseReason,
    },
    /// It goes on.
    Resumed,
    /// It is over.
    Finished {
        /// All blocks were done.
        complete: bool,
    },
    /// No session does this: it stands only in the repaired copy of a log, where something of it was lost.
    Damage {
        /// What was lost.
        lost: String,
    },
}

/// The kinds of block.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BlockKind {
    /// Each activation lights a lamp; nothing is scored.
    FirstContact,
    /// Nothing to press; activations are involuntary.
    QuietWatch,
    /// The switch is worked and looked at; nothing is scored, and only the clinician ends it.
    SwitchCheck,
    /// One tile lights after a random wait.
    Reaction,
    /// A highlight passes over a marked target.
    TimedPress,
    /// Pairs of presses.
    Repeat,
    /// One cued target or a sequence, unmarked.
    MenuTasks,
    /// Menu tasks at proposed values.
    Confirm,
}

/// How a task of several choices went as a whole: what is worse comes later.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TaskEnd {
    /// Each choice was right at the first try.
    Right,
    /// All was done in the end, something at the second try.
    Mended,
    /// Something was not done.
    NotDone,
    /// Somebody helped, so it says nothing.
    Helped,
}

/// Why a block ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BlockEnd {
    /// All its trials are done.
    Done,
    /// What it measures is precise enough.
    Precise,
    /// A stop rule called for a second rest.
    StopRule,
    /// The clinician went on.
    Skipped,
    /// The session ended.
    SessionEnded,
}

/// Why the scan rests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RestReason {
    /// The client chose it.
    Asked,
    /// Nothing was pressed.
    NoPress,
    /// Omissions running.
    Omissions,
    /// Errors among the last trials.
    Errors,
    /// Latencies have grown.
    Slowing,
    /// The time of the block is up.
    Time,
    /// A set of trials is done.
    SetDone,
    /// As many presses in a row as there may be.
    InARow,
    /// The stuck switch was let go.
    Released,
    /// A long press asked for it.
    LongPress,
}

impl RestReason {
    /// All of them, in the order above.
    pub const ALL: [RestReason; 10] = {
        use RestReason::*;
        [Asked, NoPress, Omissions, Errors, Slowing, Time, SetDone, InARow, Released, LongPress]
    };
}
