//! A session under way, as somebody beside it watches it: what is lit, what came of the presses, what is due.
//!
//! What is on the screen is known by a session that does the same; the counts are taken from the records, so
//! that they stand even where a gap leaves the screen unknown.

use std::collections::BTreeMap;

use crate::log::follow::Follower;
use crate::log::header::Header;
use crate::problem::Problem;
use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::session::scene::Body;
use crate::session::trial::{Outcome, Trial};
use crate::session::{RestDue, Session};
use crate::switch_check::Finding;
use crate::time::Span;

/// How many of the last latencies are kept in view.
pub const IN_VIEW: usize = 20;

/// A session that is being watched.
#[derive(Clone, Debug)]
pub struct Watch {
    header: Header,
    /// Does what the session does; `None` once something of it was not heard.
    follower: Option<Follower>,
    /// Number of the line that comes next.
    next: u64,
    trials: Vec<Trial>,
    left_out: Vec<(u16, u32)>,
    in_force: Option<Span>,
    findings: Vec<Finding>,
    block_began: bool,
    finished: bool,
}

/// A press that was meant for the target.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dot {
    /// Its latency.
    pub seconds: f64,
    /// What came of it.
    pub outcome: Outcome,
}

impl Watch {
    /// Begins with the header of the session.
    ///
    /// # Errors
    /// When it holds no plan that can be run.
    pub fn new(header: Header) -> Result<Watch, Problem> {
        let follower = Some(Follower::new(header.plan("the session")?));
        Ok(Watch {
            header,
            follower,
            next: 1,
            trials: Vec::new(),
            left_out: Vec::new(),
            in_force: None,
            findings: Vec::new(),
            block_began: false,
            finished: false,
        })
    }

    /// Takes in the record on the line of this number.
    pub fn take(&mut self, number: u64, record: &Record) {
        let whole = number == self.next;
        self.next = number + 1;
        let follows = whole && self.follower.as_mut().is_some_and(|it| it.next(record).as_ref() == Some(record));
        if !follows {
            self.follower = None;
        }
        if let What::Event(event) = &record.what {
            self.event(event);
        }
    }

    fn event(&mut self, event: &Event) {
        match event {
            Event::BlockBegan { .. } => self.block_began = true,
            Event::Trial(trial) => self.trials.push((**trial).clone()),
            Event::Excluded { block, trial, .. } => self.left_out.push((*block, *trial)),
            Event::Settings { scan_interval_us, .. } => self.in_force = Some(*scan_interval_us),
            Event::SwitchChecked(finding) => self.findings.push((**finding).clone()),
            Event::Finished { .. } => self.finished = true,
            _ => {}
        }
    }

    /// The header of the session.
    #[must_use]
    pub fn header(&self) -> &Header {
        &self.header
    }

    /// The session as it stands; `None` once something of it was not heard.
    #[must_use]
    pub fn session(&self) -> Option<&Session> {
        self.follower.as_ref().map(Follower::session)
    }

    /// The client is asked for this.
    #[must_use]
    pub fn cue(&self) -> Option<&str> {
        Some(self.session()?.scene().cue.as_ref()?.text.as_str())
    }

    /// What the highlight is on: one tile, or those of a row.
    #[must_use]
    pub fn lit(&self) -> Vec<&str> {
        let Some(Body::Tiles(tiles)) = self.session().map(|session| &session.scene().body) else { return Vec::new() };
        tiles.tiles.iter().filter(|tile| tile.lit && !tile.blank).map(|tile| tile.label.as_str()).collect()
    }

    /// Number of the trial in its block, and how many there are, once one has begun.
    #[must_use]
    pub fn trial(&self) -> Option<(u32, u32)> {
        let session = self.session()?;
        let (number, left) = session.trials()?;
        (number > 0).then_some((number, number + left))
    }

    /// The scan interval of the trial, and the one from the next trial on.
    #[must_use]
    pub fn interval(&self) -> Option<(Span, Span)> {
        let now = self.in_force.or_else(|| Some(self.session()?.scan_interval()))?;
        Some((now, self.session().map_or(now, Session::scan_interval)))
    }

    /// Trials by what came of them: scored, not broken off, not left out.
    #[must_use]
    pub fn tally(&self) -> BTreeMap<Outcome, u32> {
        let mut tally = BTreeMap::new();
        for trial in self.trials.iter().filter(|trial| self.counts(trial)) {
            *tally.entry(trial.outcome).or_default() += 1;
        }
        tally
    }

    fn counts(&self, trial: &Trial) -> bool {
        trial.counts() && !self.left_out.contains(&(trial.block, trial.trial))
    }

    /// The last presses that were meant for the target, oldest first.
    #[must_use]
    pub fn dots(&self) -> Vec<Dot> {
        let presses =
            self.trials.iter().rev().filter(|trial| self.counts(trial)).flat_map(|it| it.presses.iter().rev());
        let dot = |press: &crate::session::trial::Press| {
            Some(Dot { seconds: press.latency_us? as f64 / 1e6, outcome: press.outcome })
        };
        let mut dots: Vec<Dot> = presses.filter_map(dot).take(IN_VIEW).collect();
        dots.reverse();
        dots
    }

    /// Time that the client has spent in trials.
    #[must_use]
    pub fn on_task(&self) -> Span {
        let spent = |trial: &Trial| trial.ended.since(trial.cued);
        self.trials.iter().map(spent).fold(Span::ZERO, |sum, spent| sum + spent)
    }

    /// When the next rest or question is due.
    #[must_use]
    pub fn rest_due(&self) -> Option<RestDue> {
        self.session()?.rest_due()
    }

    /// What a switch check has found out so far, and at its end.
    #[must_use]
    pub fn findings(&self) -> Vec<Finding> {
        let running = self.session().map(Session::checked).unwrap_or_default();
        self.findings.iter().cloned().chain(running).collect()
    }

    /// A block has begun.
    #[must_use]
    pub fn begun(&self) -> bool {
        self.block_began
    }

    /// It is over.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.finished
    }
}

#[cfg(test)]
#[path = "watch_tests.rs"]
mod tests;
