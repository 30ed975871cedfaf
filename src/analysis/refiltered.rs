//! What other filter settings would have made of the presses of a session: exact, not simulated.
//!
//! When the switch changed does not depend on what was made of it, as long as the client does not
//! change with the settings. So the raw edges are run through the filter once more. What a press
//! then takes depends on the scan and is not asked here.

use std::sync::Arc;

use serde::Serialize;

use super::evidence::{Aim, Contact, Evidence};
use crate::engine::Engine;
use crate::engine::effect::{self, Effect};
use crate::engine::tree::ScanTree;
use crate::log::header::Header;
use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::settings::{Id, Settings};
use crate::stats::{Interval, Level, proportion};
use crate::time::{Moment, Span};

/// The settings of the filter: what follows from them can be told exactly.
pub const FILTER: [Id; 8] =
    [Id::Debounce, Id::DropOut, Id::Hold, Id::ActOn, Id::Lockout, Id::LockoutFrom, Id::LockoutRestarts, Id::LongPress];

/// After the last edge a press is decided within this time.
const SETTLED: Span = Span::from_ms(60_000);

/// What became of the presses, by what they were for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Refiltered {
    /// Presses that were asked for.
    pub wanted: Tally,
    /// Presses when nothing was asked, or again after the one that was.
    pub unwanted: Tally,
    /// Presses of which it cannot be told.
    pub unknown: Tally,
}

/// Presses of one kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Tally {
    /// Closures of the switch.
    pub presses: u32,
    /// Those that counted in the session.
    pub counted: u32,
    /// Those that would have counted.
    pub would_count: u32,
    /// Times that one closure would have counted once more.
    pub counted_again: u32,
}

impl Tally {
    /// Share of the presses that would have counted, with its 90 % interval (Wilson); `None` without a
    /// press.
    #[must_use]
    pub fn share(&self) -> Option<(f64, [f64; 2])> {
        let (count, of) = (u64::from(self.would_count), u64::from(self.presses));
        let interval = proportion::wilson(count, of, Level::NINETY).map(Interval::ends)?;
        Some((count as f64 / of as f64, interval))
    }
}

/// Runs the edges of a session through the filter with the values of `changes` instead of those that
/// were in force. `evidence` is that of this session alone.
#[must_use]
pub fn refiltered(header: &Header, records: &[Record], evidence: &Evidence, changes: &[(Id, i64)]) -> Refiltered {
    let counted = activations(header, records, &[]);
    let would_count = activations(header, records, changes);
    let mut found = Refiltered { wanted: Tally::default(), unwanted: Tally::default(), unknown: Tally::default() };
    for (index, contact) in evidence.contacts.iter().enumerate() {
        let until = evidence.contacts.get(index + 1).map_or(f64::INFINITY, |next| next.pressed_s);
        let times = |all: &[f64]| all.iter().filter(|at| (contact.pressed_s..until).contains(*at)).count() as u32;
        let tally = found.of(contact);
        let (before, after) = (times(&counted), times(&would_count));
        tally.presses += 1;
        tally.counted += before.min(1);
        tally.would_count += after.min(1);
        tally.counted_again += after.saturating_sub(1);
    }
    found
}

impl Refiltered {
    fn of(&mut self, contact: &Contact) -> &mut Tally {
        match contact.aim {
            Aim::Wanted => &mut self.wanted,
            Aim::Unwanted => &mut self.unwanted,
            Aim::Unknown => &mut self.unknown,
        }
    }
}

/// Seconds at which presses that count were made. The engine stands still: every press that counts
/// is told, whatever it would take.
fn activations(header: &Header, records: &[Record], changes: &[(Id, i64)]) -> Vec<f64> {
    let changed = |settings: &Settings| changes.iter().fold(settings.clone(), |all, (id, raw)| all.with(*id, *raw));
    let mut engine = Engine::new(Arc::new(ScanTree::linear(1)), &changed(&header.settings));
    let mut found = Vec::new();
    let mut sink = |_: Moment, effect: Effect| {
        if let Effect::Activated(by) = effect {
            found.push(by.pressed.since(Moment::START).as_seconds());
        }
    };
    for record in records {
        match &record.what {
            What::Event(Event::Settings { values, .. }) => engine.set(record.at, &changed(values), &mut sink),
            what => {
                if let Some((switch, down)) = what.edge() {
                    engine.input(record.at, effect::Input::Edge { switch, down }, &mut sink);
                }
            }
        }
    }
    engine.advance(engine.now() + SETTLED, &mut sink);
    found
}
