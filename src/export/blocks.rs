//! One row for every block that was begun.

use super::cell::Cell;
use super::levels::{BLOCK_ENDS, BLOCK_KINDS, word};
use super::presses::micros;
use super::session::{Owned, View, Whose, keys, some_word};
use super::table::Column;
use crate::analysis::reading::BlockReading;
use crate::session::event::{BlockEnd, BlockKind};
use crate::time::{Moment, Span};

type Field = Column<BlockRow>;

/// One block.
#[derive(Clone, Debug)]
pub struct BlockRow {
    whose: Whose,
    block: u16,
    kind: BlockKind,
    began: Moment,
    ended: Moment,
    why: Option<BlockEnd>,
    idle: Span,
    scan_interval: Span,
    trials: usize,
    counted: usize,
    unwanted: Option<u32>,
    ratings: Vec<(String, u8)>,
}

impl Owned for BlockRow {
    fn whose(&self) -> &Whose {
        &self.whose
    }
}

impl BlockRow {
    fn of(whose: Whose, block: &BlockReading) -> BlockRow {
        BlockRow {
            whose,
            block: block.block,
            kind: block.kind,
            began: block.began,
            ended: block.ended,
            why: block.why,
            idle: block.idle,
            scan_interval: block.scan_interval,
            trials: block.trials.len(),
            counted: block.trials.iter().filter(|judged| judged.counts()).count(),
            unwanted: (block.kind == BlockKind::QuietWatch).then_some(block.unwanted),
            ratings: block.ratings.clone(),
        }
    }

    fn rating(&self, question: &str) -> Cell {
        Cell::whole(self.ratings.iter().find(|(known, _)| known == question).map(|(_, value)| *value))
    }
}

/// The rows of a session.
pub(super) fn rows(view: &View) -> Vec<BlockRow> {
    view.reading.blocks.iter().map(|block| BlockRow::of(view.whose(), block)).collect()
}

/// What a row holds.
pub(super) fn columns() -> Vec<Field> {
    let mut all: Vec<Field> = keys().into();
    all.extend([
        Field::of("block", "", "Place of the block in the protocol, from 0.", |row| Cell::Whole(row.block.into())),
        Field::of("block_kind", "", "Kind of the block.", |row| word(row.kind)).levels(BLOCK_KINDS),
        Field::of("began_s", "s", "When it began, since the session began.", |row| micros(row.began)),
        Field::of(
            "ended_s",
            "s",
            "When it ended, since the session began; the last instant read of it when it was broken off.",
            |row| micros(row.ended),
        ),
        Field::of("ended_because", "", "Why it ended; missing when the log does not tell.", |row| some_word(row.why))
            .levels(BLOCK_ENDS),
        Field::of(
            "unwatched_s",
            "s",
            "Time within it in which the client was not asked: pauses, and the switch in the assessor's hands.",
            |row| Cell::Micros(row.idle.0 as i64),
        ),
        Field::of("scan_interval_s", "s", "Scan interval of its last trial, or at its beginning.", |row| {
            Cell::Micros(row.scan_interval.0 as i64)
        }),
        Field::of("trials", "", "Trials in it, practice and broken-off ones too.", |row| {
            Cell::Whole(row.trials as i64)
        }),
        Field::of("trials_counted", "", "Trials in it that enter the findings.", |row| Cell::Whole(row.counted as i64)),
        Field::of("unwanted", "", "In a quiet watch: activations, every one of them involuntary.", |row| {
            Cell::whole(row.unwanted)
        }),
        Field::of("effort", "", "What the client said of the effort, 0 none to 10 the greatest.", |row| {
            row.rating("effort")
        }),
        Field::of("discomfort", "", "What the client said of discomfort, 0 none to 10 the greatest.", |row| {
            row.rating("discomfort")
        }),
        Field::of(
            "preference",
            "",
            "What the client preferred: 0 neither, 1 this switch or site, 2 the one before.",
            |row| row.rating("preference"),
        ),
    ]);
    all
}
