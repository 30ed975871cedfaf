//! A pointer that rests on a tile: dwell time, leave tolerance, and re-arming once it has gone.
//!
//! - A stay begins with the sample that enters the tile and is taken a dwell time later.
//! - Leaving ends it only beyond the tolerance: by more than the distance, for longer than the time.
//!   What comes due meanwhile waits until the pointer is back.
//! - After something was taken, the pointer has to leave the tile it is on beyond the distance before
//!   anything is taken again: on another page that is the tile that has come to stand there.
//! - Where there is no tile, nothing is ever taken: that is the rest area.
//!
//! Positions are thousandths of a degree of visual angle. Like the switch filter it reads no clock.

use super::effect::Spot;
use super::rules::DwellRules;
use crate::time::{Moment, Span};

/// Steps in which the edge of the tile fills.
const STEPS: u64 = 8;

/// What the pointer does next, or has just done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Move {
    /// It has come to rest on a tile.
    On { entry: u16 },
    /// The edge is filled so far, in eighths.
    Filled { eighths: u8 },
    /// The dwell time is over.
    Take { entry: u16, since: Moment },
    /// It has left; its last instant there was `until`.
    Off { entry: u16, since: Moment, until: Moment },
}

/// The pointer and the tiles it may rest on.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pointer {
    rules: DwellRules,
    /// Entry by entry; none before the page has been laid out.
    tiles: Vec<Spot>,
    at: Option<(i32, i32)>,
    state: State,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// On no tile.
    Away,
    /// Resting; `left` since it is beyond the tolerated distance.
    On { entry: u16, since: Moment, left: Option<Moment>, filled: u64 },
    /// Something was taken here, and the pointer has not gone yet.
    Spent { place: Spot },
}

impl Pointer {
    pub fn new(rules: DwellRules) -> Pointer {
        Pointer { rules, tiles: Vec::new(), at: None, state: State::Away }
    }

    /// Other rules, from the next sample on.
    pub fn set(&mut self, rules: DwellRules) {
        self.rules = rules;
    }

    /// Another page: nothing can be taken before it is laid out.
    pub fn clear(&mut self) {
        self.tiles.clear();
        if let State::On { .. } = self.state {
            self.state = State::Away;
        }
    }

    /// Nobody has said yet where the tiles are.
    pub fn is_unplaced(&self) -> bool {
        self.tiles.is_empty()
    }

    /// Where the tiles are. The pointer that lies on one of them already comes to rest now.
    pub fn lay_out(&mut self, now: Moment, tiles: Vec<Spot>) -> Option<Move> {
        self.tiles = tiles;
        if let State::Spent { .. } = self.state {
            self.state = match self.at.and_then(|(x, y)| self.under(x, y)) {
                Some(entry) => State::Spent { place: self.tiles[entry] },
                None => State::Away,
            };
        }
        self.enter(now)
    }

    fn under(&self, x: i32, y: i32) -> Option<usize> {
        self.tiles.iter().position(|place| place.distance(x, y) == 0)
    }

    /// A sample; `None` when the pointer has left the screen.
    pub fn point(&mut self, now: Moment, at: Option<(i32, i32)>) -> Option<Move> {
        self.at = at;
        match self.state {
            State::Away => self.enter(now),
            State::Spent { place } if self.is_near(place) => None,
            State::Spent { .. } => {
                self.state = State::Away;
                self.enter(now)
            }
            State::On { entry, since, left, filled } => {
                let near = self.tiles.get(usize::from(entry)).is_some_and(|place| self.is_near(*place));
                let left = if near { None } else { left.or(Some(now)) };
                self.state = State::On { entry, since, left, filled };
                None
            }
        }
    }

    fn enter(&mut self, now: Moment) -> Option<Move> {
        let (x, y) = self.at.filter(|_| self.state == State::Away)?;
        let entry = self.under(x, y)? as u16;
        self.state = State::On { entry, since: now, left: None, filled: 0 };
        Some(Move::On { entry })
    }

    fn is_near(&self, place: Spot) -> bool {
        self.at.is_some_and(|(x, y)| place.distance(x, y) <= self.rules.leave_distance)
    }

    /// When something is due without a sample.
    pub fn due(&self) -> Moment {
        match self.state {
            State::On { left: Some(left), .. } => left + self.rules.leave_time,
            State::On { since, filled, .. } => since + Span(self.rules.dwell.0 * (filled + 1) / STEPS),
            State::Away | State::Spent { .. } => Moment::NEVER,
        }
    }

    /// Does what is due.
    pub fn run(&mut self) -> Option<Move> {
        let State::On { entry, since, left, filled } = self.state else { return None };
        if let Some(until) = left {
            self.state = State::Away;
            return Some(Move::Off { entry, since, until });
        }
        if filled + 1 < STEPS {
            self.state = State::On { entry, since, left, filled: filled + 1 };
            return Some(Move::Filled { eighths: filled as u8 + 1 });
        }
        self.state = State::Spent { place: self.tiles[usize::from(entry)] };
        Some(Move::Take { entry, since })
    }

    /// After the pointer has left a tile it may already rest on another.
    pub fn after_leaving(&mut self, now: Moment) -> Option<Move> {
        self.enter(now)
    }
}

impl Spot {
    /// How far the point lies from it; 0 inside.
    fn distance(self, x: i32, y: i32) -> u32 {
        let beyond = |at: i32, from: i32, length: i32| {
            let (at, from) = (i64::from(at), i64::from(from));
            (from - at).max(at - (from + i64::from(length) - 1)).max(0)
        };
        let (across, down) = (beyond(x, self.x, self.width), beyond(y, self.y, self.height));
        // The longer side and half the shorter one: whole numbers, and but for rounding never less than the true distance.
        let far = across.max(down) + across.min(down) / 2;
        if self.width <= 0 || self.height <= 0 { u32::MAX } else { far.min(i64::from(u32::MAX)) as u32 }
    }
}
