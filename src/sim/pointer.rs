//! A virtual client's pointer: where the tiles stand for it, how it sets out for one, and how it trembles.
//!
//! A stroke takes what Fitts's law gives in its Shannon form (ISO 9241-411), and follows the curve of least jerk
//! (Flash and Hogan 1985, from memory). Places are thousandths of a degree of visual angle.

use super::hand::seconds;
use super::traits::Pointing;
use crate::engine::effect::Spot;
use crate::rng::Stream;
use crate::session::scene::{Body, Scene};
use crate::time::{Moment, Span};

/// Between two samples: sixty a second.
const SAMPLE: Span = Span(16_667);
/// The screen, and the band above the tiles in which the pointer rests.
const SCREEN: (i32, i32) = (30_000, 17_000);
const BAND: i32 = 4_000;
/// Between two tiles.
const GAP: i32 = 1_000;

/// Where the tiles of a scene stand on a screen 30° wide, row by row; none where it has none.
pub(super) fn spots(scene: &Scene) -> Vec<Spot> {
    let Body::Tiles(tiles) = &scene.body else { return Vec::new() };
    let columns = tiles.columns.max(1) as i32;
    let rows = (tiles.tiles.len() as i32 + columns - 1) / columns;
    let (wide, high) = (SCREEN.0 / columns, (SCREEN.1 - BAND) / rows.max(1));
    let spot = |place: i32| Spot {
        x: place % columns * wide + GAP / 2,
        y: BAND + place / columns * high + GAP / 2,
        width: wide - GAP,
        height: high - GAP,
    };
    (0..tiles.tiles.len() as i32).map(spot).collect()
}

/// The pointer of one virtual client.
#[derive(Clone, Debug)]
pub(super) struct Pointer {
    traits: Pointing,
    tremor: Stream,
    wanted: Option<Spot>,
    /// The stroke under way, or the last one.
    from: (f64, f64),
    to: (f64, f64),
    leaves: Moment,
    lasts: Span,
    /// It rests on another tile first and sets out from there then.
    onwards: Option<Moment>,
    /// From here on it moves no more.
    stops: Moment,
    sample_at: Moment,
}

impl Pointer {
    /// A pointer at rest; it stands still from `stops` on, wherever it is.
    pub fn new(traits: Pointing, seed: u64, stops: Moment) -> Pointer {
        let rest = rest();
        Pointer {
            traits,
            tremor: Stream::named(seed, "client pointer"),
            wanted: None,
            from: rest,
            to: rest,
            leaves: Moment::START,
            lasts: Span::ZERO,
            onwards: None,
            stops,
            sample_at: Moment::START,
        }
    }

    /// What it makes for, or is on.
    pub fn goes_for(&self) -> Option<Spot> {
        self.wanted
    }

    /// Stops where it is now, and sets out at `leaves` for the middle of the tile or back to where nothing is taken.
    pub fn make_for(&mut self, now: Moment, wanted: Option<Spot>, leaves: Moment) {
        self.set_out(now, wanted, leaves);
        (self.wanted, self.onwards) = (wanted, None);
    }

    /// The same over another tile, on which it rests for so long.
    pub fn make_for_over(&mut self, now: Moment, other: Spot, looks: Span, wanted: Spot, leaves: Moment) {
        self.set_out(now, Some(other), leaves);
        (self.wanted, self.onwards) = (Some(wanted), Some(leaves + self.lasts + looks));
    }

    fn set_out(&mut self, now: Moment, to: Option<Spot>, leaves: Moment) {
        self.from = self.place(now);
        self.to = to.map_or_else(rest, middle);
        self.lasts = self.stroke(to);
        self.leaves = leaves;
    }

    /// When the next sample comes.
    pub fn next_sample(&self) -> Moment {
        self.sample_at
    }

    /// The sample that comes now.
    pub fn sample(&mut self, now: Moment) -> (i32, i32) {
        self.sample_at = now + SAMPLE;
        if self.onwards.take_if(|at| *at <= now).is_some() {
            self.set_out(now, self.wanted, now);
        }
        let (x, y) = self.place(now);
        let sd = 1_000.0 * self.traits.tremor_deg;
        ((x + sd * self.tremor.normal()) as i32, (y + sd * self.tremor.normal()) as i32)
    }

    /// How long the way takes. The way back is no choice: any place there will do.
    fn stroke(&self, wanted: Option<Spot>) -> Span {
        let size = wanted.map_or(f64::from(BAND), |spot| f64::from(spot.width.min(spot.height).max(1)));
        let distance = libm::hypot(self.to.0 - self.from.0, self.to.1 - self.from.1);
        let bits = libm::log2(distance / size + 1.0);
        seconds(self.traits.move_s + self.traits.move_s_per_bit * bits)
    }

