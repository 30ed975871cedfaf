//! Whether a switch is clean: its raw edges beside what the filter made of them.
//!
//! Edges and the engine's effects are handed in with their stamps; out come a [`Finding`] for each
//! switch and the marks of a moving strip. The machine reads no clock, filters nothing itself and
//! forgets what has left the strip, so its memory does not grow with a chattering switch.
//!
//! Somebody works the switch some ten times, short and long: an interface that follows the switch
//! gives as many lengths, one that sends pulses gives one.

mod finding;
mod strip;
mod verdict;
mod wave;

use std::collections::VecDeque;

use crate::engine::effect::{Effect, Ignored, Switch};
use crate::settings::{LockoutFrom, Settings};
use crate::time::{Moment, Span};

pub use finding::{Finding, Spread};
pub use strip::{Bar, Lane, SECONDS, Strip};
pub use verdict::Verdict;
pub use wave::{Threshold, Trace, Wave};

/// A change sooner than this after the one before is contact bounce: most contacts settle within
/// 6 ms, a hand needs longer (facts of the trade, no source; textbooks wait 10 to 30 ms).
const BOUNCE: Span = Span::from_ms(20);
/// Presses and edges that are remembered at most.
const KEPT: usize = 1_024;
const SECOND: Span = Span::from_ms(1_000);

/// The switches being checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    began: Moment,
    rules: Rules,
    switches: Vec<Watched>,
    /// The switch that changed last.
    last: usize,
    /// The level that works one of them.
    pub(crate) trace: Trace,
}

/// What of the settings the check has to know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Rules {
    debounce: Span,
    lockout: Span,
    from_press: bool,
    restarts: bool,
}

/// One switch.
#[derive(Clone, Debug, Default, PartialEq)]
struct Watched {
    /// Raw edges that may still be on the strip.
    recent: VecDeque<(Moment, bool)>,
    edges: u64,
    most_per_second: u32,
    /// The first edge of the bounce under way.
    burst: Option<Moment>,
    bounces: u64,
    longest_bounce: Span,
    presses: VecDeque<Press>,
    pressed: u64,
    counted: u64,
    ignored: u64,
    lockouts: VecDeque<(Moment, Moment)>,
    stuck: Option<Span>,
}

/// A press after debouncing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Press {
    edge: Moment,
    released: Option<Moment>,
    accepted: Option<Moment>,
}

impl Check {
    /// Begins at `now`; the settings are those of the filter whose effects will be handed in.
    #[must_use]
    pub fn new(now: Moment, settings: &Settings) -> Check {
        let rules = Rules {
            debounce: settings.debounce(),
            lockout: settings.lockout(),
            from_press: settings.lockout_from() == LockoutFrom::Press,
            restarts: settings.lockout_restarts(),
        };
        Check { began: now, rules, switches: Vec::new(), last: 0, trace: Trace::default() }
    }

    /// A raw edge.
    pub fn edge(&mut self, at: Moment, switch: Switch, down: bool) {
        self.last = usize::from(switch.0);
        self.watched(switch).edge(at, down);
    }

    /// What the engine made of it.
    pub fn effect(&mut self, at: Moment, effect: &Effect) {
        let rules = self.rules;
        match *effect {
            Effect::Pressed { switch, edge } => self.watched(switch).press(edge),
            Effect::Released { switch, pressed, edge } => self.watched(switch).release(pressed, edge, rules),
            Effect::Activated(by) => self.watched(by.switch).count(by.pressed, by.accepted, rules),
            Effect::NotCounted { why: Ignored::NothingLit | Ignored::NoRole, .. } => {}
            Effect::NotCounted { switch, pressed, why } => self.watched(switch).ignore(pressed, why, rules),
            Effect::Stuck { switch } => self.watched(switch).stick(at),
            _ => {}
        }
    }

    fn watched(&mut self, switch: Switch) -> &mut Watched {
        let index = usize::from(switch.0);
        if self.switches.len() <= index {
            self.switches.resize_with(index + 1, Watched::default);
        }
        &mut self.switches[index]
    }

    /// What is known at `now` of each switch that changed at all.
    #[must_use]
    pub fn findings(&self, now: Moment) -> Vec<Finding> {
        let worked = self.switches.iter().zip(0_u8..).filter(|(watched, _)| watched.edges > 0);
        worked.map(|(watched, switch)| self.finding(Switch(switch), watched, now)).collect()
    }

    fn finding(&self, switch: Switch, watched: &Watched, now: Moment) -> Finding {
        let mut finding = watched.measures(switch, now.since(self.began));
        finding.verdicts = verdict::verdicts(&finding, watched, self.rules.debounce);
        finding
    }
}

impl Watched {
    fn edge(&mut self, at: Moment, down: bool) {
        if let Some((before, _)) = self.recent.back().copied() {
            if at.since(before) < BOUNCE {
                let from = *self.burst.get_or_insert(before);
                self.bounces += 1;
                self.longest_bounce = self.longest_bounce.max(at.since(from));
            } else {
                self.burst = None;
            }
        }
        self.edges += 1;
        push(&mut self.recent, (at, down));
        let second = self.recent.iter().rev().take_while(|(edge, _)| at.since(*edge) < SECOND).count();
        self.most_per_second = self.most_per_second.max(second as u32);
    }

    fn press(&mut self, edge: Moment) {
        self.pressed += 1;
        push(&mut self.presses, Press { edge, released: None, accepted: None });
    }

    fn release(&mut self, pressed: Moment, edge: Moment, rules: Rules) {
        let Some(press) = self.find(pressed) else { return };
        press.released = Some(edge);
        if !rules.from_press && press.accepted.is_some() {
            push(&mut self.lockouts, (edge, edge + rules.lockout));
        }
    }

    fn count(&mut self, pressed: Moment, accepted: Moment, rules: Rules) {
        self.counted += 1;
        // Acting on release, the stamp of the press is that of the opening edge.
        if let Some(press) = self.presses.back_mut() {
            press.accepted = Some(accepted);
        }
        if rules.from_press {
            push(&mut self.lockouts, (pressed, pressed + rules.lockout));
        }
    }

    fn ignore(&mut self, pressed: Moment, why: Ignored, rules: Rules) {
        self.ignored += 1;
        if let (Ignored::Lockout, true, Some(last)) = (why, rules.restarts, self.lockouts.back_mut()) {
            last.1 = last.1.max(pressed + rules.lockout);
        }
    }

    fn stick(&mut self, at: Moment) {
        self.stuck = self.presses.back().map(|press| at.since(press.edge));
    }

    fn find(&mut self, edge: Moment) -> Option<&mut Press> {
        self.presses.iter_mut().rev().find(|press| press.edge == edge)
    }
}

fn push<T>(list: &mut VecDeque<T>, item: T) {
    if list.len() >= KEPT {
        list.pop_front();
    }
    list.push_back(item);
}

#[cfg(test)]
mod tests;
