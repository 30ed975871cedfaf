//! One row for every closure of the raw contact, whatever became of it.
//!
//! Nothing is left out: contact bounce, presses that the filter ignored, the assessor's own presses
//! and those in a pause are all there, and flags say so.

use std::collections::HashMap;

use super::cell::Cell;
use super::closures::{Closure, closures};
use super::levels::{BLOCK_KINDS, IGNORED, OUTCOMES, STATES, word};
use super::session::{Owned, View, Whose, keys, some_word};
use super::standing::{InTrial, Standing, in_trial};
use super::table::Column;
use crate::session::event::BlockKind;
use crate::session::trial::{Outcome, Press};
use crate::time::Moment;

type Field = Column<PressRow>;

/// One closure.
#[derive(Clone, Debug)]
pub struct PressRow {
    whose: Whose,
    number: u32,
    raw: Closure,
    standing: Option<Standing>,
    lag_us: Option<i64>,
}

impl InTrial for PressRow {
    fn standing(&self) -> Option<Standing> {
        self.standing
    }
}

impl Owned for PressRow {
    fn whose(&self) -> &Whose {
        &self.whose
    }
}

impl PressRow {
    /// The measured latency in microseconds; the second press of a pair has none, for what is logged
    /// as its latency is the gap.
    fn latency_us(&self) -> Option<i64> {
        self.judged().filter(|_| !self.is_pair()).and_then(|press| press.latency_us)
    }

    fn judged(&self) -> Option<&Press> {
        self.raw.judged.as_ref()
    }

    /// The judged press, if it was meant for an entry.
    fn aimed(&self) -> Option<&Press> {
        self.judged().filter(|press| press.latency_us.is_some())
    }

    fn is_pair(&self) -> bool {
        self.raw.block.is_some_and(|(_, kind)| kind == BlockKind::Repeat)
    }

    /// Whether its latency enters the summary that the findings print.
    fn in_findings(&self) -> bool {
        self.standing.is_some_and(Standing::counts)
            && self.latency_us().is_some()
            && self.judged().is_some_and(|press| press.outcome == Outcome::Hit)
    }

    fn ignored(&self) -> Cell {
        if self.raw.pressed { some_word(self.raw.ignored) } else { Cell::text("bounce") }
    }
}

/// The rows of a session, and the number of the row that each judged press has.
pub(super) fn rows(view: &View) -> (Vec<PressRow>, HashMap<Moment, u32>) {
    let standings = view.trials();
    let rows: Vec<PressRow> = (1..)
        .zip(closures(view.session.records))
        .map(|(number, raw)| {
            let place = raw.block.map(|(block, _)| block).zip(raw.trial);
            let standing = place.and_then(|place| standings.get(&place).copied());
            PressRow { whose: view.whose(), number, raw, standing, lag_us: view.lag_us() }
        })
        .collect();
    let numbers = rows.iter().filter_map(|row| Some((row.raw.judged?.pressed, row.number))).collect();
    (rows, numbers)
}

/// What a row holds.
pub(super) fn columns() -> Vec<Field> {
    let mut all: Vec<Field> = keys().into();
    all.extend(contact());
    all.extend(judgement());
    all.extend(in_trial());
    all.push(Field::of(
        "in_findings",
        "",
        "Its latency enters the summary of latencies in the findings: a hit in a trial that counts, pairs of presses left out.",
        |row| Cell::Flag(row.in_findings()),
    ));
    all
}

