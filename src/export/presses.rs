//! One row for every closure of the raw contact, whatever became of it.
//!
//! Nothing is left out: contact bounce, presses that the filter ignored, the assessor's own presses
//! and those in a pause are all there, and flags say so.

use std::collections::HashMap;

use super::cell::Cell;
use super::levels::{BLOCK_KINDS, IGNORED, LEFT_OUT, OUTCOMES, STATES, word};
use super::session::{Owned, Standing, View, Whose, keys, some_word};
use super::table::Column;
use crate::analysis::hands::Hands;
use crate::engine::effect::{Effect, Ignored, Switch};
use crate::session::event::{BlockKind, Event};
use crate::session::input::Input;
use crate::session::record::{Record, What};
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

/// What the records say of a closure.
#[derive(Clone, Debug)]
struct Closure {
    switch: Switch,
    closed: Moment,
    opened: Option<Moment>,
    state: &'static str,
    block: Option<(u16, BlockKind)>,
    trial: Option<u32>,
    /// The filter took it for a press, and when that press was let go.
    pressed: bool,
    let_go: Option<Moment>,
    accepted: Option<Moment>,
    ignored: Option<Ignored>,
    judged: Option<Press>,
}

impl Closure {
    /// Whether a press with this stamp is this closure: by its press or, where letting go acts, by
    /// its release.
    fn is(&self, stamp: Moment) -> bool {
        self.pressed && (self.closed == stamp || self.let_go == Some(stamp))
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
    let mut walk = Walk { hands: Hands::new(), resting: false, block: None, trial: None, closures: Vec::new() };
    view.session.records.iter().for_each(|record| walk.take(record));
    let standings = view.trials();
    let rows: Vec<PressRow> = (1..)
        .zip(walk.closures)
        .map(|(number, raw)| {
            let place = raw.block.map(|(block, _)| block).zip(raw.trial);
            let standing = place.and_then(|place| standings.get(&place).copied());
            PressRow { whose: view.whose(), number, raw, standing, lag_us: view.lag_us() }
        })
        .collect();
    let numbers = rows.iter().filter_map(|row| Some((row.raw.judged?.pressed, row.number))).collect();
    (rows, numbers)
}

struct Walk {
    hands: Hands,
    resting: bool,
    block: Option<(u16, BlockKind)>,
    trial: Option<u32>,
    closures: Vec<Closure>,
}

impl Walk {
    fn take(&mut self, record: &Record) {
        self.hands.take(record);
        match &record.what {
            What::Input(Input::Edge { switch, down: true }) => self.closed(*switch, record.at),
            What::Input(Input::Edge { switch, down: false }) => self.opened(*switch, record.at),
            What::Input(Input::Next) if !self.hands.paused => self.resting = false,
            What::Input(_) => {}
            What::Effect(effect) => self.effect(effect),
            What::Event(event) => self.event(event),
        }
    }

    fn closed(&mut self, switch: Switch, closed: Moment) {
        let state = self.state();
        let trial = self.trial.filter(|_| state == "trial");
        self.closures.push(Closure {
            switch,
            closed,
            opened: None,
            state,
            block: self.block,
            trial,
            pressed: false,
            let_go: None,
            accepted: None,
            ignored: None,
            judged: None,
        });
    }

    fn state(&self) -> &'static str {
        match () {
            () if self.hands.mine => "assessor",
            () if self.hands.paused => "paused",
            () if self.resting => "resting",
            () if self.trial.is_some() => "trial",
            () if self.block.is_some_and(|(_, kind)| without_trials(kind)) => "open-block",
            () => "between",
        }
    }

    fn opened(&mut self, switch: Switch, at: Moment) {
        if let Some(last) = self.find(|closure| closure.switch == switch) {
            last.opened = last.opened.or(Some(at));
        }
    }

    /// The last closure of which this holds.
    fn find(&mut self, wanted: impl Fn(&Closure) -> bool) -> Option<&mut Closure> {
        self.closures.iter_mut().rev().find(|closure| wanted(closure))
    }

    fn effect(&mut self, effect: &Effect) {
        match *effect {
            Effect::Pressed { switch, edge } => {
                if let Some(found) = self.find(|closure| closure.switch == switch && closure.closed == edge) {
                    found.pressed = true;
                }
            }
            Effect::Released { switch, pressed, edge } => {
                if let Some(found) = self.find(|closure| closure.switch == switch && closure.is(pressed)) {
                    found.let_go = Some(edge);
                }
            }
            Effect::Activated(by) => {
                if let Some(found) = self.find(|closure| closure.switch == by.switch && closure.is(by.pressed)) {
                    found.accepted = Some(by.accepted);
                }
            }
            Effect::NotCounted { switch, pressed, why } => {
                if let Some(found) = self.find(|closure| closure.switch == switch && closure.is(pressed)) {
                    found.ignored = Some(why);
                }
            }
            _ => {}
        }
    }

    fn event(&mut self, event: &Event) {
        match event {
            Event::BlockBegan { block, kind } => {
                (self.block, self.trial, self.resting) = (Some((*block, *kind)), None, false);
            }
            Event::BlockEnded { .. } => (self.block, self.trial) = (None, None),
            Event::TrialBegan { trial, .. } => (self.trial, self.resting) = (Some(*trial), false),
            Event::Rest { .. } | Event::Question => self.resting = true,
            Event::CarriedOn => self.resting = false,
            Event::Trial(trial) => {
                self.trial = None;
                for press in &trial.presses {
                    if let Some(found) = self.find(|closure| closure.judged.is_none() && closure.is(press.pressed)) {
                        // The last edge of a trial may have come in the same batch as its end.
                        (found.judged, found.trial) = (Some(*press), Some(trial.trial));
                        found.block = Some((trial.block, trial.kind));
                    }
                }
            }
            _ => {}
        }
    }
}

fn without_trials(kind: BlockKind) -> bool {
    matches!(kind, BlockKind::FirstContact | BlockKind::QuietWatch | BlockKind::SwitchCheck)
}

/// What a row holds.
pub(super) fn columns() -> Vec<Field> {
    let mut all: Vec<Field> = keys().into();
    all.extend(contact());
    all.extend(judgement());
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
        Field::of("trial_counts", "", "Its trial enters the findings; missing outside trials.", |row| {
            Cell::some(row.standing, |standing| Cell::Flag(standing.counts()))
        }),
        Field::of("left_out", "", "Why its trial does not enter the findings; the first reason that holds.", |row| {
            Cell::some(row.standing, Standing::left_out)
        })
        .levels(LEFT_OUT),
        Field::of("interrupted", "", "Something came between in its trial, which counts all the same.", |row| {
            Cell::some(row.standing, |standing| Cell::Flag(standing.interrupted))
        }),
        Field::of(
            "in_findings",
            "",
            "Its latency enters the summary of latencies in the findings: a hit in a trial that counts, pairs of presses left out.",
            |row| Cell::Flag(row.in_findings()),
        ),
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
