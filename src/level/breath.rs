//! One departure from rest, from its beginning to its end, and when it can be told which press it is.

use super::{Limits, Side, Strength};
use crate::time::{Moment, Span};

/// Above the hard threshold for this long it is no noise (common practice, no source).
const HARD_STANDS: Span = Span::from_ms(25);

/// What decides beside the thresholds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rules {
    /// Shorter departures, and shorter returns, are none.
    pub least: Span,
    /// A soft press is one that has not grown for this long.
    pub settling: Span,
    /// A level that has gone further than this has grown.
    pub step: f64,
    /// A soft press to this side does something.
    pub soft: bool,
    /// A hard one does.
    pub hard: bool,
}

/// One departure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Breath {
    pub side: Side,
    pub began: Moment,
    /// How far it has gone.
    pub peak: f64,
    /// When it last grew, and to where.
    grew: (Moment, f64),
    hard_since: Option<Moment>,
    below_since: Option<Moment>,
    pub decided: Option<(Strength, Moment)>,
}

/// What is due.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Due {
    /// It is this press.
    Is(Strength),
    /// It is over.
    Over,
}

impl Breath {
    pub fn new(side: Side, at: Moment) -> Breath {
        let grew = (at, 0.0);
        Breath { side, began: at, peak: 0.0, grew, hard_since: None, below_since: None, decided: None }
    }

    /// The level is so far from rest from `at` on.
    pub fn level(&mut self, at: Moment, far: f64, limits: &Limits, rules: &Rules) {
        self.peak = self.peak.max(far);
        if far >= self.grew.1 + rules.step {
            self.grew = (at, far);
        }
        follow(&mut self.hard_since, at, far >= limits.hard_on, far < limits.hard_off);
        follow(&mut self.below_since, at, far < limits.soft_off, far >= limits.soft_off);
    }

    /// What comes next, and when.
    pub fn due(&self, rules: &Rules) -> Option<(Moment, Due)> {
        let over = self.below_since.map(|below| (below + rules.least, Due::Over));
        let is = if self.decided.is_none() { self.decision(rules) } else { None };
        over.into_iter().chain(is).min_by_key(|(at, _)| *at)
    }

    fn decision(&self, rules: &Rules) -> Option<(Moment, Due)> {
        let earliest = self.began + rules.least;
        let hard = self.hard_since.map(|since| (earliest.max(since + HARD_STANDS), Due::Is(Strength::Hard)));
        match (rules.hard, hard, self.below_since) {
            (true, Some(hard), _) => Some(hard),
            (_, _, Some(_)) => None,
            (true, None, None) if rules.soft => {
                Some((earliest.max(self.grew.0 + rules.settling), Due::Is(Strength::Soft)))
            }
            (true, None, None) => None,
            (false, _, None) => Some((earliest, Due::Is(Strength::Soft))),
        }
    }

    /// How long it lasted; it is still going on at `now` if it has not returned.
    pub fn length(&self, now: Moment) -> Span {
        self.below_since.unwrap_or(now).since(self.began)
    }
}

fn follow(since: &mut Option<Moment>, at: Moment, begins: bool, ends: bool) {
    if ends {
        *since = None;
    } else if begins {
        since.get_or_insert(at);
    }
}
