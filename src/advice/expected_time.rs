//! Expected time of one selection on a menu, errors and recovery included.
//!
//! The client looks for one item and takes entry after entry on the way to it. At each level the
//! press falls on the wanted entry (go on), on another one (a wrong choice), or does not come (the
//! scan passes again, and after its loops leaves the group). The chances follow from the
//! distribution of latencies and from the time for which each entry is lit; the times add up to a
//! linear equation in the expected time from the top, which is solved exactly.
//!
//! A wrong item costs the pause after a selection, undoing it (one more selection on the same
//! menu) and beginning again. A wrong group costs its loops, or the way to its exit where that is
//! shorter. What sessions have shown of these costs may stand in their place. It is the model that scanning
//! research calls for: without errors the predicted time is far off (Mankowski, Simpson and
//! Koester 2013, Disability and Rehabilitation: Assistive Technology 8:321–329: 79.7 % against
//! 10.5 % mean error).

use std::ops::Range;

pub use super::visit::{Known, Takes};
use super::visit::{Level, Passage, Visits};
use super::walk::Walk;
use crate::engine::tree::{ItemIx, ScanTree};

/// What is known of the client's presses.
pub trait Presses {
    /// Chance that a press which is on its way comes within `seconds` of the highlight. 0 at minus
    /// infinity, 1 at infinity, never decreasing.
    fn within(&self, seconds: f64) -> f64;
    /// Mean latency in seconds.
    fn mean(&self) -> f64;
    /// Share of lightings that are let go by.
    fn lapses(&self) -> f64;
    /// Unwanted activations a second while the scan runs.
    fn unwanted(&self) -> f64 {
        0.0
    }
    /// Added to the latency where the wanted entry is the first of its group, in seconds.
    fn first_item(&self) -> f64 {
        0.0
    }
    /// So long after a press that has entered a group the next one counts for nothing, in seconds.
    fn deaf(&self) -> f64 {
        0.0
    }
    /// −ln of the mean of exp(−`rate` × latency); unless it is known exactly, as if all latencies were
    /// the mean one.
    fn cumulant(&self, rate: f64) -> f64 {
        rate * self.mean()
    }
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

/// What putting an error right costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recovery {
    /// Selections that undo a wrong one: 1 for what is switched, 0 for what leaves nothing behind.
    pub undo: f64,
    /// Scan intervals from a wrong group until it was left, where sessions have shown it; otherwise it
    /// follows from the timings.
    pub wrong_group: Option<f64>,
}

impl Default for Recovery {
    /// One more selection undoes a wrong one; the rest follows from the timings.
    fn default() -> Recovery {
        Recovery { undo: 1.0, wrong_group: None }
    }
}

/// What a menu asks: the ways to its items, with their share of use.
#[derive(Clone, Debug, PartialEq)]
pub struct Ways {
    /// One way an item; the shares add up to 1.
    ways: Vec<Way>,
    /// The steps of all ways, from the top down: places in [`Ways::levels`].
    steps: Vec<usize>,
    /// The levels of all ways, each once.
    levels: Vec<Level>,
}

#[derive(Clone, Debug, PartialEq)]
struct Way {
    share: f64,
    /// Its part of [`Ways::steps`].
    steps: Range<usize>,
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
        let Walk { levels, paths, steps, .. } = Walk::over(tree);
        let way = |(item, weight): &(ItemIx, f64)| {
            let steps = paths.get(usize::from(item.0))?.clone()?;
            Some(Way { share: weight / total, steps })
        };
        let ways: Vec<Way> = used().filter_map(way).collect();
        (!ways.is_empty()).then_some(Ways { ways, steps, levels })
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

    /// Mean number of right presses that a selection takes, by share of use.
    #[must_use]
    pub fn presses(&self) -> f64 {
        self.ways.iter().map(|way| way.share * way.steps.len() as f64).sum()
    }

    /// Expected seconds from the start of the scan to the right selection, by share of use.
    /// Infinite where more goes wrong than can be put right.
    #[must_use]
    pub fn seconds(&self, presses: &impl Presses, pace: &Pace) -> f64 {
        self.seconds_with(presses, pace, &Recovery::default())
    }

