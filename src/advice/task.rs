//! What the client is asked to do at home, as far as the evidence tells it: the menu and its timings,
//! what errors cost there, and how often something unwanted comes in between.

use super::asked::Asked;
use super::expected_time::{Pace, Presses, Recovery, Ways};
use super::optimum::{DRAWS, Optimum, Search, between};
use super::presses::{Disturbed, Pressing};
use crate::analysis::evidence::Evidence;
use crate::engine::pattern::Arrangement;
use crate::engine::tree::ItemIx;
use crate::menu::Menu;
use crate::rng::Stream;
use crate::settings::Settings;
use crate::stats::{Sample, gamma};

/// Unwanted activations beforehand, as a gamma distribution: one in four minutes, weighing as much as one
/// minute watched.
const UNWANTED: [f64; 2] = [0.25, 60.0];

/// Fewer wrong groups say less of their cost than the timings do (common practice, no source).
const ENOUGH: usize = 8;

/// The task of one client.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Task {
    pub ways: Ways,
    pub pace: Pace,
    pub recovery: Recovery,
    /// Unwanted activations a second, a guess each.
    unwanted: Vec<f64>,
    pub late_limit: Option<f64>,
}

impl Task {
    /// `None` for a menu without items in use.
    pub fn of(evidence: &Evidence, asked: &Asked) -> Option<Task> {
        Some(Task {
            ways: ways(evidence)?,
            pace: pace(&evidence.settings),
            recovery: Recovery { undo: undo(&evidence.menu), wrong_group: wrong_group(&evidence.wrong_groups) },
            unwanted: unwanted(evidence.involuntary, evidence.quiet_s),
            late_limit: asked.late_limit,
        })
    }

    /// The best interval for one way of reading the presses.
    pub fn optimum(&self, guesses: &[Pressing], latencies: &Sample) -> Option<Optimum> {
        let late = |guess: usize, interval: f64| guesses[guess].late(interval);
        self.search(guesses.len(), between(latencies), |guess, _| guesses[guess], late).optimum()
    }

    /// A search among guesses that press as `presses` says, by number of the guess and interval.
    pub fn search<P: Presses, L>(
        &self,
        guesses: usize,
        between: [f64; 2],
        presses: impl Fn(usize, f64) -> P + Sync,
        late: L,
    ) -> Search<impl Fn(usize, f64) -> f64 + Sync, L> {
        let seconds = move |guess: usize, interval: f64| {
            let unwanted = self.unwanted.get(guess).copied().unwrap_or(0.0);
            let disturbed = Disturbed { presses: presses(guess, interval), unwanted };
            self.ways.seconds_with(&disturbed, &Pace { interval, ..self.pace }, &self.recovery)
        };
        Search { guesses, seconds, late, between, late_limit: self.late_limit }
    }

    /// What the cost of a wrong group rests on, where the menu has groups: a sentence with a space before it.
    pub fn cost_of_a_wrong_group(&self) -> &'static str {
        match self.recovery.wrong_group {
            _ if self.ways.presses() <= 1.0 => "",
            Some(_) => " Wrong groups count as long as they took in the sessions.",
            None => " Wrong groups count as long as their loops or the way to their exit take.",
        }
    }

    /// Share of selections in which a press comes too late, from the share of presses.
    pub fn late_selections(&self, late: f64) -> f64 {
        1.0 - libm::pow(1.0 - late, self.ways.presses())
    }
}

/// Guesses at the rate of unwanted activations, per second; none where nothing was watched.
fn unwanted(count: u32, watched_s: f64) -> Vec<f64> {
    if watched_s <= 0.0 {
        return Vec::new();
    }
    let mut stream = Stream::named(0, "unwanted");
    let rate = |_| gamma::draw(UNWANTED[0] + f64::from(count), &mut stream) / (UNWANTED[1] + watched_s);
    (0..DRAWS).map(rate).collect()
}

/// A wrong item that changes something is undone by one more selection: the same one for what is
/// switched, the opposite one for what is set. What leaves nothing behind needs none.
fn undo(menu: &Menu) -> f64 {
    let items = menu.items();
    let lasting = items.iter().filter(|item| !item.effects.is_empty()).count();
    lasting as f64 / items.len().max(1) as f64
}

/// Mean number of intervals until a wrong group was left, where enough were seen.
fn wrong_group(seen: &[f64]) -> Option<f64> {
    (seen.len() >= ENOUGH).then(|| seen.iter().sum::<f64>() / seen.len() as f64)
}

/// The ways to the items of the client's menu as it is scanned; `None` when no item has a share of use.
pub(super) fn ways(evidence: &Evidence) -> Option<Ways> {
    let arrangement = Arrangement::new(&evidence.menu, &evidence.settings);
    let weights: Vec<_> = (0u16..).map(ItemIx).zip(arrangement.items().iter().map(|item| item.weight)).collect();
    Ways::new(&arrangement.tree, &weights)
}

/// The timings of the menu under these settings.
pub(super) fn pace(settings: &Settings) -> Pace {
    Pace {
        interval: settings.scan_interval().as_seconds(),
        first_at_top: settings.first_after_start().as_seconds(),
        first_inside: settings.first_in_group().as_seconds(),
        pause: settings.pause_after_selection().as_seconds(),
        // Without a limit the client takes the exit, which comes once a pass.
        loops_inside: settings.loops_inside().unwrap_or(1),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::sample;
    use crate::engine::tree::ScanTree;
    use crate::menu::{Node, shipped};

    #[test]
    fn a_longer_watch_with_the_same_count_leaves_a_lower_rate() {
        let mean = |rates: Vec<f64>| rates.iter().sum::<f64>() / rates.len() as f64;
        // The mean of the posterior is (0.25 + count)/(60 + seconds).
        assert!((mean(unwanted(6, 120.0)) / (6.25 / 180.0) - 1.0).abs() < 0.06);
        assert!((mean(unwanted(0, 540.0)) / (0.25 / 600.0) - 1.0).abs() < 0.3);
        assert!(unwanted(0, 0.0).is_empty());
    }

    #[test]
    fn what_leaves_nothing_behind_needs_no_undoing() {
        let mut menu = shipped::find("six").unwrap();
        assert_eq!(undo(&menu), 1.0);
        menu.top.entries.iter_mut().for_each(|entry| {
            if let Node::Item(item) = entry {
                item.effects.clear();
            }
        });
        assert_eq!(undo(&menu), 0.0);
    }

    #[test]
    fn wrong_groups_count_as_seen_once_there_are_enough() {
        assert_eq!([wrong_group(&[4.0; 7]), wrong_group(&[4.0; 8])], [None, Some(4.0)]);
    }

    #[test]
    fn two_presses_double_the_share_of_late_ones() {
        let task = Task::of(&sample::evidence(), &Asked::default()).unwrap();
        let late = |ways: Ways| Task { ways, ..task.clone() }.late_selections(0.05);
        // 5 % a press is 9.75 % for two: by hand.
        assert!((late(Ways::linear(6).unwrap()) - 0.05).abs() < 1e-12);
        assert!((late(Ways::equal(&ScanTree::row_column(3, 3), 9).unwrap()) - 0.0975).abs() < 1e-12);
    }
}
