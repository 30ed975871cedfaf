//! Frames and wakes that come too late.
//!
//! What is overdue is lit again and waits for its frame; nothing that was pressed before acts. A lag
//! of more than half the scan interval, three times running, stops the scan.

use super::effect::{Effect, Why};
use super::scan::{Clock, Scan, Scanner, State};
use super::sink::Sink;
use crate::time::{Moment, Span};

/// Lags running that stop the scan.
const LATE_STOPS: u8 = 3;

impl Scanner {
    /// A frame or a wake is overdue: the entry is lit again, and what was pressed before acts on nothing.
    pub fn stalled(&mut self, sink: &mut impl Sink) {
        self.acts_from = self.now + Span(1);
        match &mut self.state {
            State::Idle { .. } | State::Ready { .. } => {}
            State::Pause { until, .. } => *until = (*until).max(self.now),
            State::Lit(scan) => {
                let scan = *scan;
                let wanted = self.wanted(&scan);
                self.tell(Effect::Stalled { late: self.now.since(wanted) }, sink);
                self.screen.use_up();
                if self.is_lag(wanted, self.now) && self.late_again(sink) {
                    return;
                }
                let clock = if self.assume_shown.is_some() { self.clock(&scan, self.now) } else { Clock::AtShown };
                self.state = State::Lit(Scan { due: self.now, wanted, clock, ..scan });
                self.send(scan.lit(), self.now, sink);
            }
        }
    }

    /// Since when something has been overdue: the frame of the entry, or the next entry.
    fn wanted(&self, scan: &Scan) -> Moment {
        match scan.clock {
            _ if self.screen.newest().shown == Moment::NEVER => scan.wanted,
            Clock::At(next) => next.min(self.now),
            _ => self.now,
        }
    }

    fn is_lag(&self, wanted: Moment, came: Moment) -> bool {
        came.since(wanted) > Span(self.rules.beat.0 / 2)
    }

    /// Counts a lag; the third running stops the scan.
    fn late_again(&mut self, sink: &mut impl Sink) -> bool {
        self.late_running += 1;
        let stops = self.late_running >= LATE_STOPS;
        if stops {
            self.screen.use_up();
            self.stop(Why::Lag, false, sink);
        }
        stops
    }

    /// The frame of a highlight came at `at`.
    pub fn frame(&mut self, number: u64, at: Moment, sink: &mut impl Sink) {
        let Some(flash) = self.screen.shown(number, at) else { return };
        let State::Lit(scan) = self.state else { return };
        if flash.number != self.screen.newest().number {
            return;
        }
        if !self.is_lag(scan.wanted, at) {
            self.late_running = 0;
        } else if !self.is_lag(scan.wanted, scan.due) && self.late_again(sink) {
            // A lag that ended in a stall has been counted there.
            return;
        }
        if scan.clock == Clock::AtShown {
            self.state = State::Lit(Scan { due: at, wanted: at, clock: self.clock(&scan, at), ..scan });
        }
    }
}