    /// The same with what is known of putting errors right.
    #[must_use]
    pub fn seconds_with(&self, presses: &impl Presses, pace: &Pace, recovery: &Recovery) -> f64 {
        self.takes(presses, pace, recovery).seconds
    }

    /// All that a selection takes, by share of use.
    #[must_use]
    pub fn takes(&self, presses: &impl Presses, pace: &Pace, recovery: &Recovery) -> Takes {
        let each = self.each(presses, pace, recovery);
        self.ways.iter().zip(each).fold(Takes::default(), |sum, (way, takes)| sum.plus(way.share, takes))
    }

    /// All that each item takes, in the order in which they were given and by themselves.
    #[must_use]
    pub fn each(&self, presses: &impl Presses, pace: &Pace, recovery: &Recovery) -> Vec<Takes> {
        self.along(&Visits::new(presses, pace, recovery).all(&self.levels))
    }

    /// The same for one of many menus under the same presses, pace and recovery.
    #[must_use]
    pub fn each_known(&self, presses: &impl Presses, pace: &Pace, recovery: &Recovery, known: &Known) -> Vec<Takes> {
        self.along(&Visits::new(presses, pace, recovery).all_known(&self.levels, known))
    }

    fn along(&self, passages: &[Passage]) -> Vec<Takes> {
        self.ways.iter().map(|way| takes(self.passages(way, passages))).collect()
    }

    fn passages<'a>(&'a self, way: &Way, passages: &'a [Passage]) -> impl Iterator<Item = &'a Passage> {
        self.steps[way.steps.clone()].iter().map(|level| &passages[*level])
    }

    /// Share of selections in which an entry is taken that was not wanted.
    #[must_use]
    pub fn wrong(&self, presses: &impl Presses, pace: &Pace) -> f64 {
        let passages: Vec<Passage> = Visits::new(presses, pace, &Recovery::default()).all(&self.levels);
        self.ways.iter().map(|way| way.share * wrong(self.passages(way, &passages))).sum()
    }
}

/// More goes wrong than can be put right.
const NEVER: Takes = Takes { seconds: f64::INFINITY, hits: f64::INFINITY, wrong_items: f64::INFINITY };

/// The equation of a way through these levels: from the top = `constant` + `again` × from the top.
fn takes<'a>(passages: impl Iterator<Item = &'a Passage>) -> Takes {
    let mut reached = 1.0;
    let (mut constant, mut again) = (Takes::default(), 0.0);
    for passage in passages {
        constant = constant.plus(reached, passage.takes);
        again += reached * passage.again;
        reached *= passage.right;
    }
    if again < 1.0 { constant.times(1.0 / (1.0 - again)) } else { NEVER }
}

