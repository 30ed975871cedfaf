//! Every lighting of a wanted entry, with the press that belongs to it.
//!
//! A lighting that went by is an omission unless a press was meant for it: a late one, or a wrong
//! one in the same pass. A press that came early, or wrong in a later pass, stands beside it as an
//! opportunity of its own. Pairs of presses and quiet watches give none.

use std::sync::Arc;

use super::evidence::{Opportunity, Response};
use super::lightings::{Lighting, lightings};
use super::reading::{Judged, Reading};
use crate::engine::effect::Effect;
use crate::engine::pattern::Arrangement;
use crate::engine::tree::{EntryIx, GroupIx, ScanTree};
use crate::menu::Menu;
use crate::session::RESPONSE_WINDOW;
use crate::session::event::{BlockKind, Event};
use crate::session::record::{Record, What};
use crate::session::trial::{Outcome, Press};
use crate::settings::{FirstItemOn, Settings, Technique};
use crate::time::{Moment, Span};

/// An opportunity with what it was found from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Found {
    /// When the entry was shown, or would have been, in microseconds since the session began.
    pub onset_us: i64,
    /// The press that was meant for it, by its stamp.
    pub press: Option<Moment>,
    /// The opportunity.
    pub opportunity: Opportunity,
}

/// The opportunities of the trials that count in one session, in order.
pub(super) fn opportunities(session: u32, menu: &Menu, reading: &Reading) -> Vec<Opportunity> {
    let found = of_trials(session, menu, reading, |judged| judged.counts());
    found.into_iter().map(|found| found.opportunity).collect()
}

/// The opportunities of the trials that are `wanted`, in order.
pub(crate) fn of_trials(session: u32, menu: &Menu, reading: &Reading, wanted: impl Fn(&Judged) -> bool) -> Vec<Found> {
    let mut found = Vec::new();
    walk(session, menu, reading, wanted, |view, part| found.extend(view.opportunities(part)));
    found
}

/// From each wrong group until it was left, in scan intervals then in force.
pub(super) fn wrong_groups(menu: &Menu, reading: &Reading) -> Vec<f64> {
    let mut found = Vec::new();
    walk(
        0,
        menu,
        reading,
        |judged| judged.counts(),
        |view, part| {
            let interval = view.judged.trial.interval_us.as_seconds();
            let (_, path) = view.way();
            found.extend(recoveries(&path, part).map(|span| span.as_seconds() / interval));
        },
    );
    found
}

/// For each trial how long the scan was more than an entry ahead of the wanted one, up to the first press, and
/// whether there was one. Only where the scan begins by itself.
pub(super) fn ahead(menu: &Menu, reading: &Reading) -> Vec<(f64, bool)> {
    let mut found = Vec::new();
    let wanted = |judged: &Judged| judged.counts() && judged.paced && CALLED.contains(&judged.trial.kind);
    walk(0, menu, reading, wanted, |view, _| found.extend(view.ahead()));
    found
}

/// Kinds of block in which an entry is wanted that the scan comes to.
const CALLED: [BlockKind; 2] = [BlockKind::TimedPress, BlockKind::MenuTasks];

/// How long each group off the path was scanned. A group that an item was taken from, or that was left
/// into another one, has no end.
fn recoveries(path: &[(GroupIx, EntryIx)], records: &[Record]) -> impl Iterator<Item = Span> {
    let mut entered: Option<(GroupIx, Moment)> = None;
    records.iter().filter_map(move |record| match &record.what {
        What::Effect(Effect::Entered { into, .. }) => {
            let wrong = path.iter().all(|(group, _)| group != into);
            entered = wrong.then_some((*into, record.at));
            None
        }
        What::Effect(Effect::Left { group, .. }) => {
            let (_, at) = entered.take().filter(|(into, _)| into == group)?;
            Some(record.at.since(at))
        }
        _ => None,
    })
}

/// Every trial that is `wanted`, with its records.
fn walk(
    session: u32,
    menu: &Menu,
    reading: &Reading,
    wanted: impl Fn(&Judged) -> bool,
    mut take: impl FnMut(&View, &[Record]),
) {
    let Reading { header, records, .. } = *reading;
    let mut judged = reading.trials().into_iter();
    let mut settings = &header.settings;
    let mut arrangement = Arrangement::new(menu, settings);
    let mut began = None;
    for (index, record) in records.iter().enumerate() {
        let What::Event(event) = &record.what else { continue };
        match event {
            Event::Settings { values, .. } => {
                settings = values;
                arrangement = Arrangement::new(menu, settings);
            }
            Event::TrialBegan { .. } => began = Some(index),
            Event::Trial(_) => {
                let part = began.take().map_or(&[][..], |began| &records[began..index]);
                if let Some(judged) = judged.next().filter(|judged| wanted(judged)) {
                    take(&View { session, judged, settings, arrangement: &arrangement }, part);
                }
            }
            _ => {}
        }
    }
}

/// A trial that counts, and what was in force.
struct View<'a> {
    session: u32,
    judged: &'a Judged<'a>,
    settings: &'a Settings,
    arrangement: &'a Arrangement,
}

