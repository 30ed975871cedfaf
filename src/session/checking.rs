//! The switch check: what is worked is shown on a moving strip and told at the end of the block.

use super::Session;
use super::event::Event;
use super::phase::Phase;
use super::record::Record;
use super::scene::Body;
use super::words;
use crate::engine::effect::{Effect, Switch};
use crate::engine::tree::ScanTree;
use crate::switch_check::Check;
use crate::time::{Moment, Span};

/// How often the strip moves.
const TICK: Span = Span::from_ms(100);

impl Session {
    pub(super) fn begin_check(&mut self, out: &mut Vec<Record>) {
        self.check = Some(Box::new(Check::new(self.now, &self.block_settings())));
        self.show_check(out);
    }

    pub(super) fn show_check(&mut self, out: &mut Vec<Record>) {
        self.stand_by(ScanTree::linear(1));
        self.phase = Phase::Check { tick: None };
        self.show(words::CHECK, out);
    }

    pub(super) fn check_edge(&mut self, at: Moment, switch: Switch, down: bool) {
        if let (Phase::Check { tick }, Some(check)) = (&mut self.phase, &mut self.check) {
            check.edge(at, switch, down);
            tick.get_or_insert(self.now + TICK);
        }
    }

    pub(super) fn check_level(&mut self, at: Moment, value: i32) {
        if let (Phase::Check { tick }, Some(check)) = (&mut self.phase, &mut self.check) {
            check.trace.add(at, value);
            tick.get_or_insert(self.now + TICK);
        }
    }

    pub(super) fn check_effect(&mut self, at: Moment, effect: &Effect) {
        if let (Phase::Check { .. }, Some(check)) = (&self.phase, &mut self.check) {
            check.effect(at, effect);
        }
    }

    /// The strip moves on. That it did is no event: the inputs say what is on it.
    pub(super) fn move_strip(&mut self) {
        let moves = self.levels.any() || self.check.as_ref().is_some_and(|check| check.moves(self.now));
        self.phase = Phase::Check { tick: moves.then(|| self.now + TICK) };
        let number = self.engine.take_number();
        self.scene = self.compose(number);
    }

    pub(super) fn check_page(&self) -> Body {
        let mut strip = self.check.as_ref().map(|check| check.strip(self.now)).unwrap_or_default();
        strip.wave = self.check.as_ref().and_then(|check| self.levels.wave(&check.trace, self.now));
        strip.lines.insert(0, words::CHECK_HOW.to_string());
        Body::Strip(strip)
    }

    /// What was found out goes to the log.
    pub(super) fn end_check(&mut self, out: &mut Vec<Record>) {
        let Some(check) = self.check.take() else { return };
        for finding in check.findings(self.now) {
            self.tell(Event::SwitchChecked(Box::new(finding)), out);
        }
    }
}
