//! What the records of one set-up say, in the shape in which advice and fits need it.
//!
//! An [`Opportunity`] is one lighting of the entry that was wanted, with the press that belongs to
//! it. Practice, helped, broken-off and excluded trials are not in here, and no press of the
//! assessor's. All times are in seconds.

use serde::Serialize;

use crate::menu::Menu;
use crate::session::event::BlockKind;
use crate::session::setup::Setup;
use crate::session::trial::Outcome;
use crate::settings::Settings;

/// The evidence of one client and set-up, from one or more sessions.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Site, side, switch, mounting and position, as in the first session.
    pub setup: Setup,
    /// The menu of the last session.
    pub menu: Menu,
    /// The settings in force at the end of the last session.
    pub settings: Settings,
    /// How many sessions.
    pub sessions: u32,
    /// A virtual client pressed in at least one.
    pub invented: bool,
    /// Every lighting of a wanted entry, in order.
    pub opportunities: Vec<Opportunity>,
    /// Every press of the switch, in order.
    pub contacts: Vec<Contact>,
    /// Time watched in which nothing was asked.
    pub quiet_s: f64,
    /// Activations in that time.
    pub involuntary: u32,
    /// Time in which the scan was still more than an entry ahead of the wanted one, and nothing had been pressed.
    pub ahead_s: f64,
    /// Presses that ended such a time: nothing that was lit can have called for them.
    pub ahead: u32,
    /// Stays of the pointer on the item that was asked for, until it was left or taken, in seconds.
    pub wanted_stays_s: Vec<f64>,
    /// The same on any other item.
    pub unwanted_stays_s: Vec<f64>,
    /// From each wrong group that was entered until it was left, in scan intervals then in force.
    pub wrong_groups: Vec<f64>,
    /// Delay of screen and input that is part of every latency, where it was measured.
    pub lag_s: Option<f64>,
}

/// One lighting of the wanted entry.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Opportunity {
    /// Its session, from 0.
    pub session: u32,
    /// Its block in the protocol, from 0.
    pub block: u16,
    /// Kind of its block.
    pub kind: BlockKind,
    /// Number of its trial in the block, from 1.
    pub trial: u32,
    /// When its trial began, since the session began.
    pub at_s: f64,
    /// Position of the wanted entry in its group, from 0.
    pub position: u16,
    /// Entries in that group.
    pub count: u16,
    /// Levels below the top.
    pub level: u8,
    /// The scan interval in force.
    pub interval_s: f64,
    /// How long the entry stays lit: the interval, and the first-item time where it is the first.
    pub window_s: f64,
    /// The scan runs by itself, so that its rate can be advised.
    pub paced: bool,
    /// What came of it.
    pub response: Response,
}

impl Opportunity {
    /// From highlight to press, where the press hit or came late, in seconds.
    #[must_use]
    pub fn latency_s(&self) -> Option<f64> {
        self.answer().map(|[latency_s, _]| latency_s)
    }

    /// The same to acceptance where a hold time delays the choice: what a scan rate has to allow for.
    #[must_use]
    pub fn accepted_s(&self) -> Option<f64> {
        self.answer().map(|[latency_s, held_s]| latency_s + held_s)
    }

    /// A late press has its true latency: leaving it out would make every advice too fast.
    fn answer(&self) -> Option<[f64; 2]> {
        match self.response {
            Response::Pressed { latency_s, held_s, outcome: Outcome::Hit | Outcome::Late } => Some([latency_s, held_s]),
            _ => None,
        }
    }

    /// It went by without a press.
    #[must_use]
    pub fn omitted(&self) -> bool {
        matches!(self.response, Response::Omitted { .. })
    }

    /// It was pressed, and judged to be this.
    #[must_use]
    pub fn pressed_as(&self, wanted: Outcome) -> bool {
        matches!(self.response, Response::Pressed { outcome, .. } if outcome == wanted)
    }

    /// The highlight moved by itself; a single light, as in reaction blocks, cannot be foreseen.
    #[must_use]
    pub fn moving(&self) -> bool {
        self.paced && self.kind != BlockKind::Reaction
    }
}

/// What came of an opportunity.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "response", rename_all = "kebab-case")]
pub enum Response {
    /// A press that was meant for it.
    Pressed {
        /// Press minus shown; negative when it came before the highlight, beyond the window when it
        /// came late.
        latency_s: f64,
        /// From press to acceptance where that delays the choice, else 0.
        held_s: f64,
        /// Hit, early, late or wrong.
        outcome: Outcome,
    },
    /// No press in this pass: the latency is longer than this, or there was none to come.
    Omitted {
        /// The end of the entry's time.
        window_s: f64,
    },
}

/// One closure of the switch.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Contact {
    /// Its session, from 0.
    pub session: u32,
    /// When it closed, since the session began.
    pub pressed_s: f64,
    /// How long it was held; `None` when the log ends before its release.
    pub held_s: Option<f64>,
    /// From the last release to this closure; `None` for the first.
    pub gap_s: Option<f64>,
    /// From the first press of a pair to this one, where it is the second and both were asked for.
    pub pair_s: Option<f64>,
    /// Since an item was taken, where nothing was lit since: the pause, and the cue that follows it.
    pub after_choice_s: Option<f64>,
    /// What it was for.
    pub aim: Aim,
}

/// What a closure was for, as far as the protocol can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Aim {
    /// It was asked for: a hit, an early or late press in a trial, either press of a pair.
    Wanted,
    /// It came when nothing was asked, or again after the press that was asked for.
    Unwanted,
    /// It cannot be told: first contact, rest, a wrong press.
    Unknown,
}
