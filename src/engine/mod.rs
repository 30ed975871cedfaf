//! The engine: raw switch edges and time in, effects out.
//!
//! Two machines: the switch filter turns edges into presses, the scanner turns presses and time into
//! choices. Rules, exactly:
//!
//! - In a pass that starts at `s`, entry `k` is due at `s + [k > 0]·first_extra + k·interval`. The
//!   schedule never drifts and never depends on how often the engine is called.
//! - A press acts on the last highlight that had been shown at its stamp, even if the schedule has
//!   moved on. A choice uses up all highlights before it.
//! - A stamp older than the engine's own instant is handled now; it keeps its value.
//! - In one microsecond come filter deadlines, the scan's deadline, frames shown, edges in order of
//!   arrival, then changes of setting. So an entry's window is closed on the left, open on the right.
//! - A highlight whose frame has not come within the stall limit is lit again under a new number; the
//!   schedule goes on from that frame, and nothing that was pressed before acts.
//! - When the loops have run out the last entry can be taken until the dark has been seen. A press after
//!   that may start the scan.
//!
//! Times are whole microseconds. The engine reads no clock, does no input or output, uses no float
//! and, stepping, allocates nothing once its switches are known.

pub mod effect;
mod filter;
mod inputs;
pub mod pattern;
mod pointer;
mod pointing;
mod presses;
mod rest;
pub mod roles;
mod rules;
mod scan;
mod screen;
mod silent;
mod sink;
mod stall;
pub mod tree;

use std::sync::Arc;

use crate::settings::Settings;
use crate::time::{Moment, Span};

use effect::{Lit, Switch};
use filter::Filter;
pub use rest::Rest;
use rules::FilterRules;
use scan::Scanner;
pub use silent::Watch;
pub use sink::Sink;
use tree::ScanTree;

/// One menu being scanned with its switches.
#[derive(Clone, Debug, PartialEq)]
pub struct Engine {
    filter_rules: FilterRules,
    /// Switch by switch.
    filters: Vec<Filter>,
    /// The earliest deadline of a filter.
    filters_due: Moment,
    scanner: Scanner,
}

impl Engine {
    /// An engine that stands before this tree and waits for [`effect::Input::Start`].
    #[must_use]
    pub fn new(tree: Arc<ScanTree>, settings: &Settings) -> Engine {
        let filter_rules = FilterRules::new(settings);
        Engine {
            filter_rules,
            filters: vec![Filter::new(Switch(0), filter_rules)],
            filters_due: Moment::NEVER,
            scanner: Scanner::new(tree, settings),
        }
    }

    /// Every highlight counts as shown at its due time, without a report: for simulation.
    pub fn assume_shown(&mut self, assume: bool) {
        self.scanner.assume_shown = assume.then_some(Span::ZERO);
    }

    /// Every highlight counts as shown this long after its due time, without a report. It has to be
    /// shorter than a stall.
    pub fn shown_after(&mut self, lag: Span) {
        self.scanner.assume_shown = Some(lag);
    }

    /// The next number for something visible that is no highlight.
    pub fn take_number(&mut self) -> u64 {
        self.scanner.screen.take_number()
    }

    /// What the newest highlight rests on.
    #[inline]
    #[must_use]
    pub fn lit(&self) -> Lit {
        self.scanner.screen.newest().lit
    }

    /// The instant up to which everything has been done.
    #[inline]
    #[must_use]
    pub fn now(&self) -> Moment {
        self.scanner.now
    }

    /// The highlight moves, or will after a pause.
    #[inline]
    #[must_use]
    pub fn is_scanning(&self) -> bool {
        self.scanner.is_scanning()
    }

    /// Nothing is lit, and a press starts the scan.
    #[inline]
    #[must_use]
    pub fn waits_for_start(&self) -> bool {
        self.scanner.waits_for_start()
    }

    /// A highlight not shown within this time, or a wake later than this, is a stall: the longer of 100 ms and a quarter
    /// of the scan interval; where the client moves the highlight and a pause takes the item, of that pause; with a
    /// pointer, of a second.
    #[must_use]
    pub fn stall_limit(&self) -> Span {
        self.scanner.rules.stall_limit
    }

    /// When [`Engine::advance`] has to be called next, at the earliest [`Engine::now`]; `None` when
    /// only an input goes on.
    #[inline]
    #[must_use]
    pub fn deadline(&self) -> Option<Moment> {
        Some(self.due()).filter(|due| *due < Moment::NEVER)
    }

    /// The same, or [`Moment::NEVER`].
    #[inline(always)]
    fn due(&self) -> Moment {
        let next = self.filters_due.min(self.scanner.due());
        // What an old stamp has begun may have been due before the engine's own instant.
        next.max(self.scanner.now)
    }

    /// Does all that is due up to and including `now`, each at its own instant.
    #[inline(always)]
    pub fn advance(&mut self, now: Moment, sink: &mut impl Sink) {
        if self.filters_due.min(self.scanner.due()) <= now {
            self.work_off(now, sink);
        }
        self.scanner.reach(now);
    }

    // Kept out of line: the look whether anything is due is what is done often.
    #[inline(never)]
    fn work_off(&mut self, now: Moment, sink: &mut impl Sink) {
        loop {
            let scan = self.scanner.due();
            if self.filters_due.min(scan) > now {
                break;
            }
            if self.filters_due <= scan {
                self.run_filters(self.filters_due, sink);
            } else {
                self.scanner.reach(scan);
                self.scanner.run(scan, sink);
            }
        }
    }

    /// Stops, and stands before another tree. Switches and numbers go on.
    pub fn load(&mut self, now: Moment, tree: Arc<ScanTree>, sink: &mut impl Sink) {
        self.advance(now, sink);
        self.scanner.halt(sink);
        self.scanner.tree = tree;
    }

    /// Takes other settings: the scan from the next entry on, a switch from its next press on.
    /// Another technique begins the group anew.
    pub fn set(&mut self, now: Moment, settings: &Settings, sink: &mut impl Sink) {
        self.advance(now, sink);
        self.filter_rules = FilterRules::new(settings);
        for filter in &mut self.filters {
            filter.set(self.filter_rules);
        }
        self.scanner.set(settings, sink);
    }
}