impl View<'_> {
    /// The opportunities of the trial, by the time at which the entry was or would have been shown.
    fn opportunities(&self, records: &[Record]) -> Vec<Found> {
        let trial = self.judged.trial;
        if trial.kind == BlockKind::Repeat {
            return Vec::new();
        }
        let mut lightings = self.lightings(records);
        let mut found = Vec::new();
        for press in &trial.presses {
            let Some(onset_us) = onset(press) else { continue };
            let own = lightings.iter().position(|lighting| belongs(press, onset_us, lighting));
            let lighting = own.map(|index| lightings.remove(index));
            let opportunity = self.pressed(press, lighting);
            found.extend(opportunity.map(|opportunity| Found { onset_us, press: Some(press.pressed), opportunity }));
        }
        for lighting in lightings.iter().filter(|lighting| lighting.went_by) {
            let opportunity = self.omitted(lighting);
            found.push(Found { onset_us: lighting.shown.0 as i64, press: None, opportunity });
        }
        found.sort_by_key(|found| found.onset_us);
        found
    }

    fn ahead(&self) -> Option<(f64, bool)> {
        let trial = self.judged.trial;
        let (_, path) = self.way();
        let (_, EntryIx(wanted)) = *path.first()?;
        if wanted < 2 || self.settings.technique() != Technique::Automatic {
            return None;
        }
        let entries = trial.interval_us.times(u64::from(wanted) - 1);
        let ahead = entries + self.settings.first_after_start();
        let Some(first) = trial.presses.first().filter(|press| press.pressed.since(trial.began) < ahead) else {
            return Some((ahead.as_seconds(), false));
        };
        // A log made by hand may leave no time for the scan: only what took an entry so far ahead counts.
        let took_one_ahead = first.position.is_some_and(|took| took + 1 < wanted);
        took_one_ahead.then(|| (first.pressed.since(trial.began).as_seconds(), true))
    }

    fn lightings(&self, records: &[Record]) -> Vec<Lighting> {
        let (tree, path) = self.way();
        lightings(&tree, &path, records)
    }

    /// What was scanned, and the entries that lead to the target.
    fn way(&self) -> (Arc<ScanTree>, Vec<(GroupIx, EntryIx)>) {
        let trial = self.judged.trial;
        if !matches!(trial.kind, BlockKind::MenuTasks | BlockKind::Confirm) {
            let line = ScanTree::linear(trial.count.max(1));
            return (Arc::new(line), vec![(ScanTree::TOP, EntryIx(trial.position))]);
        }
        let tree = Arc::clone(&self.arrangement.tree);
        let path = self.arrangement.find(&trial.target).and_then(|item| tree.path(item)).unwrap_or_default();
        (tree, path)
    }

    fn pressed(&self, press: &Press, lighting: Option<Lighting>) -> Option<Opportunity> {
        let latency_s = press.latency_us? as f64 / 1e6;
        let held = if self.judged.hold_counts { press.accepted.since(press.pressed) } else { Span::ZERO };
        let response = Response::Pressed { latency_s, held_s: held.as_seconds(), outcome: press.outcome };
        // Only a pass that follows another can be awaited while an entry is lit.
        let pass = lighting.map_or(1, |lighting| lighting.pass);
        Some(self.opportunity([press.wanted, press.count], press.level, pass, |_| response))
    }

    fn omitted(&self, lighting: &Lighting) -> Opportunity {
        let response = |window_s| Response::Omitted { window_s };
        self.opportunity([lighting.position, lighting.count], lighting.level, lighting.pass, response)
    }

    fn opportunity(
        &self,
        [position, count]: [u16; 2],
        level: u8,
        pass: u32,
        response: impl FnOnce(f64) -> Response,
    ) -> Opportunity {
        let trial = self.judged.trial;
        let window_s = self.window(position, level, pass).as_seconds();
        Opportunity {
            session: self.session,
            block: trial.block,
            kind: trial.kind,
            trial: trial.trial,
            at_s: trial.began.since(Moment::START).as_seconds(),
            position,
            count,
            level,
            interval_s: trial.interval_us.as_seconds(),
            window_s,
            paced: self.judged.paced,
            response: response(window_s),
        }
    }

    /// How long the entry stays lit; in techniques without a scan of their own, how long it would.
    fn window(&self, position: u16, level: u8, pass: u32) -> Span {
        let (trial, settings) = (self.judged.trial, self.settings);
        let waits_on_first = pass == 0 || settings.first_item_on() == FirstItemOn::EveryPass;
        match (trial.kind, position, level) {
            (BlockKind::Reaction, ..) => RESPONSE_WINDOW,
            (_, 0, 0) if waits_on_first => trial.interval_us + settings.first_after_start(),
            (_, 0, _) if waits_on_first => trial.interval_us + settings.first_in_group(),
            _ => trial.interval_us,
        }
    }
}

/// When the entry that a press was meant for was or would have been shown; `None` for a press that
/// was meant for none.
fn onset(press: &Press) -> Option<i64> {
    let meant = matches!(press.outcome, Outcome::Hit | Outcome::Early | Outcome::Late | Outcome::Wrong);
    let latency_us = press.latency_us.filter(|_| meant)?;
    Some((press.pressed.0 as i64).saturating_sub(latency_us))
}

/// Whether a press answers this lighting. A wrong press on an entry before the wanted one came in a
/// later pass: the lighting had gone by without a press.
fn belongs(press: &Press, onset: i64, lighting: &Lighting) -> bool {
    let answers = match press.outcome {
        Outcome::Hit | Outcome::Late => true,
        Outcome::Wrong => press.position.is_some_and(|took| took > press.wanted),
        _ => false,
    };
    answers && lighting.shown.0 as i64 == onset && lighting.level == press.level
}
