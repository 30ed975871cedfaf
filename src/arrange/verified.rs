//! A proposal held against the engine: the same client, with its own errors, selects thousands of times
//! on the menu as it is and on the proposed one.
//!
//! The closed form knows the mean of each step; the simulation has everything that goes wrong in its
//! course. A wrong item is taken once more where most items leave something behind.

use std::sync::atomic::AtomicBool;
use std::thread;

use serde_json::{Value, json};

use super::judge::Judge;
use crate::advice::by_traits::ByTraits;
use crate::advice::contest::WORTH;
use crate::analysis::words::{decimals, seconds};
use crate::menu::Menu;
use crate::settings::{Id, Settings};
use crate::sim::blocks::{BLOCK, Blocks};
use crate::sim::study::Study;
use crate::sim::sweep::Point;
use crate::sim::traits::Traits;
use crate::stats::student::mean_interval;
use crate::stats::{Interval, Level, Sample};

/// Selections on each menu.
pub const SELECTIONS: u64 = 20 * BLOCK;

/// What the simulation makes of a proposal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Verified {
    /// Seconds of a selection on the menu as it is.
    pub today_s: f64,
    /// On the proposed one.
    pub proposed_s: f64,
    /// By how much the second is shorter: the 95 % interval that the chance of the simulation leaves.
    pub saves_s: Interval,
}

impl Verified {
    /// Even at best it saves less than a proposal has to.
    #[must_use]
    pub fn contradicts(&self) -> bool {
        self.saves_s.high < WORTH * self.today_s
    }

    /// As in the JSON of an arrangement.
    #[must_use]
    pub fn to_json(&self) -> Value {
        let Interval { low, high } = self.saves_s;
        json!({
            "selections": SELECTIONS, "today_s": self.today_s, "proposed_s": self.proposed_s,
            "saves_s_low": low, "saves_s_high": high, "contradicts": self.contradicts(),
        })
    }

    /// In a sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let [today, then] = [self.today_s, self.proposed_s].map(seconds);
        let [low, high] = self.saves_s.ends().map(|value| decimals(value, 2));
        let verdict = if self.contradicts() { " That does not bear the proposal out." } else { "" };
        format!(
            "Simulated beside it, {SELECTIONS} selections each: {today} now, {then} then, {low} to {high} s less \
             (95 %).{verdict}"
        )
    }
}

/// Simulates this client on `today` as it is and on `new` under `pattern`; `None` where it hardly ever gets
/// what it wants.
#[must_use]
pub fn verified(judge: &Judge<ByTraits>, traits: &Traits, today: &Menu, new: &Menu, pattern: i64) -> Option<Verified> {
    let undo = judge.recovery.undo >= 0.5;
    let on = |menu: &Menu, settings: Settings| {
        let menu = menu.clone();
        let study = Study { traits: traits.clone(), menu, undo, seed: 1, blocks: Blocks::whole(SELECTIONS) };
        parts(&study, &Point { values: Vec::new(), settings })
    };
    let (before, after) = thread::scope(|scope| {
        let other = scope.spawn(|| on(new, judge.settings.clone().with(Id::Pattern, pattern)));
        (on(today, judge.settings.clone()), other.join())
    });
    let (before, after) = (before?, after.unwrap_or_else(|panic| std::panic::resume_unwind(panic))?);
    let less = Sample::new(before.iter().zip(&after).map(|(before, after)| before - after).collect()).ok()?;
    let mean = |parts: &[f64]| parts.iter().sum::<f64>() / parts.len() as f64;
    let saves_s = mean_interval(&less, Level::NINETY_FIVE)?;
    Some(Verified { today_s: mean(&before), proposed_s: mean(&after), saves_s })
}

/// Mean seconds, block by block.
fn parts(study: &Study, point: &Point) -> Option<Vec<f64>> {
    let parts = study.blocks.selections / BLOCK;
    let one = |part| {
        let blocks = Blocks { part, parts, ..study.blocks };
        let counts = Study { blocks, ..study.clone() }.at(point, 1, &AtomicBool::new(false)).counts;
        (counts.selections > 0).then(|| counts.seconds())
    };
    (0..parts).map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn verified(today_s: f64, proposed_s: f64) -> Verified {
        let saved = today_s - proposed_s;
        Verified { today_s, proposed_s, saves_s: Interval { low: saved - 0.2, high: saved + 0.2 } }
    }

    #[test]
    fn a_proposal_that_saves_less_than_a_tenth_even_at_best_is_contradicted() {
        assert!(!verified(10.0, 8.0).contradicts() && !verified(10.0, 9.1).contradicts());
        assert!(verified(10.0, 9.3).contradicts() && verified(10.0, 11.0).contradicts());
        assert!(
            verified(10.0, 9.3).words().ends_with("0.50 to 0.90 s less (95 %). That does not bear the proposal out.")
        );
    }
}
