//! What goes into the engine and what comes out of it, as data.
//!
//! Inputs carry a stamp; effects carry the instant at which they happened. The window paints
//! effects, the virtual client looks at them, the log writes them and a test compares them.

use serde::{Deserialize, Serialize};

use super::tree::{EntryIx, GroupIx, ItemIx};
use crate::time::{Moment, Span};

/// One physical switch of the client, numbered from 0 in the order in which they were learned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Switch(pub u8);

/// What a switch does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Moves the highlight on at once.
    Step,
    /// Takes what is lit; in inverse scanning the switch that is held.
    Select,
    /// Moves the highlight back at once.
    Back,
    /// Leaves the group; at the top the scan stops.
    Exit,
    /// Asks for somebody to come.
    Call,
}

impl Role {
    /// All of them: a client has at most one switch for each.
    pub const ALL: [Role; 5] = [Role::Step, Role::Select, Role::Back, Role::Exit, Role::Call];
}

/// Where something stands on the screen, in thousandths of a degree of visual angle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Spot {
    /// From the left edge.
    pub x: i32,
    /// From the upper edge.
    pub y: i32,
    /// To the right.
    pub width: i32,
    /// Downwards.
    pub height: i32,
}

/// Something that happens to the engine. The stamp travels beside it.
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
        /// Number of the highlight or scene.
        number: u64,
    },
    /// Begin to scan at the top.
    Start,
    /// Stop scanning; nothing is lit and no press acts until `Start`.
    Halt,
    /// The shell woke too late: act on nothing that is pending, light the item again.
    Stalled,
}

/// What the highlight rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lit {
    /// Nothing is lit.
    Nothing,
    /// Entry `entry` of group `group`, in pass `pass` (from 0) over that group.
    Entry {
        /// The group being scanned.
        group: GroupIx,
        /// The entry of that group.
        entry: EntryIx,
        /// How many passes over the group came before.
        pass: u32,
    },
}

/// A press that the filter accepted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Activation {
    /// Which switch.
    pub switch: Switch,
    /// When the contact closed (in act-on-release and inverse: opened), by the stamp of its edge.
    pub pressed: Moment,
    /// When the filter accepted it: the same, or later by hold time or debounce.
    pub accepted: Moment,
}

/// Why a press did not count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ignored {
    /// It began inside the repeat lockout.
    Lockout,
    /// It was let go before the hold time was up.
    TooShort,
    /// Nothing was there to take: the highlight was used up, or none has been shown yet.
    NothingLit,
    /// This switch has no part in the technique.
    NoRole,
}

/// Why the scan left a group or stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// All loops went by without a press.
    Loops,
    /// The exit item was taken.
    Exit,
    /// The exit switch was worked.
    ExitSwitch,
    /// A long press asked for it.
    LongPress,
    /// The session asked for it.
    Asked,
    /// The switch has been held past the stuck limit.
    Stuck,
    /// Frames came late three times running.
    Lag,
    /// The switch was released before anything had been shown (inverse scanning). The next hold scans
    /// the same group.
    Cancelled,
}

/// Something that the engine did. The instant travels beside it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "out", rename_all = "kebab-case")]
pub enum Effect {
    /// The highlight moves. `due` is its place in the schedule, which never drifts.
    Highlight {
        /// Number under which the shell reports it as shown.
        number: u64,
        /// When the schedule wanted it.
        due: Moment,
        /// What is lit from now on.
        lit: Lit,
    },
    /// The contact closed for good: debounced, not yet held long enough to count.
    Pressed {
        /// Which switch.
        switch: Switch,
        /// Stamp of the edge.
        edge: Moment,
    },
    /// The contact opened for good.
    Released {
        /// Which switch.
        switch: Switch,
        /// Stamp of the closing edge.
        pressed: Moment,
        /// Stamp of the opening edge; the duration is the difference.
        edge: Moment,
    },
    /// A press that counts.
    Activated(Activation),
    /// A press that does not count.
    NotCounted {
        /// Which switch.
        switch: Switch,
        /// Stamp of its edge.
        pressed: Moment,
        /// Why.
        why: Ignored,
    },
    /// An item was taken.
    Taken {
        /// Number of the highlight it was taken from.
        number: u64,
        /// The group and the entry that were lit.
        group: GroupIx,
        /// The entry.
        entry: EntryIx,
        /// The item.
        item: ItemIx,
        /// Press minus shown, in microseconds.
        latency_us: i64,
        /// When the highlight had been shown.
        shown: Moment,
        /// The press.
        by: Activation,
    },
    /// A group was entered.
    Entered {
        /// Number of the highlight it was entered from.
        number: u64,
        /// The group that was lit as a whole, or that an item opens.
        into: GroupIx,
        /// The group in which it was an entry.
        group: GroupIx,
        /// The entry.
        entry: EntryIx,
        /// Press minus shown, in microseconds.
        latency_us: i64,
        /// When the highlight had been shown.
        shown: Moment,
        /// The press.
        by: Activation,
    },
    /// The scan went back one level.
    Left {
        /// The group that was left.
        group: GroupIx,
        /// Why.
        why: Why,
        /// The press that asked for it, with the shown time of the exit item, if one did.
        by: Option<(Activation, Moment)>,
    },
    /// The scan stopped and waits for a start.
    Stopped {
        /// Why.
        why: Why,
    },
    /// Frames or wakes came too late; the item is lit again and no pending press acts.
    Stalled {
        /// How late the schedule was.
        late: Span,
    },
    /// A switch has been held past the stuck limit.
    Stuck {
        /// Which switch.
        switch: Switch,
    },
    /// A stuck switch was let go.
    Unstuck {
        /// Which switch.
        switch: Switch,
    },
    /// A switch has been held for the long-press time.
    LongPress {
        /// Which switch.
        switch: Switch,
    },
    /// The edge of the entry that the pointer rests on is filled so far.
    Filled {
        /// In eighths of the dwell time.
        eighths: u8,
    },
    /// A stay of the pointer on an entry has ended.
    Rested {
        /// The group and the entry.
        group: GroupIx,
        /// The entry.
        entry: EntryIx,
        /// When the pointer came.
        since: Moment,
        /// Its last instant there, or the one at which the entry was taken.
        until: Moment,
        /// The dwell time was over: it was taken.
        taken: bool,
    },
    /// The switch that calls for somebody was worked.
    Called {
        /// The press.
        by: Activation,
    },
    /// A restarting lockout has shut the client out for five seconds.
    ShutOut {
        /// Which switch.
        switch: Switch,
    },
}