    /// Where it would be without trembling.
    fn place(&self, at: Moment) -> (f64, f64) {
        let share = at.min(self.stops).since(self.leaves).0 as f64 / (self.lasts.0 as f64).max(1.0);
        let share = share.min(1.0);
        let along = share.powi(3) * (10.0 + share * (6.0 * share - 15.0));
        (self.from.0 + along * (self.to.0 - self.from.0), self.from.1 + along * (self.to.1 - self.from.1))
    }
}

fn rest() -> (f64, f64) {
    (f64::from(SCREEN.0) / 2.0, f64::from(BAND) / 4.0)
}

fn middle(spot: Spot) -> (f64, f64) {
    (f64::from(spot.x) + f64::from(spot.width) / 2.0, f64::from(spot.y) + f64::from(spot.height) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const STILL: Pointing =
        Pointing { tremor_deg: 0.0, move_s: 0.0, move_s_per_bit: 0.9 / 3.169_925, searches: 0.0, looks_s: 0.0 };

    #[test]
    fn a_stroke_takes_what_fitts_gives() {
        // ISO 9241-411, worked example: amplitude 512 and width 64 are 3.169925 bit; 0.9 s for it.
        let mut pointer = Pointer::new(STILL, 1, Moment::NEVER);
        let (x, y) = rest();
        let spot = Spot { x: x as i32 + 512 - 32, y: y as i32 - 32, width: 64, height: 64 };
        pointer.make_for(Moment::START, Some(spot), Moment(1_000_000));
        assert!(pointer.lasts.0.abs_diff(900_000) <= 1, "{:?}", pointer.lasts);
        assert_eq!(pointer.sample(Moment(1_000_000)), (x as i32, y as i32));
        assert_eq!(pointer.sample(Moment(1_450_000)), (x as i32 + 256, y as i32), "half of the time, half of the way");
        assert_eq!(pointer.sample(Moment(1_900_000)), (x as i32 + 512, y as i32));
        assert_eq!(pointer.sample(Moment(9_000_000)), (x as i32 + 512, y as i32));
    }

    /// A tile 512 to the right of rest, which is 0.9 s away.
    fn tile() -> Spot {
        Spot { x: rest().0 as i32 + 512 - 32, y: rest().1 as i32 - 32, width: 64, height: 64 }
    }

    #[test]
    fn another_wish_stops_it_where_it_is_until_it_sets_out_again() {
        let mut pointer = Pointer::new(STILL, 1, Moment::NEVER);
        let (x, y) = (rest().0 as i32, rest().1 as i32);
        pointer.make_for(Moment::START, Some(tile()), Moment::START);
        assert_eq!(pointer.sample(Moment(450_000)), (x + 256, y));
        pointer.make_for(Moment(450_000), None, Moment(1_450_000));
        for at in [450_001, 900_000, 1_450_000] {
            assert_eq!(pointer.sample(Moment(at)), (x + 256, y), "{at}");
        }
        assert_eq!(pointer.sample(Moment(9_000_000)), (x, y), "back in the end");
    }

    #[test]
    fn a_client_who_stops_leaves_it_where_it_is() {
        let mut pointer = Pointer::new(STILL, 1, Moment(450_000));
        let (x, y) = (rest().0 as i32, rest().1 as i32);
        pointer.make_for(Moment::START, Some(tile()), Moment::START);
        assert_eq!([450_000, 900_000, 9_000_000].map(|at| pointer.sample(Moment(at))), [(x + 256, y); 3]);
    }

    #[test]
    fn a_way_over_another_tile_rests_there_and_goes_on() {
        let mut pointer = Pointer::new(Pointing { move_s: 0.5, move_s_per_bit: 0.0, ..STILL }, 1, Moment::NEVER);
        let spot = |x| Spot { x, y: 8_000, width: 2_000, height: 2_000 };
        pointer.make_for_over(Moment::START, spot(1_000), Span::from_ms(400), spot(20_000), Moment(1_000_000));
        assert_eq!(pointer.goes_for(), Some(spot(20_000)));
        let at = [1_500_000, 1_890_000, 1_900_000, 2_400_000].map(|at| pointer.sample(Moment(at)).0);
        assert_eq!(at, [2_000, 2_000, 2_000, 21_000]);
    }

    #[test]
    fn tremor_spreads_the_samples_as_stated() {
        let mut pointer = Pointer::new(Pointing { tremor_deg: 0.5, ..STILL }, 3, Moment::NEVER);
        let across: Vec<f64> = (0..20_000).map(|n| f64::from(pointer.sample(Moment(n)).0)).collect();
        let mean = across.iter().sum::<f64>() / across.len() as f64;
        let sd = (across.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / across.len() as f64).sqrt();
        assert!((sd - 500.0).abs() < 10.0 && (mean - rest().0).abs() < 15.0, "{mean} {sd}");
    }
}
