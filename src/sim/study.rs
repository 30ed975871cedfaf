//! A study: counted selections of one virtual client on one menu at every point of a sweep.
//!
//! A client sits down fresh for each sitting of [`SITTING`] selections. A sitting has random streams of
//! its own, named by its number, and the same ones at every point: settings are compared on the same
//! luck. It matters neither which thread runs a sitting nor when.

use std::sync::atomic::AtomicBool;

use super::blocks::{BLOCK, Blocks};
use super::client::Client;
use super::plan::Plan;
use super::selecting::Selecting;
use super::sweep::Point;
use super::tally::{PATIENCE_US, Tally};
use super::traits::Traits;
use crate::engine::pattern::Arrangement;
use crate::menu::Menu;
use crate::rng::Stream;
use crate::time::Span;

/// Selections for which a client sits down.
pub const SITTING: u64 = 50;
/// One who has given up so often running gives up the sitting.
const LOST: u64 = 5;

/// Who selects what, how often.
#[derive(Clone, Debug)]
pub struct Study {
    /// The client.
    pub traits: Traits,
    /// The menu; its weights say how often each item is wanted.
    pub menu: Menu,
    /// A wrong item has to be taken once more before the client goes on.
    pub undo: bool,
    /// Seed of all draws.
    pub seed: u64,
    /// How many selections, and which of them.
    pub blocks: Blocks,
}

impl Study {
    /// All selections at one point, on so many threads; no more are begun once `stop` is set.
    #[must_use]
    pub fn at(&self, point: &Point, threads: usize, stop: &AtomicBool) -> Tally {
        let Some(plan) = self.plan(point) else { return Tally::default() };
        self.blocks.run(
            threads,
            stop,
            |tally: &mut Tally, block, count| {
                for begun in (0..count).step_by(SITTING as usize) {
                    let sitting = (block * BLOCK + begun) / SITTING;
                    self.sit(&plan, sitting, SITTING.min(count - begun), tally);
                }
            },
            |sum, part| sum.add(&part),
        )
    }

    /// `None` for a menu on which nothing is wanted; a menu that was read has weights above 0.
    fn plan(&self, point: &Point) -> Option<Plan> {
        let arrangement = Arrangement::new(&self.menu, &point.settings);
        let weights: Vec<f64> = arrangement.items().iter().map(|item| item.weight).collect();
        Plan::new(arrangement.tree, point.settings.clone(), &weights, self.undo, true, Span(PATIENCE_US))
    }

    fn sit(&self, plan: &Plan, sitting: u64, count: u64, tally: &mut Tally) {
        // An odd factor keeps the seeds of neighbouring studies apart.
        let seed = self.seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(sitting);
        let mut targets = Stream::named(seed, "targets");
        let mut selecting = Selecting::new(plan, Client::new(self.traits.clone(), seed));
        let mut lost = 0;
        let mut counts = selecting.run(0, &mut targets, |_| ());
        for left in (0..count).rev() {
            let before = counts.selections;
            counts = selecting.run(1, &mut targets, |us| tally.times.saturating_record(us));
            lost = if counts.selections > before { 0 } else { lost + 1 };
            if lost == LOST {
                counts.given_up += left;
                break;
            }
        }
        tally.sat(&counts);
    }
}

#[cfg(test)]
mod tests {
    use super::super::sweep::{Axis, points};
    use super::super::tally::Measure;
    use super::super::traits::STEADY;
    use super::*;
    use crate::menu::shipped;

    fn study(selections: u64) -> Study {
        let menu = shipped::find("nine").unwrap();
        Study { traits: STEADY, menu, undo: false, seed: 1, blocks: Blocks::whole(selections) }
    }

    fn at(text: &str) -> Point {
        points(&[Axis::parse(text).unwrap()]).unwrap().remove(0)
    }

    fn ran(study: &Study, point: &Point, threads: usize) -> Tally {
        study.at(point, threads, &AtomicBool::new(false))
    }

    #[test]
    fn threads_and_parts_make_no_difference() {
        let (study, point) = (study(2_530), at("scan_interval=1"));
        let whole = ran(&study, &point, 1);
        assert_eq!((whole.counts.selections + whole.counts.given_up, whole.sittings), (2_530, 51));
        assert_eq!(ran(&study, &point, 3), whole);
        let mut sum = Tally::default();
        for part in 0..4 {
            let blocks = Blocks { part, parts: 4, ..study.blocks };
            sum.add(&ran(&Study { blocks, ..study.clone() }, &point, 2));
        }
        assert_eq!(sum, whole);
    }

    #[test]
    fn settings_are_compared_on_the_same_luck() {
        // The difference between two settings spreads less than two separate studies would: by sittings, the
        // variance of the difference against the sum of the variances.
        let means = |seed: u64, text: &str| -> Vec<f64> {
            let point = at(text);
            let one = |part| {
                let blocks = Blocks { selections: 60 * BLOCK, part, parts: 60 };
                let tally = ran(&Study { seed, blocks, ..study(0) }, &point, 1);
                tally.figure(Measure::Seconds).unwrap().value
            };
            (0..60).map(one).collect()
        };
        let variance = |values: &[f64]| {
            let mean = values.iter().sum::<f64>() / values.len() as f64;
            values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (values.len() - 1) as f64
        };
        let (one, other) = (means(1, "scan_interval=1.5"), means(1, "scan_interval=1.6"));
        let difference: Vec<f64> = one.iter().zip(&other).map(|(one, other)| other - one).collect();
        let share = variance(&difference) / (variance(&one) + variance(&other));
        assert!(share < 0.5, "{share}");
    }

    #[test]
    fn a_client_who_never_presses_comes_to_an_end() {
        let mut study = study(1_000);
        study.traits.miss = 1.0;
        study.traits.involuntary_per_s = 0.0;
        for text in ["loops_top=3", "loops_top=no limit", "technique=step", "technique=inverse", "start=by-press"] {
            let tally = ran(&study, &at(text), 1);
            assert_eq!(tally.counts.selections + tally.counts.given_up, 1_000, "{text}");
        }
        study.traits.stops_after_s = Some(0.0);
        assert_eq!(ran(&study, &at("technique=step"), 1).counts.given_up, 1_000);
    }

    #[test]
    fn no_setting_makes_a_study_hang_or_its_counts_absurd() {
        for text in [
            "technique=step",
            "technique=step-auto-accept",
            "technique=inverse",
            "pattern=column-row",
            "exit=none",
            "after_selection=carry-on",
            "after_selection=stop",
            "start=by-press",
            "hold=0.2",
            "act_on=release",
            "long_press=2",
            "lockout=3",
            "loops_inside=no limit",
        ] {
            let counts = ran(&study(300), &at(text), 1).counts;
            assert_eq!(counts.selections, 300, "{text}: {counts:?}");
            assert!(counts.hits >= 300 && counts.lightings >= counts.in_time, "{text}: {counts:?}");
            assert!(counts.seconds() > 1.0 && counts.seconds() < 60.0, "{text}: {}", counts.seconds());
        }
    }
}
