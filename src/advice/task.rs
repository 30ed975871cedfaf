//! What the client is asked to do at home, as far as the evidence tells it: the menu and its timings,
//! what errors cost there, and how often something unwanted comes in between.

use super::asked::Asked;
use super::expected_time::{Pace, Presses, Recovery, Ways};
use super::optimum::{DRAWS, Search};
use super::presses::Disturbed;
use super::routes::weights;
use crate::analysis::evidence::Evidence;
use crate::analysis::words::{decimals, percent};
use crate::engine::pattern::Arrangement;
use crate::menu::Menu;
use crate::rng::Stream;
use crate::settings::Settings;
use crate::stats::gamma;

/// Unwanted activations beforehand, as a gamma distribution: one a minute, weighing as much as a quarter of a
/// minute watched (common practice, no source). With more weight on fewer of them a minute's watch would halve the
/// rate of a client who has many.
pub(crate) const UNWANTED: [f64; 2] = [0.25, 15.0];

/// Fewer wrong groups say less of their cost than the timings do (common practice, no source).
const ENOUGH: usize = 8;

/// The task of one client.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Task {
    pub ways: Ways,
    pub pace: Pace,
    pub recovery: Recovery,
    pub unwanted: Unwanted,
    pub late_limit: Option<f64>,
    /// Wrong groups that were entered and left in the sessions.
    wrong_groups: usize,
}

impl Task {
    /// `None` for a menu without items in use.
    pub fn of(evidence: &Evidence, asked: &Asked) -> Option<Task> {
        Some(Task {
            ways: ways(evidence)?,
            pace: pace(&evidence.settings),
            recovery: recovery(evidence),
            unwanted: Unwanted::of(evidence),
            late_limit: asked.late_limit,
            wrong_groups: evidence.wrong_groups.len(),
        })
    }

    /// A search among guesses that press as `presses` says, by number of the guess and interval.
    pub fn search<P: Presses, L>(
        &self,
        guesses: usize,
        between: [f64; 2],
        presses: impl Fn(usize, f64) -> P + Sync,
        late: L,
    ) -> Search<impl Fn(usize, f64) -> f64 + Sync, L> {
        let seconds = move |guess: usize, interval: f64| self.seconds(guess, presses(guess, interval), interval);
        Search { guesses, seconds, late, between, late_limit: self.late_limit }
    }

    /// Expected seconds of a selection at an interval for one guess, infinite where errors never end.
    pub fn seconds(&self, guess: usize, presses: impl Presses, interval: f64) -> f64 {
        let disturbed = self.unwanted.among(guess, presses);
        self.ways.seconds_with(&disturbed, &Pace { interval, ..self.pace }, &self.recovery)
    }

    /// What the cost of errors rests on: sentences with a space before them. Sessions show how long a wrong group
    /// lasts; a wrong item ends a trial, so that what undoing it takes is always the model's.
    pub fn cost_of_errors(&self) -> String {
        let undone = match self.recovery.undo {
            0.0 => String::new(),
            1.0 => ", each undone by one selection more before: that is assumed, not measured".into(),
            share => format!(", {} undone by one selection more before: that is assumed, not measured", percent(share)),
        };
        let items = format!(" After wrong items the same is chosen again{undone}.");
        let (seen, intervals) = (self.wrong_groups, self.recovery.wrong_group);
        match intervals {
            _ if self.ways.presses() <= 1.0 => items,
            Some(mean) => {
                format!("{items} A wrong group counts {} scan intervals, the mean of {seen} seen.", decimals(mean, 1))
            }
            None => format!(
                "{items} Wrong groups count as long as their loops or the way to their exit take: {seen} were seen, \
                 {ENOUGH} are wanted."
            ),
        }
    }

    /// Share of selections in which a press comes too late, from the share of presses.
    pub fn late_selections(&self, late: f64) -> f64 {
        1.0 - libm::pow(1.0 - late, self.ways.presses())
    }
}

/// Guesses at the rate of unwanted activations, per second: from the quiet watch and from the scan while the wanted
/// entry was still far off; none where nothing was watched.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Unwanted(Vec<f64>);

impl Unwanted {
    pub fn of(evidence: &Evidence) -> Unwanted {
        Unwanted::seen(evidence.involuntary + evidence.ahead, evidence.quiet_s + evidence.ahead_s)
    }

    fn seen(count: u32, watched_s: f64) -> Unwanted {
        if watched_s <= 0.0 {
            return Unwanted(Vec::new());
        }
        let mut stream = Stream::named(0, "unwanted");
        let rate = |_| gamma::draw(UNWANTED[0] + f64::from(count), &mut stream) / (UNWANTED[1] + watched_s);
        Unwanted((0..DRAWS).map(rate).collect())
    }

    /// Their mean, 0 where nothing was watched.
    pub fn mean(&self) -> f64 {
        self.0.iter().sum::<f64>() / self.0.len().max(1) as f64
    }

    /// The presses of a guess with unwanted activations among them.
    pub fn among<P>(&self, guess: usize, presses: P) -> Disturbed<P> {
        Disturbed { presses, unwanted: self.0.get(guess).copied().unwrap_or(0.0) }
    }
}

/// What putting an error right costs, as far as it was seen.
pub(super) fn recovery(evidence: &Evidence) -> Recovery {
    Recovery { undo: undo(&evidence.menu), wrong_group: wrong_group(&evidence.wrong_groups) }
}

/// A wrong item that changes something is undone by one more selection: the same one for what is
/// switched, the opposite one for what is set. What leaves nothing behind needs none.
pub(crate) fn undo(menu: &Menu) -> f64 {
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
    Ways::new(&arrangement.tree, &weights(&arrangement))
}

/// The timings of the menu under these settings.
pub(crate) fn pace(settings: &Settings) -> Pace {
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
        let mean = |Unwanted(rates): Unwanted| rates.iter().sum::<f64>() / rates.len() as f64;
        // The mean of the posterior is (0.25 + count)/(15 + seconds).
        assert!((mean(Unwanted::seen(6, 120.0)) / (6.25 / 135.0) - 1.0).abs() < 0.06);
        assert!((mean(Unwanted::seen(0, 540.0)) / (0.25 / 555.0) - 1.0).abs() < 0.3);
        assert_eq!(Unwanted::seen(0, 0.0).among(3, ()).unwanted, 0.0);
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
    fn what_the_cost_of_errors_rests_on_is_told() {
        let told = |wrong_groups| {
            let task = Task::of(&Evidence { wrong_groups, ..sample::evidence() }, &Asked::default()).unwrap();
            let rows = Ways::equal(&ScanTree::row_column(3, 3), 9).unwrap();
            [Task { ways: Ways::linear(6).unwrap(), ..task.clone() }, Task { ways: rows, ..task }]
                .map(|task| task.cost_of_errors())
        };
        let ([list, assumed], [_, measured]) = (told(vec![4.0; 3]), told(vec![4.0; 8]));
        assert_eq!(
            list,
            " After wrong items the same is chosen again, each undone by one selection more before: that is assumed, not \
             measured."
        );
        assert!(assumed.ends_with("3 were seen, 8 are wanted."), "{assumed}");
        assert!(measured.ends_with("A wrong group counts 4.0 scan intervals, the mean of 8 seen."), "{measured}");
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
