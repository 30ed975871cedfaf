//! Expected time of one selection on a menu, errors and recovery included.
//!
//! The client looks for one item and takes entry after entry on the way to it. At each level the
//! press falls on the wanted entry (go on), on another one (a wrong choice), or does not come (the
//! scan passes again, and after its loops leaves the group). The chances follow from the
//! distribution of latencies and from the time for which each entry is lit; the times add up to a
//! linear equation in the expected time from the top, which is solved exactly.
//!
//! A wrong item costs the pause after a selection, undoing it (one more selection on the same
//! menu) and beginning again. A wrong group costs its loops. It is the model that scanning
//! research calls for: without errors the predicted time is far off (Mankowski, Simpson and
//! Koester 2013, Disability and Rehabilitation: Assistive Technology 8:321–329: 79.7 % against
//! 10.5 % mean error).

use crate::engine::tree::{Entry, EntryIx, GroupIx, ItemIx, ScanTree};

/// What is known of the client's presses.
pub trait Presses {
    /// Chance that a press which is on its way comes within `seconds` of the highlight. 0 at minus
    /// infinity, 1 at infinity, never decreasing.
    fn within(&self, seconds: f64) -> f64;
    /// Mean latency in seconds.
    fn mean(&self) -> f64;
    /// Share of lightings that are let go by.
    fn lapses(&self) -> f64;
}

/// The timings under which the menu is scanned, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Time for which an entry is lit.
    pub interval: f64,
    /// Added while the first entry is lit after a start.
    pub first_at_top: f64,
    /// Added while the first entry of a group is lit after a selection has entered it.
    pub first_inside: f64,
    /// Pause after a selection.
    pub pause: f64,
    /// Passes over a group before it is left; at least 1.
    pub loops_inside: u32,
}

/// What a menu asks: the ways to its items, with their share of use.
#[derive(Clone, Debug, PartialEq)]
pub struct Ways {
    /// One way an item; the shares add up to 1.
    ways: Vec<Way>,
    /// What the chances at a level depend on, each once.
    lightings: Vec<Lighting>,
}

/// How the wanted entry is lit: the chance of taking it in one pass depends on nothing else.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Lighting {
    /// It is the first of its group and has the first-item time.
    first: bool,
    /// At the top.
    top: bool,
    /// Entries of its group.
    count: usize,
}

#[derive(Clone, Debug, PartialEq)]
struct Way {
    share: f64,
    levels: Vec<Level>,
}

/// One level on the way: the wanted position among `count` entries.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Level {
    position: usize,
    count: usize,
    /// Its place in [`Ways::lightings`].
    lighting: usize,
    /// Entries other than the wanted one that open a group, and the mean number of entries in these.
    wrong_groups: usize,
    entries_of_wrong_group: f64,
}

impl Ways {
    /// The ways to the items of `tree`, by their weights of use; items without a weight are not
    /// counted.
    ///
    /// `None` when no item has a positive weight.
    #[must_use]
    pub fn new(tree: &ScanTree, weights: &[(ItemIx, f64)]) -> Option<Ways> {
        let used = || weights.iter().filter(|(_, weight)| weight.is_finite() && *weight > 0.0);
        let total: f64 = used().map(|(_, weight)| weight).sum();
        let mut lightings = Vec::new();
        let ways: Vec<Way> = used()
            .filter_map(|(item, weight)| {
                let path = tree.path(*item)?.into_iter();
                let levels = path.map(|(group, entry)| level(tree, group, entry, &mut lightings)).collect();
                Some(Way { share: weight / total, levels })
            })
            .collect();
        (!ways.is_empty()).then_some(Ways { ways, lightings })
    }

    /// A list of `count` items of equal use, scanned one by one; `None` for an empty list.
    #[must_use]
    pub fn linear(count: u16) -> Option<Ways> {
        Ways::equal(&ScanTree::linear(count.max(1)), count)
    }

    /// All items of `tree` with equal use; `None` for no items.
    #[must_use]
    pub fn equal(tree: &ScanTree, items: u16) -> Option<Ways> {
        let weights: Vec<_> = (0..items).map(|item| (ItemIx(item), 1.0)).collect();
        Ways::new(tree, &weights)
    }

