//! The tile that is held until it is full, and then let go.
//!
//! A trial of it is right when the press began while the tile was lit, lasted for the hold time, and ended within
//! [`LET_GO`] of that. Let go before, or pressed before the tile lit, is early; not let go in time is late.

use super::course::Target;
use super::phase::Phase;
use super::record::Record;
use super::running::{Running, Stage};
use super::trial::Outcome;
use super::trials::RESPONSE_WINDOW;
use super::{Session, words};
use crate::engine::effect::{Activation, Ignored, Switch};
use crate::settings::{Id, Settings};
use crate::time::{Moment, Span};

/// A full tile has to be let go within this time.
pub const LET_GO: Span = RESPONSE_WINDOW;
/// Its edge fills in so many steps.
const STEPS: u64 = 8;

/// A press that fills the tile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Held {
    since: Moment,
    hold: Span,
    /// Steps that are full.
    full: u64,
}

impl Held {
    /// When the next step is full; the last one is full when the press counts.
    pub fn deadline(&self) -> Option<Moment> {
        let next = self.full + 1;
        (next < STEPS).then(|| self.since + Span(self.hold.0 * next / STEPS))
    }
}

impl Target {
    /// It has to be held.
    pub fn holds(self) -> bool {
        matches!(self, Target::Lamp { hold, .. } if !hold.is_zero())
    }
}

/// How long the tile has to be held under these settings: as its block says, or for a longer hold time.
fn hold_time(settings: &Settings, target: Target) -> Span {
    if let Target::Lamp { hold, .. } = target { hold.max(settings.hold()) } else { Span::ZERO }
}

/// The engine's settings of a trial with this target, which has to be held, over those of the same without.
pub(super) fn held_settings(settings: Settings, target: Target) -> Settings {
    let hold = hold_time(&settings, target);
    let longest = (hold + LET_GO.times(2)).0 as i64;
    let stuck = settings.raw(Id::StuckLimit).max(longest);
    settings
        .with(Id::Hold, hold.0 as i64)
        // A press that began before the tile lit takes nothing.
        .with(Id::ItemTaken, 1)
        .with(Id::ActOn, 0)
        .with(Id::LongPress, 0)
        .with(Id::StuckLimit, stuck)
        // Whoever presses at the last moment may hold on.
        .with(Id::ScanInterval, (RESPONSE_WINDOW + hold.times(2)).0 as i64)
}

impl Session {
    /// A press has begun.
    pub(super) fn hold_began(&mut self, since: Moment) {
        let settings = self.block_settings();
        if let Some(running) = self.holding()
            && let Stage::Scanning { .. } = running.stage
        {
            let hold = hold_time(&settings, running.task.target);
            running.held = Some(Held { since, hold, full: 0 });
        }
    }

    /// Fills the next step of the tile, if that is due.
    pub(super) fn fills(&mut self) -> bool {
        let now = self.now;
        let Some(held) = self.holding().and_then(|running| running.held.as_mut()) else { return false };
        if held.deadline().is_none_or(|due| due > now) {
            return false;
        }
        held.full += 1;
        let full = held.full as u8;
        self.fill(full);
        true
    }

    /// The press has lasted long enough: the tile is full, and has to be let go.
    pub(super) fn full(&mut self, out: &mut Vec<Record>) {
        let until = self.now + LET_GO;
        if let Some(running) = self.holding() {
            (running.held, running.stage) = (None, Stage::Full { until });
        }
        self.show_cue(out);
    }

    /// A press that began at `pressed` has ended.
    pub(super) fn let_go(&mut self, pressed: Moment, out: &mut Vec<Record>) {
        if let Some(running) = self.holding()
            && let Stage::Full { .. } = running.stage
            && running.presses.last().is_some_and(|press| press.pressed == pressed)
        {
            running.reached = true;
            self.judge(out);
        }
    }

    /// Whether the press that began at `pressed` and does not count was one on a tile that has to be held: it was too
    /// short, or began before the tile was seen to be lit.
    pub(super) fn held_in_vain(
        &mut self,
        why: Ignored,
        switch: Switch,
        pressed: Moment,
        out: &mut Vec<Record>,
    ) -> bool {
        let by = Activation { switch, pressed, accepted: self.now };
        let Some(running) = self.holding().filter(|running| matches!(running.stage, Stage::Scanning { .. })) else {
            return false;
        };
        let latency_us = running.since_shown_us(pressed);
        running.held = None;
        if matches!(why, Ignored::TooShort | Ignored::NothingLit) {
            running.pressed_in_vain(by, Outcome::Early, latency_us);
            running.outcome = Some(Outcome::Early);
            self.judge(out);
            return true;
        }
        false
    }

    /// What the client is asked, and told.
    pub(super) fn hold_words(&self) -> &'static str {
        let Phase::Trial(running) = &self.phase else { return words::HOLD };
        let after_it_lit = running.presses.last().and_then(|press| press.latency_us).is_some_and(|late| late > 0);
        match (running.stage, running.outcome) {
            (Stage::Full { .. }, _) => words::HOLD_FULL,
            (Stage::After { .. }, Some(Outcome::Early)) if after_it_lit => words::HOLD_SHORT,
            (Stage::After { .. }, Some(Outcome::Late)) => words::HOLD_LONG,
            _ => words::HOLD,
        }
    }

    /// The trial that runs, if its tile has to be held.
    fn holding(&mut self) -> Option<&mut Running> {
        match &mut self.phase {
            Phase::Trial(running) if running.task.target.holds() => Some(running),
            _ => None,
        }
    }
}
