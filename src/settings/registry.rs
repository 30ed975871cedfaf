//! Every timing setting, described once, as data.
//!
//! The command line, the files, the log header, the report, the forms and the sweeps all follow
//! from this list; nothing else knows a range or a default. Meanings and defaults are common
//! practice without a published source, unless the text names one. Ranges keep the tenfold rule
//! of WCAG 2.2.1 (a time limit can be made at least ten times the default) where it applies.

use super::{Caution, Kind, Setting};

const S: i64 = 1_000_000;
const MS: i64 = 1_000;

/// What a numeric raw value of an unlimited count is.
pub(super) const NO_LIMIT: i64 = 0;

macro_rules! settings {
    ($($id:ident { $($field:ident : $value:expr),* $(,)? })*) => {
        /// Names one setting of the registry.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Id { $(#[doc = concat!("See [`REGISTRY`].")] $id),* }

        /// All settings, in the order in which a form shows them.
        pub static REGISTRY: &[Setting] = &[$(Setting { id: Id::$id, $($field: $value),* }),*];
    };
}

const ON_OR_OFF: Kind = Kind::Choice(&[("off", "off"), ("on", "on")]);

const fn time(min: i64, max: i64, step: i64) -> Kind {
    Kind::Time { min, max, step }
}

settings! {
    Technique {
        name: "technique", label: "Technique",
        kind: Kind::Choice(&[
            ("automatic", "automatic: the highlight moves by itself, a press takes the item"),
            ("step", "step, two switches: one moves the highlight, the other takes the item"),
            ("step-auto-accept", "step, one switch: each press moves on, a pause takes the item"),
            ("inverse", "inverse: hold to scan, let go to take the item"),
            ("dwell", "dwell: a pointer that rests on an item takes it"),
        ]),
        default: 0, by_technique: &[],
        short: "how the switch works the menu",
        long: "Automatic asks for one well-timed press. Step asks for many presses and no timing; it suits a client to whom pairs of presses come easily. Inverse suits a client who can hold and let go. Dwell needs no switch, but a pointer that the client can move and keep still.",
        caution: None,
    }
    Pattern {
        name: "pattern", label: "Pattern",
        kind: Kind::Choice(&[
            ("by-size", "linear up to 9 items, row-column above"),
            ("linear", "linear: one item after the other"),
            ("row-column", "row-column: a row, then an item in it"),
            ("column-row", "column-row: a column, then an item in it"),
            ("group-item", "group-item: a group of the menu, then an item in it"),
        ]),
        default: 0, by_technique: &[],
        short: "the order in which the highlight passes over the items",
        long: "For up to 8 or 9 items in order of use, linear scanning takes fewer steps and half the presses; row-column is faster only while late presses are rare (the break-even lies between about 3 and 5 % a press).",
        caution: None,
    }
    ScanInterval {
        name: "scan_interval", label: "Scan rate, seconds per item",
        kind: time(300 * MS, 20 * S, 50 * MS),
        default: 2 * S, by_technique: &[],
        short: "how long an item stays lit",
        long: "The time for which each item stays lit before the highlight moves on. A larger number is slower.",
        caution: Some(Caution { below: 334 * MS, text: "below 0.334 s the highlight can change more than three times a second, the limit of WCAG 2.3.1 for people with photosensitive epilepsy; ask before using it" }),
    }
    FirstAfterStart {
        name: "first_after_start", label: "First-item time after start",
        kind: time(0, 10 * S, 50 * MS),
        default: S, by_technique: &[],
        short: "added while the first item is lit after a start or a cue",
        long: "After the press that starts the scan, or after reading a cue, the client needs time to let go and to look again before the first item can be taken.",
        caution: None,
    }
    FirstInGroup {
        name: "first_in_group", label: "First-item time inside a group",
        kind: time(0, 10 * S, 50 * MS),
        default: S, by_technique: &[],
        short: "added while the first item is lit after a selection has entered a group",
        long: "After choosing a row or a group the client has to let go and aim again; the first item stays lit longer by this time.",
        caution: None,
    }
    FirstItemOn {
        name: "first_item_on", label: "First-item time applies to",
        kind: Kind::Choice(&[("first-pass", "the first pass only"), ("every-pass", "every pass")]),
        default: 0, by_technique: &[],
        short: "whether later loops also wait on their first item",
        long: "Normally only the pass that follows a start or a selection waits longer on its first item.",
        caution: None,
    }
    PauseAfterSelection {
        name: "pause_after_selection", label: "Pause after selection",
        kind: time(0, 10 * S, 50 * MS),
        default: S, by_technique: &[],
        short: "nothing is lit and the consequence is seen",
        long: "After an item has been taken nothing is lit for this long, so that the client sees what the choice did.",
        caution: None,
    }
    AfterSelection {
        name: "after_selection", label: "After a selection",
        kind: Kind::Choice(&[
            ("restart", "start again at the top"),
            ("carry-on", "carry on in the same group"),
            ("stop", "stop and wait for a start"),
        ]),
        default: 0, by_technique: &[],
        short: "where the scan goes after an item was taken",
        long: "Start again at the top, carry on with the item after the one taken (handy for volume or bed height), or stop and wait.",
        caution: None,
    }
    CueLead {
        name: "cue_lead", label: "Time to read the cue",
        kind: time(0, 30 * S, 100 * MS),
        default: 3 * S, by_technique: &[],
        short: "time to read the cue and find the target before the scan starts",
        long: "The cue stands alone for this long before the first item lights.",
        caution: None,
    }
    Start {
        name: "start", label: "Start",
        kind: Kind::Choice(&[("by-itself", "the scan starts by itself"), ("by-press", "a press starts the scan")]),
        default: 0, by_technique: &[],
        short: "what starts the scan",
        long: "In a trial the scan starts by itself after the cue; at home a press usually starts it.",
        caution: None,
    }
    LoopsTop {
        name: "loops_top", label: "Loops at the top",
        kind: Kind::Count { min: 1, max: 20, unlimited: true },
        default: 3, by_technique: &[],
        short: "passes before the scan stops and waits for a press",
        long: "How often the highlight passes over the top level without a press before the scan stops.",
        caution: None,
    }
    LoopsInside {
        name: "loops_inside", label: "Loops inside a group",
        kind: Kind::Count { min: 1, max: 20, unlimited: true },
        default: 2, by_technique: &[],
        short: "passes before the scan goes back one level",
        long: "How often the highlight passes over a group without a press before the scan leaves it. Two loops let a client who missed the item try once more.",
        caution: None,
    }
    Exit {
        name: "exit", label: "Exit from a group",
        kind: Kind::Choice(&[("last", "an item at the end"), ("first", "an item at the beginning"), ("none", "no exit item; only the loops lead out")]),
        default: 0, by_technique: &[],
        short: "where a group offers the way back",
        long: "A way back at the end of each group lets the client leave a group entered by mistake without waiting out the loops.",
        caution: None,
    }
    AutoAccept {
        name: "auto_accept", label: "Auto-accept",
        kind: time(500 * MS, 20 * S, 50 * MS),
        default: 2 * S, by_technique: &[],
        short: "step scanning with one switch: the item is taken after this pause",
        long: "Counts from the step that lit the item. Until the first step nothing is lit, so that doing nothing never takes anything.",
        caution: None,
    }
    Debounce {
        name: "debounce", label: "Debounce",
        kind: time(0, 200 * MS, 5 * MS),
        default: 30 * MS, by_technique: &[],
        short: "further changes within this time of an accepted change are contact bounce",
        long: "For electrical bounce only; tremor and spasm are the business of hold time and repeat lockout. At the end of the interval the contact is looked at again; if it differs, that change is accepted then.",
        caution: None,
    }
    DropOut {
        name: "drop_out", label: "Drop-out tolerance",
        kind: time(0, 500 * MS, 10 * MS),
        default: 0, by_technique: &[("inverse", 100 * MS)],
        short: "a release shorter than this does not end a press",
        long: "For a weak or fluttering contact.",
        caution: None,
    }
    Hold {
        name: "hold", label: "Hold time",
        kind: time(0, 3 * S, 50 * MS),
        default: 0, by_technique: &[],
        short: "a press counts only once held this long; 0 is off",
        long: "Stops brief unwanted touches. It adds to every latency, so the scan rate has to allow for it. It has no part in inverse scanning.",
        caution: None,
    }
    ItemTaken {
        name: "item_taken", label: "Item taken",
        kind: Kind::Choice(&[("acceptance", "the item lit when the press is accepted"), ("press", "the item lit when the press began")]),
        default: 0, by_technique: &[],
        short: "with a hold time: which item the press takes",
        long: "Controllers differ in this; set it as the one at home does it.",
        caution: None,
    }
    ScanWhileHeld {
        name: "scan_while_held", label: "Scan while held",
        kind: Kind::Choice(&[("runs-on", "runs on"), ("waits", "waits")]),
        default: 0, by_technique: &[],
        short: "with a hold time: whether the highlight moves while the switch is held",
        long: "When it waits, the item lit at the press stays lit until the press is accepted or let go.",
        caution: None,
    }
    Lockout {
        name: "lockout", label: "Repeat lockout",
        kind: time(0, 3 * S, 50 * MS),
        default: 500 * MS, by_technique: &[("step", 200 * MS), ("step-auto-accept", 200 * MS)],
        short: "presses within this time of an accepted press are ignored",
        long: "A press that began inside the lockout never counts, however long it lasts. EN 301 549 clause 5.8 asks that it can be set to at least 0.5 s.",
        caution: None,
    }
    LockoutFrom {
        name: "lockout_from", label: "Lockout counts from",
        kind: Kind::Choice(&[("release", "release"), ("press", "press")]),
        default: 0, by_technique: &[],
        short: "whether the lockout counts from the release or from the press",
        long: "Controllers differ in this; set it as the one at home does it.",
        caution: None,
    }
    LockoutRestarts {
        name: "lockout_restarts", label: "Ignored press restarts the lockout",
        kind: Kind::Choice(&[("no", "no"), ("yes", "yes")]),
        default: 0, by_technique: &[],
        short: "whether an ignored press starts the lockout again",
        long: "Only a restarting lockout stops a tremor whose period is near it; but it can shut the client out for as long as the tremor lasts, and says so after 5 s.",
        caution: None,
    }
    ActOn {
        name: "act_on", label: "Act on",
        kind: Kind::Choice(&[("press", "press"), ("release", "release")]),
        default: 0, by_technique: &[],
        short: "whether pressing or letting go takes the item",
        long: "Acting on release suits a client who aims while pressing. It has no part in inverse scanning.",
        caution: None,
    }
    StuckLimit {
        name: "stuck_limit", label: "Stuck limit",
        kind: time(3 * S, 60 * S, 500 * MS),
        default: 10 * S, by_technique: &[],
        short: "a switch held longer pauses the scan and is reported",
        long: "A switch that stays closed may press on the skin. In inverse scanning the limit is the time of all loops plus 5 s.",
        caution: None,
    }
    LongPress {
        name: "long_press", label: "Long press",
        kind: Kind::OptionalTime { min: 2 * S, max: 5 * S, step: 100 * MS },
        default: 0, by_technique: &[],
        short: "an extra way to leave a group or to rest; 0 is off",
        long: "Impossible for many users of a breath switch, so it is never the only way.",
        caution: None,
    }
    Dwell {
        name: "dwell", label: "Dwell time",
        kind: time(300 * MS, 10 * S, 50 * MS),
        default: S, by_technique: &[],
        short: "the pointer rests on an item this long to take it",
        long: "A dwell inside the range of ordinary fixations selects by looking.",
        caution: Some(Caution { below: 600 * MS, text: "below 0.6 s an ordinary look can take an item" }),
    }
    LeaveTime {
        name: "leave_time", label: "Leave tolerance, time",
        kind: time(0, S, 10 * MS),
        default: 150 * MS, by_technique: &[],
        short: "leaving an item for less than this does not end the dwell",
        long: "For tremor and for a tracker that flickers.",
        caution: None,
    }
    LeaveAngle {
        name: "leave_angle", label: "Leave tolerance, angle",
        kind: Kind::Angle { min: 0, max: 5_000, step: 100 },
        default: 500, by_technique: &[],
        short: "leaving an item by less than this does not end the dwell",
        long: "In degrees of visual angle.",
        caution: None,
    }
    LevelSoft {
        name: "level_soft", label: "Soft press of breath or voice from",
        kind: Kind::Share { min: 100, max: 400, step: 10 },
        default: 250, by_technique: &[],
        short: "share of a comfortable effort at which a soft press begins",
        long: "The comfortable effort is the middle one of three in the calibration. Thresholds inside the noise of the rest are refused. No published thresholds were found.",
        caution: None,
    }
    LevelHard {
        name: "level_hard", label: "Hard press of breath or voice from",
        kind: Kind::Share { min: 450, max: 900, step: 10 },
        default: 650, by_technique: &[],
        short: "share of a comfortable effort at which a press is a hard one",
        long: "Nobody has to strain for a hard press: it is the comfortable effort itself, and a soft one is clearly less.",
        caution: None,
    }
    LevelLetGo {
        name: "level_let_go", label: "Breath or voice let go below",
        kind: Kind::Share { min: 300, max: 800, step: 50 },
        default: 500, by_technique: &[],
        short: "share of the soft threshold below which a press ends",
        long: "The press ends lower than it began, so that a level that trembles at the threshold is one press.",
        caution: None,
    }
    LevelLeast {
        name: "level_least", label: "Least duration of breath or voice",
        kind: time(0, S, 10 * MS),
        default: 80 * MS, by_technique: &[],
        short: "a shorter rise is no press, and a shorter dip does not end one",
        long: "It adds to every latency, so the scan rate has to allow for it.",
        caution: None,
    }
    LevelSettling {
        name: "level_settling", label: "Soft or hard is known after",
        kind: time(0, 2 * S, 10 * MS),
        default: 150 * MS, by_technique: &[],
        short: "a soft press is one that has not grown for this long",
        long: "Used only where the same side has a hard press too: on its way a hard one passes through the soft zone. A press is known sooner when it is over sooner.",
        caution: None,
    }
    RunLimit {
        name: "run_limit", label: "Presses in a row",
        kind: Kind::Count { min: 2, max: 200, unlimited: true },
        default: 0, by_technique: &[],
        short: "presses after which the session rests by itself",
        long: "With a breath switch it rests after 20 presses at most and asks whether the client feels dizzy.",
        caution: None,
    }
    LateLimit {
        name: "late_limit", label: "Late limit",
        kind: Kind::Share { min: 10, max: 200, step: 5 },
        default: 50, by_technique: &[],
        short: "share of presses that may come after the item has gone",
        long: "5 % a press is 9.75 % for a selection of two presses.",
        caution: None,
    }
    StepSound {
        name: "step_sound", label: "Step sound",
        kind: ON_OR_OFF,
        default: 0, by_technique: &[],
        short: "a short tone each time the highlight moves",
        long: "For a client who sees badly or lies turned away. It comes a little after the light, by the latency of the sound device that the log states, so latencies with it and without it are not the same measure.",
        caution: None,
    }
    SelectSound {
        name: "select_sound", label: "Select sound",
        kind: ON_OR_OFF,
        default: 1, by_technique: &[],
        short: "a tone at each press that counts, twice as high as the step sound",
        long: "Right or wrong it is the same: it says that the press has been taken, and what it took is seen.",
        caution: None,
    }
    CueSound {
        name: "cue_sound", label: "Cue sound",
        kind: ON_OR_OFF,
        default: 1, by_technique: &[],
        short: "a tone when a trial shows what is asked for",
        long: "With spoken labels the cue is spoken instead, where there is a recording of it.",
        caution: None,
    }
    ErrorSound {
        name: "error_sound", label: "Error sound",
        kind: ON_OR_OFF,
        default: 0, by_technique: &[],
        short: "a low tone instead of the select sound when a menu task takes something else",
        long: "It tires and discourages, and the words on the screen say the same; so it is off unless the client wants it.",
        caution: None,
    }
    Labels {
        name: "labels", label: "Auditory scanning",
        kind: Kind::Choice(&[
            ("off", "nothing beside the step sound"),
            ("tones", "a tone that rises from place to place"),
            ("spoken", "the label is spoken; a tone where there is no recording of it"),
        ]),
        default: 0, by_technique: &[],
        short: "what says by ear where the highlight is",
        long: "A label has to be over before the highlight moves on, with a moment to decide: the settings sheet says when the scan rate is too fast for it.",
        caution: None,
    }
    Volume {
        name: "volume", label: "Volume of all sounds",
        kind: Kind::Share { min: 0, max: 1_000, step: 50 },
        default: 300, by_technique: &[],
        short: "how loud sounds are, of what the device gives",
        long: "Try it at the bed with the ventilator running: `pacewright devices --sound`. At 0 no sound device is opened.",
        caution: Some(Caution { below: 1, text: "at 0 % nothing is heard, whatever else is on" }),
    }
}
