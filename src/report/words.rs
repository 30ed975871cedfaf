//! Words of the report that the findings do not need.

use crate::analysis::words;
use crate::session::event::BlockKind;

/// A block by its number, from 1, and kind: "4 Timed press".
pub(super) fn block(block: u16, kind: BlockKind) -> String {
    format!("{} {}", u32::from(block) + 1, words::capital(words::kind(kind)))
}

/// Whether a highlight moves by itself in this kind of block, so that the scan rate matters.
pub(super) const fn scans(kind: BlockKind) -> bool {
    matches!(kind, BlockKind::TimedPress | BlockKind::MenuTasks | BlockKind::Confirm)
}

/// What an outcome means, by its word; an unknown word means itself.
pub(super) fn meaning(outcome: &str) -> &str {
    match outcome {
        "hit" => "the wanted item, at its time",
        "early" => "pressed on the item before, or before the wanted one lit",
        "late" => "pressed on the item after the wanted one",
        "omission" => "no press, though the item came round",
        "extra" => "pressed when nothing was to be taken",
        "wrong" => "another item was taken",
        other => other,
    }
}
