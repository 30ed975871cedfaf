//! How fast and how far a pointer was moved to the tiles of timed presses.
//!
//! A movement begins where the pointer last lay still, once it has left by more than it trembles, and ends with the first
//! sample of the stay that took the tile: neither the time to react nor the dwell time is part of it. Where it ended is
//! where the pointer was when the tile was taken.

use super::findings::Pointing;
use super::reading::{BlockReading, Reading};
use crate::engine::effect::{Effect, Spot};
use crate::session::event::{BlockKind, Event};
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::session::trial::Outcome;
use crate::stats::throughput::{Movement, throughput};
use crate::time::{Moment, Span};

/// A pointer that goes no further than this, in degrees, within this time lies still and trembles (common practice, no
/// source).
const LIES_DEG: f64 = 0.5;
const LIES_FOR: Span = Span::from_ms(200);
/// Of fewer movements nothing is said (common practice, no source).
const FEW: usize = 8;

/// A place in degrees.
type Place = (f64, f64);

/// What the movements of a block came to; `None` where no pointer worked it, or too few movements count.
pub(super) fn pointing(reading: &Reading, block: &BlockReading) -> Option<Pointing> {
    if block.kind != BlockKind::TimedPress {
        return None;
    }
    let mut movements = Vec::new();
    let mut walk = Walk::default();
    let within = |record: &&Record| (block.began..=block.ended).contains(&record.at);
    for record in reading.records.iter().filter(within) {
        walk.take(record);
        if let What::Event(Event::Trial(trial)) = &record.what {
            let judged = block.trials.iter().find(|judged| judged.trial.trial == trial.trial);
            let counts = judged.is_some_and(|judged| judged.counts()) && trial.outcome == Outcome::Hit;
            movements.extend(walk.movement.take().filter(|_| counts));
        }
    }
    let found = throughput(&movements).filter(|_| movements.len() >= FEW)?;
    Some(Pointing {
        movements: movements.len() as u32,
        distance_deg: found.distance,
        effective_width_deg: found.width,
        difficulty_bits: found.bits,
        movement_s: found.seconds,
        bits_per_s: found.bits_per_s,
    })
}

/// The pointer of a trial.
#[derive(Default)]
struct Walk {
    spots: Vec<Spot>,
    /// Its samples since the last tile was taken, the one before that first.
    samples: Vec<(Moment, Place)>,
    movement: Option<Movement>,
}

impl Walk {
    fn take(&mut self, record: &Record) {
        match &record.what {
            What::Input(Input::Tiles { spots }) => self.spots.clone_from(spots),
            What::Input(Input::Pointer { x, y }) => {
                self.samples.push((record.at, (f64::from(*x) / 1e3, f64::from(*y) / 1e3)));
            }
            What::Event(Event::TrialBegan { .. }) => self.movement = None,
            What::Effect(Effect::Rested { entry, since, taken: true, .. }) => {
                self.movement = self.spots.get(usize::from(entry.0)).and_then(|spot| self.moved(*since, *spot));
                let last = self.samples.pop();
                self.samples.clear();
                self.samples.extend(last);
            }
            _ => {}
        }
    }

    /// When the pointer left the place where it had last lain before `came`, and that place. A pointer that lies quite still
    /// gives no samples.
    fn left(&self, came: Moment) -> Option<(Moment, Place)> {
        let before = &self.samples[..self.samples.partition_point(|(at, _)| *at <= came)];
        (0..before.len()).rev().find_map(|place| {
            let (at, here) = before[place];
            if let Some((next, _)) = before.get(place + 1).filter(|(next, _)| next.since(at) >= LIES_FOR) {
                return Some((*next, here));
            }
            let earlier = before[..place].iter().rev().find(|(earlier, _)| at.since(*earlier) >= LIES_FOR)?;
            (far(here, earlier.1) <= LIES_DEG).then_some((at, here))
        })
    }

    /// The movement to this tile that came to it at `came`; none where the pointer lay there already.
    fn moved(&self, came: Moment, spot: Spot) -> Option<Movement> {
        let (left, from) = self.left(came)?;
        let (_, to) = *self.samples.last()?;
        let half = |from: i32, length: i32| (f64::from(from) + f64::from(length) / 2.0) / 1e3;
        let middle = (half(spot.x, spot.width), half(spot.y, spot.height));
        let distance = far(middle, from);
        let inside = (middle.0 - from.0).abs() * 2e3 <= f64::from(spot.width)
            && (middle.1 - from.1).abs() * 2e3 <= f64::from(spot.height);
        let along = ((to.0 - middle.0) * (middle.0 - from.0) + (to.1 - middle.1) * (middle.1 - from.1)) / distance;
        (!inside).then(|| Movement { distance, off: along, seconds: came.since(left).as_seconds() })
    }
}

fn far(one: Place, other: Place) -> f64 {
    libm::hypot(one.0 - other.0, one.1 - other.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::tree::{EntryIx, GroupIx};

    fn at(ms: u64, what: What) -> Record {
        Record { at: Moment(ms * 1_000), what }
    }

    fn pointer(ms: u64, x: i32) -> Record {
        at(ms, What::Input(Input::Pointer { x, y: 0 }))
    }

    /// The pointer is at these places, in thousandths of a degree, at these times in ms; the tile from 9° to 11° is taken at
    /// 3 s, after a stay since 1.8 s.
    fn walked(samples: &[(u64, i32)]) -> Option<Movement> {
        let spot = Spot { x: 9_000, y: -1_000, width: 2_000, height: 2_000 };
        let rested = Effect::Rested {
            group: GroupIx(0),
            entry: EntryIx(0),
            since: Moment(1_800_000),
            until: Moment(3_000_000),
            taken: true,
        };
        let mut walk = Walk::default();
        walk.take(&at(0, What::Input(Input::Tiles { spots: vec![spot] })));
        samples.iter().for_each(|(ms, x)| walk.take(&pointer(*ms, *x)));
        walk.take(&at(3_000, What::Effect(rested)));
        walk.movement
    }

    #[test]
    fn a_movement_is_neither_reaction_nor_dwell_and_ends_where_the_tile_is_taken() {
        // It trembles for a second, goes, and lies on the tile.
        let trembles = (0..=50).map(|n| (20 * n, if n % 2 == 0 { 0 } else { 100 }));
        let goes = (1..=40).map(|n| (1_000 + 20 * n, 230 * n as i32));
        let samples: Vec<(u64, i32)> = trembles.chain(goes).chain([(2_900, 10_250)]).collect();
        let moved = walked(&samples).unwrap();
        // The second sample on the way, at 0.46°, is the last one within half a degree of where it lay.
        assert!((moved.seconds - 0.76).abs() < 1e-9, "{moved:?}");
        assert!((moved.distance - 9.54).abs() < 1e-9 && (moved.off - 0.25).abs() < 1e-9, "{moved:?}");
    }

    #[test]
    fn a_pointer_that_gives_no_samples_lies_still() {
        let goes =
            [(0, 0), (1_000, 800), (1_150, 3_000), (1_300, 5_000), (1_450, 6_500), (1_600, 8_000), (1_750, 9_100)];
        let moved = walked(&goes).unwrap();
        assert!((moved.distance - 10.0).abs() < 1e-9 && (moved.seconds - 0.8).abs() < 1e-9, "{moved:?}");
    }

    #[test]
    fn a_pointer_that_lay_on_the_tile_has_not_moved() {
        assert_eq!(walked(&[(0, 9_500), (20, 9_500), (400, 9_600), (1_800, 9_500)]), None);
    }
}
