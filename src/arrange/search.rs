//! The search for the best grouping: begin with many shapes, go on from the best few by small changes
//! while they save time. On menus small enough to try everything the tests do so and find nothing better.

use std::thread;

use super::judge::Judge;
use super::moves::{exchanged, regrouped};
use super::order::Found;
use super::parts::{Kind, Part};
use super::shapes::{Shape, paged, shaped, shapes};
use crate::advice::contest::SAVED_S;
use crate::advice::expected_time::Presses;
use crate::menu::check::MOST_ON_PAGE;
use crate::settings::Id;

/// Shapes that are bettered by small changes: so many for a menu of one item, fewer for larger ones, which
/// take longer and have fewer traps; never fewer than two.
const BETTERED: usize = 100;
/// Arrangements that are judged on the way from one shape at most: keeps the time bounded.
const PATIENCE: usize = 4_000;
/// A change has to save at least this share of the time, so that rounding decides nothing.
const SAVES: f64 = 1e-9;
/// Raw value of the pattern under which the groups of a menu are scanned as they stand.
pub const GROUP_ITEM: i64 = 4;

/// The best of each kind; `None` where there is none.
#[derive(Clone, Debug)]
pub struct Bests {
    /// Grouping and pattern of today in the best order.
    pub reordered: Option<Found>,
    /// Each page one by one.
    pub list: Option<Found>,
    /// Each page in equal rows.
    pub grid: Option<Found>,
    /// With as few switch hits as make the sum of time and their worth least.
    pub eased: Option<Found>,
    /// Of all, by time alone.
    pub fastest: Option<Found>,
}

impl<P: Presses + Clone + Sync> Judge<'_, P> {
    /// The best arrangements of the parts.
    pub fn bests(&self, parts: &[Part]) -> Bests {
        let pattern = self.settings.raw(Id::Pattern);
        let mut easing = self.clone();
        easing.hit_s = SAVED_S;
        let starts = self.starts(parts);
        let (eased, fastest) = thread::scope(|scope| {
            let eased = scope.spawn(|| easing.bettered_starts(&starts));
            let fastest = self.bettered_starts(&starts);
            (eased.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)), fastest)
        });
        let first = |wanted: fn(&(Shape, Found)) -> bool| {
            let (_, found) = starts.iter().find(|start| wanted(start) && self.stands(&start.1, GROUP_ITEM))?;
            Some(self.bettered(found.clone(), GROUP_ITEM, false))
        };
        let reordered = self.ordered(parts.to_vec(), pattern).filter(|found| self.stands(found, pattern));
        Bests {
            reordered: reordered.map(|found| self.bettered(found, pattern, false)),
            list: first(|(shape, _)| *shape == Shape::List),
            grid: first(|(shape, found)| shape.is_grid() && has_rows(&found.parts)),
            eased,
            fastest,
        }
    }

    /// The shapes that can be used, fastest first.
    fn starts(&self, parts: &[Part]) -> Vec<(Shape, Found)> {
        let pages = paged(&self.stock, parts, MOST_ON_PAGE);
        let shapes = shapes();
        let each = shapes.iter().flat_map(|shape| pages.iter().map(move |paged| (*shape, paged)));
        let found = each
            .filter_map(|(shape, paged)| Some((shape, self.ordered(shaped(&self.stock, paged, shape), GROUP_ITEM)?)));
        let mut found: Vec<(Shape, Found)> = found.collect();
        found.sort_by(|(_, one), (_, other)| one.judged.takes.seconds.total_cmp(&other.judged.takes.seconds));
        found
    }

    /// The cheapest start, bettered.
    fn bettered_starts(&self, starts: &[(Shape, Found)]) -> Option<Found> {
        let cost = |start: &&(Shape, Found)| self.cost(&start.1.judged.takes);
        let mut cheapest: Vec<&(Shape, Found)> = starts.iter().collect();
        cheapest.sort_by(|one, other| cost(one).total_cmp(&cost(other)));
        let bettered = cheapest
            .into_iter()
            .filter(|(_, found)| self.stands(found, GROUP_ITEM))
            .take((BETTERED / self.stock.items.len()).max(2))
            .map(|(_, found)| self.bettered(found.clone(), GROUP_ITEM, true));
        bettered.min_by(|one, other| self.cost(&one.judged.takes).total_cmp(&self.cost(&other.judged.takes)))
    }

    /// Better and better by small changes, until none saves anything; `regroup` lets rows be made and changed.
    fn bettered(&self, mut found: Found, pattern: i64, regroup: bool) -> Found {
        let mut patience = PATIENCE;
        // Changes are tried on from where the last one was: those before it have just been tried.
        let mut place = 0;
        loop {
            let mut changes = if regroup { regrouped(&found.parts) } else { Vec::new() };
            let count = changes.len().max(1);
            changes.rotate_left(place % count);
            let anew = |parts| self.ordered_anew(parts, pattern);
            if let Some((turn, better)) = self.first_better(&found, changes, anew, pattern, &mut patience) {
                (found, place) = (better, place + turn);
                continue;
            }
            let exchanges = exchanged(self, &found.parts);
            let as_it_is = |parts| self.ordered(parts, pattern);
            match self.first_better(&found, exchanges, as_it_is, pattern, &mut patience) {
                Some((_, better)) => found = better,
                None => return found,
            }
        }
    }

    /// The first of the changes, once in order, that costs less and stands, and its number.
    fn first_better(
        &self,
        than: &Found,
        changes: Vec<Vec<Part>>,
        order: impl Fn(Vec<Part>) -> Option<Found>,
        pattern: i64,
        patience: &mut usize,
    ) -> Option<(usize, Found)> {
        let enough = self.cost(&than.judged.takes) * (1.0 - SAVES);
        let changes = changes.into_iter().enumerate().take(*patience).inspect(|_| *patience -= 1);
        let mut found = changes.filter_map(|(turn, parts)| Some((turn, order(parts)?)));
        found.find(|(_, found)| self.cost(&found.judged.takes) < enough && self.stands(found, pattern))
    }

    /// Whether the engine takes it.
    fn stands(&self, found: &Found, pattern: i64) -> bool {
        self.judge(&found.parts, pattern).is_some()
    }
}

fn has_rows(parts: &[Part]) -> bool {
    parts.iter().any(|part| match part {
        Part::Item(_) => false,
        Part::Group(kind, inside) => *kind == Kind::Row || has_rows(inside),
    })
}