/// A group that was left without a choice is entered anew, so only right and wrong ones are told apart.
fn wrong<'a>(passages: impl Iterator<Item = &'a Passage>) -> f64 {
    let (mut reached, mut wrong) = (1.0, 0.0);
    for passage in passages {
        wrong += reached * passage.wrong;
        reached *= passage.right;
    }
    wrong / (wrong + reached).max(f64::MIN_POSITIVE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::presses::{Disturbed, Pressing};
    use crate::rng::Stream;
    use crate::stats::Sample;
    use crate::stats::latency::ExGaussian;

    const BARE: Pace = Pace { interval: 1.0, first_at_top: 0.0, first_inside: 0.0, pause: 0.0, loops_inside: 2 };

    fn skewed(lapses: f64) -> Pressing {
        Pressing { latency: ExGaussian { mu: 0.5, sigma: 0.06, tau: 0.2 }, strays: 0.0, lapses }
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
        let sharp = Pressing { latency: ExGaussian { mu: 0.779, sigma: 1e-6, tau: 0.001 }, strays: 0.0, lapses: 0.1 };
        let found = ways.seconds(&sharp, &Pace { interval: 1.2, ..BARE });
        assert!((found - 4.246_667).abs() < 1e-5, "{found}");
    }

    #[test]
    fn rows_and_columns_without_errors_add_up() {
        // 2 m + D ((R−1)/R + (C−1)/C) + T ((R−1)/2 + (C−1)/2), R = C = 6, T = 1, D = 0.5, m = 0.3: by hand.
        let ways = Ways::equal(&ScanTree::row_column(6, 6), 36).unwrap();
        let sharp = Pressing { latency: ExGaussian { mu: 0.2999, sigma: 1e-6, tau: 0.0001 }, strays: 0.0, lapses: 0.0 };
        let found = ways.seconds(&sharp, &Pace { first_at_top: 0.5, first_inside: 0.5, ..BARE });
        assert!((found - 6.433_333).abs() < 1e-4, "{found}");
    }

    #[test]
    fn unwanted_activations_agree_with_the_closed_form() {
        // The fourth of a list, no lapses, latency ρ below T: whatever comes first after 3T is right. With
        // w = 1 − exp(−3λT) and t = (1 − exp(−λ(3T + ρ)))/λ the time is t/(1 − 2w). By hand.
        let ways = Ways::new(&ScanTree::linear(8), &[(ItemIx(3), 1.0)]).unwrap();
        let sharp = Pressing { latency: ExGaussian { mu: 0.4999, sigma: 1e-6, tau: 0.0001 }, strays: 0.0, lapses: 0.0 };
        for unwanted in [1e-7, 0.01, 0.05] {
            let wrong = 1.0 - f64::exp(-3.0 * unwanted);
            let wanted = (1.0 - f64::exp(-3.5 * unwanted)) / unwanted / (1.0 - 2.0 * wrong);
            let found = ways.seconds(&Disturbed { presses: sharp, unwanted }, &BARE);
            assert!((found - wanted).abs() < 1e-5 * wanted, "{unwanted}: {found} {wanted}");
        }
    }

    /// One selection of item `target` of a list of five under `pace`, pressed by hand: seconds.
    fn simulated(target: usize, presses: &Disturbed<Pressing>, pace: &Pace, stream: &mut Stream) -> f64 {
        let pass = pace.first_at_top + 5.0 * pace.interval;
        let onset = if target == 0 { 0.0 } else { pace.first_at_top + target as f64 * pace.interval };
        let mut passed = 0.0;
        let at = loop {
            let silent = stream.unit() < presses.lapses();
            let unwanted = stream.exponential() / presses.unwanted;
            let wanted = if silent { f64::INFINITY } else { onset + presses.presses.latency.draw(stream) };
            if unwanted.min(wanted) < pass || !silent {
                break unwanted.min(wanted);
            }
            passed += pass;
        };
        let lit = ((at % pass - pace.first_at_top) / pace.interval).max(0.0) as usize;
        if lit == target {
            return passed + at;
        }
        // Undone by one more selection, and begun again.
        let rest = pace.pause + simulated(target, presses, pace, stream) + simulated(target, presses, pace, stream);
        passed + at + rest
    }

    #[test]
    fn unwanted_activations_lapses_and_late_presses_agree_with_a_simulation() {
        let pace = Pace { interval: 0.9, first_at_top: 0.4, pause: 0.7, ..BARE };
        let presses = Disturbed { presses: skewed(0.1), unwanted: 0.04 };
        let mut stream = Stream::named(7, "selections");
        for target in [0, 2, 4] {
            let times: Vec<f64> = (0..20_000).map(|_| simulated(target, &presses, &pace, &mut stream)).collect();
            let sample = Sample::new(times).unwrap();
            let ways = Ways::new(&ScanTree::linear(5), &[(ItemIx(target as u16), 1.0)]).unwrap();
            let expected = ways.seconds(&presses, &pace);
            let error = sample.sd().unwrap() / (sample.len() as f64).sqrt();
            assert!((sample.mean() - expected).abs() < 4.0 * error, "{target}: {expected} {} ± {error}", sample.mean());
        }
    }

    #[test]
    fn each_kind_of_error_has_its_own_cost() {
        // Two rows of two; every row press is right, half of the column presses fall on the neighbour.
        struct Half;
        impl Presses for Half {
            fn within(&self, seconds: f64) -> f64 {
                // The first entry of a group is lit for 1.5 s, the second for 1 s.
                if seconds >= 1.4 { 1.0 } else { f64::from(u8::from(seconds > 0.0)) / 2.0 }
            }
            fn mean(&self) -> f64 {
                0.5
            }
            fn lapses(&self) -> f64 {
                0.0
            }
        }
        let ways = Ways::new(&ScanTree::row_column(2, 2), &[(ItemIx(1), 1.0)]).unwrap();
        let pace = Pace { first_at_top: 0.5, first_inside: 0.5, pause: 0.25, ..BARE };
        // By hand: row 0.5 s, column 2 s; a half is wrong. E = 2.5 + (0.25 + u·E + E)/2, u selections to undo.
        let seconds = |recovery: Recovery| ways.seconds_with(&Half, &pace, &recovery);
        let known = Recovery::default();
        assert_eq!(seconds(known), f64::INFINITY);
        assert!((seconds(Recovery { undo: 0.5, ..known }) - 2.625 / 0.25).abs() < 1e-9);
        assert!((seconds(Recovery { undo: 0.0, ..known }) - 2.625 / 0.5).abs() < 1e-9);
        // In the second row half of the row presses fall on the first one, which is waited out in
        // 2 × 2.5 s, or left after the one interval that was seen. By hand: E = 2 + (5 + E)/2 + 0.5/2
        // or 2 + (1 + E)/2 + 0.5/2.
        let other = Ways::new(&ScanTree::row_column(2, 2), &[(ItemIx(2), 1.0)]).unwrap();
        let seconds = |recovery: Recovery| other.seconds_with(&Half, &pace, &recovery);
        assert!((seconds(known) - 4.75 / 0.5).abs() < 1e-9, "{}", seconds(known));
        assert!((seconds(Recovery { wrong_group: Some(1.0), ..known }) - 2.75 / 0.5).abs() < 1e-9);
    }

    #[test]
    fn wrong_choices_are_late_presses_and_unwanted_activations() {
        // P(latency > 1 s) of the ex-Gaussian (500, 60, 200) ms is 0.085863 (scipy), for two presses 0.164354.
        let rows = Ways::equal(&ScanTree::row_column(3, 3), 9).unwrap();
        for (ways, wanted) in [(Ways::linear(8).unwrap(), 0.085_863), (rows, 0.164_354)] {
            let found = ways.wrong(&skewed(0.0), &BARE);
            assert!((found - wanted).abs() < 1e-5, "{found}");
        }
        // A lapse is no wrong choice; at the top it only costs a pass.
        assert!((Ways::linear(8).unwrap().wrong(&skewed(0.2), &BARE) - 0.085_863).abs() < 1e-5);
        // The fourth of a list: something unwanted comes within 3 s, 1 − exp(−3 × 0.05) = 0.139292. By hand.
        let fourth = Ways::new(&ScanTree::linear(8), &[(ItemIx(3), 1.0)]).unwrap();
        let found = fourth.wrong(&Disturbed { presses: skewed(0.0), unwanted: 0.05 }, &Pace { interval: 1.0, ..BARE });
        let late = 0.085_863 * f64::exp(-0.05 * 4.0);
        assert!((found - 0.139_292 - late).abs() < 2e-4, "{found}");
    }

    #[test]
    fn a_press_within_the_lockout_costs_a_pass() {
        struct Quick;
        impl Presses for Quick {
            fn within(&self, seconds: f64) -> f64 {
                f64::from(u8::from(seconds >= 0.65))
            }
            fn mean(&self) -> f64 {
                0.65
            }
            fn lapses(&self) -> f64 {
                0.0
            }
            fn deaf(&self) -> f64 {
                0.7
            }
        }
        // Two rows of two, no errors. By hand: the first of a row is pressed in vain once, 0.65 + 2 + 0.65 s and
        // three presses; the second is not, 0.65 + 1.65 s.
        for (item, seconds, hits) in [(0, 3.3, 3.0), (1, 2.3, 2.0)] {
            let ways = Ways::new(&ScanTree::row_column(2, 2), &[(ItemIx(item), 1.0)]).unwrap();
            let found = ways.takes(&Quick, &BARE, &Recovery::default());
            assert!((found.seconds - seconds).abs() < 1e-9 && (found.hits - hits).abs() < 1e-9, "{found:?}");
        }
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