    /// Expected seconds from the start of the scan to the right selection, by share of use.
    /// Infinite where more goes wrong than can be put right.
    #[must_use]
    pub fn seconds(&self, presses: &impl Presses, pace: &Pace) -> f64 {
        let client = Client { presses, pace };
        let taken: Vec<f64> = self.lightings.iter().map(|lighting| client.taken(*lighting)).collect();
        self.ways.iter().map(|way| way.share * way.seconds(&client, &taken)).sum()
    }
}

fn level(tree: &ScanTree, group: GroupIx, entry: EntryIx, lightings: &mut Vec<Lighting>) -> Level {
    let entries = &tree.group(group).entries;
    let others = entries.iter().enumerate().filter(|(place, _)| *place != usize::from(entry.0));
    let groups: Vec<usize> = others
        .filter_map(|(_, entry)| match entry {
            Entry::Group(inner) => Some(tree.group(*inner).entries.len()),
            _ => None,
        })
        .collect();
    let lighting = Lighting { first: entry.0 == 0, top: group == ScanTree::TOP, count: entries.len() };
    let known = lightings.iter().position(|known| *known == lighting);
    let lighting = known.unwrap_or_else(|| {
        lightings.push(lighting);
        lightings.len() - 1
    });
    Level {
        position: usize::from(entry.0),
        count: entries.len(),
        lighting,
        wrong_groups: groups.len(),
        entries_of_wrong_group: groups.iter().sum::<usize>() as f64 / groups.len().max(1) as f64,
    }
}

/// Chances and times of one level until the scan leaves it: seconds spent there, and the chances of
/// the right entry, a wrong item, a wrong group, and of leaving without a press.
#[derive(Clone, Copy, Debug)]
struct Passage {
    seconds: f64,
    right: f64,
    wrong_item: f64,
    wrong_group: f64,
    left: f64,
}

/// How the client presses, under what timings.
struct Client<'a, P> {
    presses: &'a P,
    pace: &'a Pace,
}

impl<P: Presses> Client<'_, P> {
    /// Chance that a press which is on its way takes the wanted entry.
    fn taken(&self, lighting: Lighting) -> f64 {
        let first = self.first(lighting.top);
        let lit = self.pace.interval + if lighting.first { first } else { 0.0 };
        let pass = first + lighting.count as f64 * self.pace.interval;
        // A press that comes a whole pass late falls into the next one.
        [0.0, pass].iter().map(|late| self.presses.within(late + lit) - self.presses.within(*late)).sum()
    }

    fn first(&self, top: bool) -> f64 {
        if top { self.pace.first_at_top } else { self.pace.first_inside }
    }
}

impl Way {
    /// The equation of this way: time from the top = `constant` + `again` × time from the top.
    fn seconds(&self, client: &Client<impl Presses>, taken: &[f64]) -> f64 {
        let pace = client.pace;
        let mut reached = 1.0;
        let (mut constant, mut again) = (0.0, 0.0);
        for (depth, level) in self.levels.iter().enumerate() {
            let passage = level.passage(client, depth == 0, taken[level.lighting]);
            let group = pace.first_inside + level.entries_of_wrong_group * pace.interval;
            let wrong_group = f64::from(pace.loops_inside) * group;
            constant +=
                reached * (passage.seconds + passage.wrong_item * pace.pause + passage.wrong_group * wrong_group);
            again += reached * (2.0 * passage.wrong_item + passage.wrong_group + passage.left);
            reached *= passage.right;
        }
        if again < 1.0 { constant / (1.0 - again) } else { f64::INFINITY }
    }
}

