//! What happens to a session: raw switch edges, frames shown, and what the clinician asks for.

use serde::{Deserialize, Serialize};

use super::levels::LevelSource;
use super::offer::Offer;
use crate::engine::effect::{Role, Spot, Switch};

/// One thing that happens. Its stamp travels beside it; the log holds every one.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "in", rename_all = "kebab-case")]
pub enum Input {
    /// A raw change of a switch, before any filtering. Key repeat is never an edge.
    Edge {
        /// Which switch.
        switch: Switch,
        /// `true` when it closed.
        down: bool,
    },
    /// The frame with this number was handed to the screen.
    Shown {
        /// Number of the scene.
        number: u64,
    },
    /// The shell woke too late: nothing that is pending may act.
    Stalled,
    /// The switch is in the assessor's hands (`on`) or in the client's.
    MyPresses {
        /// `true` from now on, `false` no longer.
        on: bool,
    },
    /// Go on: begin the first block, end first contact, leave a pause or a rest.
    Next,
    /// Stop and wait.
    Pause {
        /// Why.
        why: PauseReason,
    },
    /// Go on after a pause.
    Resume,
    /// Leave this block and go to the next.
    SkipBlock,
    /// End the session.
    End,
    /// The client was helped in this trial.
    Prompt {
        /// How.
        prompt: Prompt,
    },
    /// Something came between in this trial.
    Interruption {
        /// What.
        interruption: Interruption,
    },
    /// Leave the last finished trial out of the findings.
    Exclude {
        /// Why.
        reason: String,
    },
    /// What the client says of the block that has just ended.
    Rate {
        /// The question.
        question: Rating,
        /// 0 to 10.
        value: u8,
    },
    /// Change a setting; in force from the next trial.
    Set {
        /// Its name in the registry.
        name: String,
        /// Its new value as in files.
        value: serde_json::Value,
    },
    /// What the switches are from now on, the first one first. Without it the technique says what the
    /// first one or two do, and the header what they are.
    Switches {
        /// What each does.
        roles: Vec<Role>,
        /// What each is: "key Space", "pad 1 button South".
        devices: Vec<String>,
    },
    /// Where the tiles of the page stand, row by row.
    Tiles {
        /// Each of them, blank ones too.
        spots: Vec<Spot>,
    },
    /// The pointer is here, in thousandths of a degree from the left and the upper edge.
    Pointer {
        /// To the right.
        x: i32,
        /// Downwards.
        y: i32,
    },
    /// The pointer has left the screen.
    PointerLeft,
    /// A level was calibrated; from now on its samples work switches.
    Calibrated(Box<LevelSource>),
    /// A level is this from now on, in whole units of its device.
    Level {
        /// The number of its source.
        source: u8,
        /// The level.
        value: i32,
    },
    /// A device gave something that is no level.
    LevelUnusable {
        /// The number of its source.
        source: u8,
    },
    /// The device of a level is gone.
    LevelLost {
        /// The number of its source.
        source: u8,
    },
    /// The stamp of the driver beside the last edge of this switch; nothing follows from it.
    Driver {
        /// Which switch.
        switch: Switch,
        /// How much earlier the driver had stamped it by its own clock, in microseconds.
        before_us: i64,
    },
    /// A sound was heard; nothing follows from it.
    Sound {
        /// What it was.
        sound: Sound,
        /// Id of the label that was spoken or stood for.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        label: Option<String>,
        /// So much after its due time and the device's constant latency, in microseconds.
        late_us: i64,
    },
    /// The block is over, and what comes next is the client's choice; with any of these but a rest or a bell the
    /// session ends.
    Offer {
        /// In the order in which they are lit.
        offers: Vec<Offer>,
    },
    /// So many presses in a row came before this session, without a rest between.
    InARow {
        /// How many.
        presses: u32,
    },
    /// A remark of the clinician.
    Note {
        /// The words.
        text: String,
    },
}

/// What is heard where no label is spoken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sound {
    /// The highlight has moved.
    Step,
    /// A press counts.
    Select,
    /// A trial begins: there is something to be seen.
    Cue,
    /// The choice was another one than the wanted.
    Error,
    /// Something in the simulated home has changed by itself.
    Distraction,
    /// The highlight has come to this place, from 0, of so many.
    Place {
        /// From 0.
        position: u16,
        /// So many there are.
        of: u16,
    },
}

/// Why a session waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PauseReason {
    /// The clinician asked for it.
    Clinician,
    /// The window lost the keyboard.
    FocusLost,
    /// The switch has been held past the stuck limit.
    Stuck,
    /// Frames came late three times running.
    Lag,
    /// The switch was unplugged.
    Unplugged,
    /// The switch changed faster than any hand: it was shut out.
    Flooded,
    /// The client called for somebody.
    Call,
    /// The screen of the board is another one now, or has another size.
    Screen,
}

impl PauseReason {
    /// All of them, in the order above.
    pub const ALL: [PauseReason; 8] = {
        use PauseReason::*;
        [Clinician, FocusLost, Stuck, Lag, Unplugged, Flooded, Call, Screen]
    };
}

/// How the client was helped in a trial.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Prompt {
    /// Not at all.
    #[default]
    None,
    /// By words.
    Spoken,
    /// By touch.
    Touched,
}

/// What came between in a trial.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Interruption {
    /// Coughing.
    Cough,
    /// Suction.
    Suction,
    /// A spasm.
    Spasm,
    /// Talk.
    Talk,
    /// Care.
    Care,
}

/// A question asked after a block.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rating {
    /// Effort, 0 none to 10 the greatest.
    Effort,
    /// Discomfort, 0 none to 10 the greatest.
    Discomfort,
    /// Preference: 0 none, 1 this switch or site, 2 the other one.
    Preference,
    /// Dizziness, 0 none to 10 the greatest; asked after many breaths in a row.
    Dizziness,
}

impl Rating {
    /// The greatest answer.
    #[must_use]
    pub const fn greatest(self) -> u8 {
        match self {
            Rating::Effort | Rating::Discomfort | Rating::Dizziness => 10,
            Rating::Preference => 2,
        }
    }
}
