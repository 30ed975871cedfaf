//! Arranging a menu: the best order and grouping for one client, and whether it is worth relearning.
//!
//! Uses come from the menu's weights, times from the expected time of the advice (`advice/expected_time.rs`)
//! on the tree that the engine scans, errors and their recovery included. Nothing here opens a file, and
//! nothing is random.
//!
//! What an item may do: it stays in its group of the menu, and one that is placed by risk, or is to be
//! kept, stays at its very place, level by level. Everything else may change places, and entries of one
//! group may be put in rows.

pub mod bound;
pub mod file;
pub mod json;
pub mod judge;
mod moves;
pub mod order;
pub mod parts;
pub mod proposal;
mod quick;
pub mod scanned;
pub mod search;
pub mod shapes;
pub mod text;
pub mod verified;
pub mod wishes;

use crate::advice::expected_time::Presses;
use crate::engine::pattern::Arrangement;
use crate::engine::tree::ItemIx;
use crate::menu::Menu;
use crate::settings::Id;
use judge::{Judge, Judged, place};
use order::Found;
use parts::{Kind, Part, items};
use proposal::{Saving, Which, choose};
use search::{Bests, GROUP_ITEM};

/// What came of arranging a menu.
#[derive(Clone, Debug)]
pub struct Arranged {
    /// The menu as it is.
    pub today: Judged,
    /// The best arrangements.
    pub bests: Bests,
    /// What is proposed, where anything is worth it.
    pub proposed: Option<Proposed>,
    /// What no arrangement can beat.
    pub bound: Bound,
}

/// A proposed arrangement.
#[derive(Clone, Debug)]
pub struct Proposed {
    /// Which of those that were compared.
    pub which: Which,
    /// What stands where, as it goes into the file.
    pub parts: Vec<Part>,
    /// What it takes.
    pub judged: Judged,
    /// Raw value of the pattern under which it has to be scanned.
    pub pattern: i64,
    /// What it saves.
    pub saving: Saving,
    /// Items that stand elsewhere.
    pub moved: usize,
}

/// Limits that follow from the uses alone, and from them and the client's timings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// Entropy in bits.
    pub entropy: f64,
    /// Mean length of Huffman's code.
    pub huffman: f64,
    /// Least seconds of a selection without errors; `None` for a client whose presses come, on the mean,
    /// before the highlight.
    pub seconds: Option<f64>,
}

/// Arranges `parts`, into which the menu was taken apart; `None` where the client cannot work the menu as
/// it is.
#[must_use]
pub fn arrange<P: Presses + Clone + Sync>(
    judge: &Judge<P>,
    menu: &Menu,
    parts: &[Part],
    uses_a_day: Option<f64>,
) -> Option<Arranged> {
    let (arrangement, order) = (Arrangement::new(menu, &judge.settings), items(parts));
    let today = judge.on(&arrangement, &order).filter(|today| today.takes.seconds.is_finite())?;
    let bests = judge.bests(parts);
    let proposed = choose(&today.takes, &bests, uses_a_day)
        .map(|(which, found, saving)| propose(judge, &arrangement, which, found, saving));
    Some(Arranged { today, bests, proposed, bound: judge.bound() })
}

fn propose<P: Presses>(judge: &Judge<P>, today: &Arrangement, which: Which, found: &Found, saving: Saving) -> Proposed {
    let (parts, pattern) = plainest(judge, which, found);
    let new = judge.arrangement(&parts, pattern);
    let order = items(&parts);
    let stays = |(number, item): (usize, &u16)| place(&new, ItemIx(number as u16)) == place(today, ItemIx(*item));
    let moved = order.iter().enumerate().filter(|one| !stays(*one)).count();
    Proposed { which, parts, judged: found.judged.clone(), pattern, saving, moved }
}

/// The parts with as few new rows in the file, and the pattern as near to today's, as the same scan allows.
fn plainest<P: Presses>(judge: &Judge<P>, which: Which, found: &Found) -> (Vec<Part>, i64) {
    let today = judge.settings.raw(Id::Pattern);
    let own = if which == Which::Reordered { today } else { GROUP_ITEM };
    let wanted = judge.arrangement(&found.parts, own).tree;
    let flat = without_rows(&found.parts);
    let patterns = [today, 1, 2, GROUP_ITEM];
    let ways = [flat, found.parts.clone()].into_iter().flat_map(|parts| patterns.map(|raw| (parts.clone(), raw)));
    let same = |(parts, raw): &(Vec<Part>, i64)| judge.arrangement(parts, *raw).tree == wanted;
    ways.into_iter().find(same).unwrap_or_else(|| (found.parts.clone(), own))
}

fn without_rows(parts: &[Part]) -> Vec<Part> {
    let each = |part: &Part| match part {
        Part::Group(Kind::Row, inside) => without_rows(inside),
        Part::Group(kind, inside) => vec![Part::Group(*kind, without_rows(inside))],
        Part::Item(item) => vec![Part::Item(*item)],
    };
    parts.iter().flat_map(each).collect()
}

impl<P: Presses> Judge<'_, P> {
    fn bound(&self) -> Bound {
        let weights: Vec<f64> = self.stock.items.iter().map(|item| item.weight).collect();
        Bound {
            entropy: bound::entropy(&weights),
            huffman: bound::huffman(&weights),
            seconds: self.letters().bound(&weights),
        }
    }

    /// What it costs to take an entry without errors; the first-item time as if it were everywhere the shorter
    /// of the two.
    fn letters(&self) -> bound::Letters {
        let first_item = self.pace.first_at_top.min(self.pace.first_inside);
        let press = self.presses.mean();
        bound::Letters { first: press, second: first_item + self.pace.interval, next: self.pace.interval }
    }
}
