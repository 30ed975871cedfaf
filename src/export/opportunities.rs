//! One row for every lighting of a wanted entry, with the press that is attributed to it.

use std::collections::HashMap;

use super::cell::Cell;
use super::levels::{BLOCK_KINDS, OUTCOMES, word};
use super::presses::corrected;
use super::session::{Owned, View, Whose, keys};
use super::standing::{InTrial, Standing, in_trial};
use super::table::Column;
use crate::analysis::evidence::{Opportunity, Response};
use crate::analysis::opportunities::{Found, of_trials};
use crate::session::trial::{Outcome, Trial};
use crate::time::Moment;

type Field = Column<OpportunityRow>;

/// One lighting.
#[derive(Clone, Debug)]
pub struct OpportunityRow {
    whose: Whose,
    number: u32,
    found: Found,
    target: String,
    standing: Standing,
    attributed_to: Option<u32>,
    lag_us: Option<i64>,
}

impl InTrial for OpportunityRow {
    fn standing(&self) -> Option<Standing> {
        Some(self.standing)
    }
}

impl Owned for OpportunityRow {
    fn whose(&self) -> &Whose {
        &self.whose
    }
}

impl OpportunityRow {
    fn of(&self) -> &Opportunity {
        &self.found.opportunity
    }

    fn latency_us(&self) -> Option<i64> {
        match self.of().response {
            Response::Pressed { latency_s, .. } => Some(to_us(latency_s)),
            Response::Omitted { .. } => None,
        }
    }

    fn outcome(&self) -> Outcome {
        match self.of().response {
            Response::Pressed { outcome, .. } => outcome,
            Response::Omitted { .. } => Outcome::Omission,
        }
    }

    fn in_findings(&self) -> bool {
        self.standing.counts() && self.outcome() == Outcome::Hit
    }
}

/// The rows of a session; `presses` has the numbers of the presses by their stamps.
pub(super) fn rows(view: &View, presses: &HashMap<Moment, u32>) -> Vec<OpportunityRow> {
    // Without its menu a log has no way to a target that could be followed.
    let Ok(plan) = view.session.header.plan("log") else { return Vec::new() };
    let standings = view.trials();
    let trials: HashMap<(u16, u32), &Trial> = view
        .reading
        .blocks
        .iter()
        .flat_map(|block| &block.trials)
        .map(|judged| ((judged.trial.block, judged.trial.trial), judged.trial))
        .collect();
    let found = of_trials(0, &plan.menu, &view.reading, |_| true);
    let rows = (1..).zip(found).filter_map(|(number, found)| {
        let place = (found.opportunity.block, found.opportunity.trial);
        Some(OpportunityRow {
            whose: view.whose(),
            number,
            target: view.target(trials.get(&place)?),
            standing: *standings.get(&place)?,
            attributed_to: found.press.and_then(|press| presses.get(&press).copied()),
            lag_us: view.lag_us(),
            found,
        })
    });
    rows.collect()
}

/// What a row holds.
pub(super) fn columns() -> Vec<Field> {
    let mut all: Vec<Field> = keys().into();
    all.extend(place());
    all.extend(response());
    all.extend(in_trial());
    all.push(Field::of(
        "in_findings",
        "",
        "The latency enters the summary of latencies in the findings: a hit in a trial that counts.",
        |row| Cell::Flag(row.in_findings()),
    ));
    all
}

fn place() -> Vec<Field> {
    vec![
        Field::of("opportunity", "", "Number of the opportunity in the session, from 1.", |row| {
            Cell::Whole(row.number.into())
        }),
        Field::of(
            "shown_s",
            "s",
            "When the frame with the wanted entry was handed to the screen, or would have been for a press that came before it, since the session began.",
            |row| Cell::Micros(row.found.onset_us),
        ),
        Field::of(
            "window_s",
            "s",
            "How long the entry stays lit: the scan interval, and the first-item time where it is the first; in reaction blocks the longest wait for a press.",
            |row| Cell::Micros(to_us(row.of().window_s)),
        ),
        Field::of("block", "", "Place of the block in the protocol, from 0.", |row| Cell::Whole(row.of().block.into())),
        Field::of("block_kind", "", "Kind of the block.", |row| word(row.of().kind)).levels(BLOCK_KINDS),
        Field::of("trial", "", "Number of the trial in its block, from 1.", |row| Cell::Whole(row.of().trial.into())),
        Field::of(
            "target",
            "",
            "Id of the target of the trial; an item of a menu that is not shipped stands as item-N, its place in the menu, unless free text was asked for.",
            |row| Cell::text(row.target.clone()),
        ),
        Field::of("level", "", "Levels below the top of the menu, from 0.", |row| Cell::Whole(row.of().level.into())),
        Field::of("position", "", "Position of the wanted entry in its group, from 0.", |row| {
            Cell::Whole(row.of().position.into())
        }),
        Field::of("entries", "", "Entries in that group.", |row| Cell::Whole(row.of().count.into())),
        Field::of("scan_interval_s", "s", "Scan interval in force.", |row| Cell::Micros(to_us(row.of().interval_s))),
        Field::of("paced", "", "The highlight moves by itself.", |row| Cell::Flag(row.of().paced)),
    ]
}

fn response() -> Vec<Field> {
    vec![
        Field::of("outcome", "", "What came of it.", |row| word(row.outcome())).levels(OUTCOMES),
        Field::of(
            "latency_s",
            "s",
            "As measured: press (or release, where letting go acts) minus shown_s. Negative for a press before the highlight, longer than window_s for a late one; missing for an omission.",
            |row| Cell::some(row.latency_us(), Cell::Micros),
        ),
        Field::of(
            "latency_corrected_s",
            "s",
            "latency_s minus lag_s of table sessions; missing where the lag was not measured.",
            |row| corrected(row.latency_us(), row.lag_us),
        ),
        Field::of(
            "hold_s",
            "s",
            "From press to acceptance, where a hold time delays the choice; otherwise 0.",
            |row| match row.of().response {
                Response::Pressed { held_s, .. } => Cell::Micros(to_us(held_s)),
                Response::Omitted { .. } => Cell::Missing,
            },
        ),
        Field::of(
            "censored",
            "",
            "No press came: the latency is known only to be longer than censor_time_s, or there was none to come.",
            |row| Cell::Flag(row.of().omitted()),
        ),
        Field::of("censor_time_s", "s", "Where the latency is censored: the end of the window, from shown_s.", |row| {
            match row.of().response {
                Response::Omitted { window_s } => Cell::Micros(to_us(window_s)),
                Response::Pressed { .. } => Cell::Missing,
            }
        }),
        Field::of(
            "attributed_to",
            "",
            "The press of table presses that is taken to be meant for this lighting, a late one too; missing for an omission.",
            |row| Cell::whole(row.attributed_to),
        ),
    ]
}

/// Seconds that came from whole microseconds, as those.
fn to_us(seconds: f64) -> i64 {
    libm::round(seconds * 1e6) as i64
}
