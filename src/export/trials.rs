//! One row for every trial, whether it counts or not.

use super::cell::Cell;
use super::levels::{BLOCK_KINDS, INTERRUPTIONS, LEFT_OUT, OUTCOMES, PROMPTS, word};
use super::presses::micros;
use super::session::{Owned, View, Whose, keys, some_word};
use super::standing::Standing;
use super::table::Column;
use crate::session::event::Event;
use crate::session::record::What;
use crate::session::trial::Trial;

type Field = Column<TrialRow>;

/// One trial.
#[derive(Clone, Debug)]
pub struct TrialRow {
    whose: Whose,
    trial: Trial,
    target: String,
    standing: Standing,
    /// What the clinician gave as reason for leaving it out.
    reason: String,
}

impl Owned for TrialRow {
    fn whose(&self) -> &Whose {
        &self.whose
    }
}

/// The rows of a session.
pub(super) fn rows(view: &View) -> Vec<TrialRow> {
    let trials = view.reading.blocks.iter().flat_map(|block| &block.trials);
    let rows = trials.map(|judged| TrialRow {
        whose: view.whose(),
        trial: judged.trial.clone(),
        target: view.target(judged.trial),
        standing: Standing::of(judged),
        reason: reason(view, judged.trial),
    });
    rows.collect()
}

fn reason(view: &View, trial: &Trial) -> String {
    let afterwards = view.session.records.iter().rev().find_map(|record| match &record.what {
        What::Event(Event::Excluded { block, trial: number, reason })
            if (*block, *number) == (trial.block, trial.trial) =>
        {
            Some(reason.clone())
        }
        _ => None,
    });
    afterwards.or_else(|| trial.excluded.clone()).unwrap_or_default()
}

/// What a row holds.
pub(super) fn columns() -> Vec<Field> {
    let mut all: Vec<Field> = keys().into();
    all.extend(asked());
    all.extend(happened());
    all
}

fn asked() -> Vec<Field> {
    vec![
        Field::of("block", "", "Place of the block in the protocol, from 0.", |row| {
            Cell::Whole(row.trial.block.into())
        }),
        Field::of("block_kind", "", "Kind of the block.", |row| word(row.trial.kind)).levels(BLOCK_KINDS),
        Field::of("trial", "", "Number of the trial in its block, from 1.", |row| Cell::Whole(row.trial.trial.into())),
        Field::of("attempt", "", "First or second try at this target.", |row| Cell::Whole(row.trial.attempt.into())),
        Field::of(
            "target",
            "",
            "Id of the target; an item of a menu that is not shipped stands as item-N, its place in the menu, unless free text was asked for.",
            |row| Cell::text(row.target.clone()),
        ),
        Field::of("position", "", "Position of the target in its last group, from 0.", |row| {
            Cell::Whole(row.trial.position.into())
        }),
        Field::of("entries", "", "Entries in that group.", |row| Cell::Whole(row.trial.count.into())),
        Field::of("scan_interval_s", "s", "Scan interval in force.", |row| {
            Cell::Micros(row.trial.interval_us.0 as i64)
        }),
        Field::of("settings_revision", "", "The revision of table settings that was in force.", |row| {
            Cell::Whole(row.trial.settings.into())
        }),
        Field::of("cued_s", "s", "When the cue began, since the session began.", |row| micros(row.trial.cued)),
        Field::of("began_s", "s", "When the scan or the wait began, since the session began.", |row| {
            micros(row.trial.began)
        }),
        Field::of("ended_s", "s", "When it was judged, since the session began.", |row| micros(row.trial.ended)),
        Field::of("wait_s", "s", "In reaction blocks: the random wait that was drawn.", |row| {
            Cell::some(row.trial.wait_us, |wait| Cell::Micros(wait.0 as i64))
        }),
    ]
}

fn happened() -> Vec<Field> {
    vec![
        Field::of("outcome", "", "The first thing that went wrong, or a hit.", |row| word(row.trial.outcome))
            .levels(OUTCOMES),
        Field::of("reached", "", "The target was taken in the end.", |row| Cell::Flag(row.trial.reached)),
        Field::of("presses_accepted", "", "Accepted presses in it.", |row| Cell::Whole(row.trial.presses.len() as i64)),
        Field::of(
            "passes_missed",
            "",
            "Passes over the group of the wanted entry that went by without a press.",
            |row| Cell::Whole(row.trial.passes_missed.into()),
        ),
        Field::of(
            "previous_outcome",
            "",
            "Outcome of the trial before in this block that was not broken off.",
            |row| some_word(row.trial.previous),
        )
        .levels(OUTCOMES),
        Field::of("practice", "", "Practice: not scored.", |row| Cell::Flag(!row.trial.scored)),
        Field::of("prompt", "", "Help given.", |row| word(row.trial.prompt)).levels(PROMPTS),
        Field::of("interruption", "", "What came between; such a trial counts all the same.", |row| {
            some_word(row.trial.interruption)
        })
        .levels(INTERRUPTIONS),
        Field::of("trial_counts", "", "It enters the findings.", |row| Cell::Flag(row.standing.counts())),
        Field::of("left_out", "", "Why it does not enter the findings; the first reason that holds.", |row| {
            row.standing.left_out()
        })
        .levels(LEFT_OUT),
        Field::of("excluded_because", "", "The clinician's words for leaving it out.", |row| {
            Cell::text(row.reason.clone())
        })
        .free_text(),
    ]
}