fn contact() -> Vec<Field> {
    vec![
        Field::of("press", "", "Number of the closure in the session, from 1, in the order of arrival.", |row| {
            Cell::Whole(row.number.into())
        }),
        Field::of("switch", "", "Which switch, from 0 in the order in which they were learned.", |row| {
            Cell::Whole(row.raw.switch.0.into())
        }),
        Field::of("closed_s", "s", "When the raw contact closed, since the session began.", |row| {
            micros(row.raw.closed)
        }),
        Field::of("opened_s", "s", "When the raw contact next opened; missing when the log ends before.", |row| {
            Cell::some(row.raw.opened, micros)
        }),
        Field::of(
            "released_s",
            "s",
            "When the debounced press was let go; missing when it was no press of its own.",
            |row| Cell::some(row.raw.let_go, micros),
        ),
        Field::of("held_s", "s", "From closing to release of the debounced press.", |row| {
            Cell::some(row.raw.let_go, |let_go| Cell::Micros(let_go.signed_us_since(row.raw.closed)))
        }),
        Field::of("state", "", "What the session was doing when the contact closed.", |row| Cell::text(row.raw.state))
            .levels(STATES),
        Field::of("block", "", "Place of the block in the protocol, from 0; missing between blocks.", |row| {
            Cell::whole(row.raw.block.map(|(block, _)| block))
        }),
        Field::of("block_kind", "", "Kind of the block.", |row| Cell::some(row.raw.block, |(_, kind)| word(kind)))
            .levels(BLOCK_KINDS),
        Field::of("trial", "", "Number of the trial in its block, from 1; missing outside trials.", |row| {
            Cell::whole(row.raw.trial)
        }),
        Field::of("accepted", "", "The filter let it through: debounce, hold time and repeat lockout.", |row| {
            Cell::Flag(row.raw.accepted.is_some())
        }),
        Field::of("accepted_s", "s", "When the filter accepted it, since the session began.", |row| {
            Cell::some(row.raw.accepted, micros)
        }),
        Field::of(
            "ignored",
            "",
            "Why it took no entry of the scan; missing when it did, or answered a question.",
            PressRow::ignored,
        )
        .levels(IGNORED),
    ]
}

fn judgement() -> Vec<Field> {
    vec![
        Field::of("outcome", "", "How the trial judged it; missing when it was not judged.", |row| {
            some_word(row.judged().map(|press| press.outcome))
        })
        .levels(OUTCOMES),
        Field::of("level", "", "Levels below the top of the menu at which it came, from 0.", |row| {
            Cell::whole(row.judged().map(|press| press.level))
        }),
        Field::of("position", "", "Position of the entry that it took, from 0.", |row| {
            Cell::whole(row.judged().and_then(|press| press.position))
        }),
        Field::of(
            "wanted_position",
            "",
            "Position of the entry that was wanted, from 0; missing for a press that was meant for none.",
            |row| Cell::whole(row.aimed().map(|press| press.wanted)),
        ),
        Field::of(
            "entries",
            "",
            "Entries in the group that was scanned; missing for a press that was meant for none.",
            |row| Cell::whole(row.aimed().map(|press| press.count)),
        ),
        Field::of(
            "latency_s",
            "s",
            "As measured: press (or release, where letting go acts) minus the moment at which the frame with the wanted entry was, or would have been, handed to the screen. Negative before it, longer than its window for a late press. Missing for pairs of presses.",
            |row| Cell::some(row.latency_us(), Cell::Micros),
        ),
        Field::of(
            "latency_corrected_s",
            "s",
            "latency_s minus lag_s of table sessions; missing where the lag was not measured.",
            |row| corrected(row.latency_us(), row.lag_us),
        ),
        Field::of("gap_s", "s", "In pairs of presses: from the first press to the second.", |row| {
            Cell::some(row.judged().filter(|_| row.is_pair()).and_then(|press| press.latency_us), Cell::Micros)
        }),
    ]
}

/// A latency without the lag, where both are known.
pub(super) fn corrected(latency_us: Option<i64>, lag_us: Option<i64>) -> Cell {
    Cell::some(latency_us.zip(lag_us), |(latency_us, lag_us)| Cell::Micros(latency_us.saturating_sub(lag_us)))
}

/// An instant since the session began.
pub(super) fn micros(at: Moment) -> Cell {
    Cell::Micros(i64::try_from(at.0).unwrap_or(i64::MAX))
}