impl Level {
    /// One visit to the level: passes until a press comes or the loops are over. The scan at the top
    /// has no end.
    fn passage(&self, client: &Client<impl Presses>, top: bool, taken: f64) -> Passage {
        let (pace, silent) = (client.pace, client.presses.lapses());
        let first = client.first(top);
        let pass = first + self.count as f64 * pace.interval;
        let onset = if self.position == 0 { 0.0 } else { first + self.position as f64 * pace.interval };
        let will = 1.0 - silent;
        let right = will * taken;
        let wrong = (will - right).max(0.0);
        let passes = if top { f64::INFINITY } else { f64::from(pace.loops_inside) };
        let left = if silent == 0.0 { 0.0 } else { libm::pow(silent, passes) };
        // Visits to a pass until a press comes: geometric, cut off at the loops.
        let visits = (1.0 - left) / will.max(f64::MIN_POSITIVE);
        let one = will * (onset + client.presses.mean()) + silent * pass;
        let groups = self.wrong_groups as f64 / (self.count - 1).max(1) as f64;
        Passage {
            seconds: visits * one,
            right: visits * right,
            wrong_item: visits * wrong * (1.0 - groups),
            wrong_group: visits * wrong * groups,
            left,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::presses::Pressing;
    use crate::stats::latency::ExGaussian;

    const BARE: Pace = Pace { interval: 1.0, first_at_top: 0.0, first_inside: 0.0, pause: 0.0, loops_inside: 2 };

    fn skewed(lapses: f64) -> Pressing {
        Pressing { latency: ExGaussian { mu: 0.5, sigma: 0.06, tau: 0.2 }, lapses }
    }

    #[test]
    fn a_list_of_eight_agrees_with_the_closed_form() {
        // (3.5 T + 700) / (1 − 2 P(late)) milliseconds, latency ex-Gaussian (500, 60, 200): one undo
        // and one redo for each wrong item. Computed with scipy.
        let ways = Ways::linear(8).unwrap();
        for (interval, wanted) in
            [(0.8, 6.564), (0.9, 5.371), (1.0, 5.071), (1.0428, 5.0499), (1.2, 5.230), (2.0, 7.709)]
        {
            let found = ways.seconds(&skewed(0.0), &Pace { interval, ..BARE });
            assert!((found - wanted).abs() < 6e-4, "{interval}: {found}");
        }
    }

    #[test]
    fn a_lapse_costs_the_rest_of_the_pass() {
        // (k − 1)T + ρ + NTq/(1 − q) with N = 8, k = 3, T = 1.2, ρ = 0.78, q = 0.1: by hand 4.24667.
        let ways = Ways::new(&ScanTree::linear(8), &[(ItemIx(2), 1.0)]).unwrap();
        let sharp = Pressing { latency: ExGaussian { mu: 0.779, sigma: 1e-6, tau: 0.001 }, lapses: 0.1 };
        let found = ways.seconds(&sharp, &Pace { interval: 1.2, ..BARE });
        assert!((found - 4.246_667).abs() < 1e-5, "{found}");
    }

    #[test]
    fn rows_and_columns_without_errors_add_up() {
        // 2 m + D ((R−1)/R + (C−1)/C) + T ((R−1)/2 + (C−1)/2), R = C = 6, T = 1, D = 0.5, m = 0.3: by hand.
        let ways = Ways::equal(&ScanTree::row_column(6, 6), 36).unwrap();
        let sharp = Pressing { latency: ExGaussian { mu: 0.2999, sigma: 1e-6, tau: 0.0001 }, lapses: 0.0 };
        let found = ways.seconds(&sharp, &Pace { first_at_top: 0.5, first_inside: 0.5, ..BARE });
        assert!((found - 6.433_333).abs() < 1e-4, "{found}");
    }

    #[test]
    fn what_cannot_be_put_right_takes_for_ever() {
        let ways = Ways::linear(8).unwrap();
        assert_eq!(ways.seconds(&skewed(0.0), &Pace { interval: 0.3, ..BARE }), f64::INFINITY);
        assert!(Ways::new(&ScanTree::linear(3), &[(ItemIx(0), 0.0)]).is_none());
    }

    #[test]
    fn more_use_of_the_first_items_saves_time() {
        let tree = ScanTree::linear(4);
        let weighed = |weights: [f64; 4]| {
            let weights: Vec<_> = (0u16..).map(ItemIx).zip(weights).collect();
            Ways::new(&tree, &weights).unwrap().seconds(&skewed(0.02), &BARE)
        };
        assert!(weighed([4.0, 3.0, 2.0, 1.0]) < weighed([1.0, 1.0, 1.0, 1.0]));
        assert!(weighed([1.0, 1.0, 1.0, 1.0]) < weighed([1.0, 2.0, 3.0, 4.0]));
    }
}
