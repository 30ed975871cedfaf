//! The words that columns hold, as the log spells them, and what they mean.

use serde::Serialize;

use super::cell::Cell;
use super::table::Level;

/// The word that a value has in the log.
pub(super) fn word(value: impl Serialize) -> Cell {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => Cell::text(word),
        _ => Cell::Missing,
    }
}

pub(super) const BLOCK_KINDS: &[Level] = &[
    ("first-contact", "Each activation lights a lamp; nothing is scored."),
    ("quiet-watch", "Nothing to press; every activation is involuntary."),
    ("switch-check", "The switch is worked and looked at; nothing is scored."),
    ("reaction", "One tile lights after a random wait."),
    ("timed-press", "A highlight passes over a marked target."),
    ("repeat", "Pairs of presses."),
    ("menu-tasks", "An item of the menu is asked for, unmarked."),
    ("confirm", "Menu tasks at the proposed settings."),
];

pub(super) const OUTCOMES: &[Level] = &[
    ("hit", "The wanted entry, at its time."),
    ("early", "The entry before the wanted one, or before it lit."),
    ("late", "The entry after the wanted one."),
    ("omission", "No press."),
    ("extra", "A press when nothing was there to take, or after a hit."),
    ("wrong", "Another entry, not next to the wanted one."),
    ("aborted", "Broken off: pause, stall, stuck switch."),
];

pub(super) const BLOCK_ENDS: &[Level] = &[
    ("done", "All its trials are done."),
    ("precise", "What it measures is precise enough."),
    ("stop-rule", "A stop rule called for a second rest."),
    ("skipped", "The clinician went on."),
    ("session-ended", "The session ended."),
];

pub(super) const LEFT_OUT: &[Level] = &[
    ("practice", "Practice, before the scored trials of its block."),
    ("excluded", "The clinician left it out, by hand."),
    ("aborted", "Broken off: pause, stall, stuck switch."),
    ("prompted", "The client was helped, by words or by touch."),
];

pub(super) const IGNORED: &[Level] = &[
    ("bounce", "Debounce or drop-out tolerance took it for part of the closure before."),
    ("lockout", "It began inside the repeat lockout."),
    ("too-short", "It was let go before the hold time was up."),
    ("nothing-lit", "No entry was there to take: none was lit, the highlight was used up, or the block scans nothing."),
    ("no-role", "This switch has no part in the technique."),
];

pub(super) const STATES: &[Level] = &[
    ("assessor", "The switch was in the assessor's hands; such presses never count."),
    ("paused", "The session waited."),
    ("resting", "A rest, or the question whether to carry on."),
    ("trial", "A trial ran."),
    ("open-block", "A block without trials: first contact or a quiet watch."),
    ("between", "None of these: between two trials or blocks, or while the consequence of a choice was seen."),
];

pub(super) const PROMPTS: &[Level] =
    &[("none", "No help."), ("spoken", "Helped by words."), ("touched", "Helped by touch.")];

pub(super) const INTERRUPTIONS: &[Level] =
    &[("cough", "Coughing."), ("suction", "Suction."), ("spasm", "A spasm."), ("talk", "Talk."), ("care", "Care.")];

pub(super) const SETTING_SOURCES: &[Level] = &[
    ("start", "In force at the beginning: defaults, protocol and arguments."),
    ("change", "Changed during the session, by a block of the protocol or by the clinician."),
];
