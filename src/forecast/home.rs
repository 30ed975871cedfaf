//! Prediction for the home: what each household task of a menu takes, now and once the client is slower.
//!
//! Every guess of the profile does every task many times over at the real engine, with the same random
//! numbers at each degree of slowness. Where no press misses there is a closed form beside it.

use serde::Serialize;

use super::errorless;
use super::figure::{Figure, most};
use super::slower::slower;
use super::swallowed;
use crate::advice::parallel;
use crate::engine::tree::ItemIx;
use crate::menu::{Menu, Task};
use crate::settings::Settings;
use crate::sim::at_home::{Doing, Home, PATIENCE};
use crate::sim::profile::Profile;
use crate::sim::traits::Traits;
use crate::stats::Sample;

/// How many times as slow as today.
pub const SLOWER: [f64; 3] = [1.0, 1.25, 1.5];
/// Runs of each task that are enough for two digits, over all guesses.
pub const RUNS: usize = 10_000;

/// What the tasks of a menu take.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AtHome {
    /// Guesses of the profile; 1 where it was not fitted, so that nothing is known of its uncertainty.
    pub guesses: usize,
    /// Simulated runs of each task at each degree of slowness.
    pub runs: usize,
    /// Task by task, in the order of the menu.
    pub tasks: Vec<TaskAtHome>,
}

/// One household task.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TaskAtHome {
    /// What it is for.
    pub task: String,
    /// Labels of the items to take, in order.
    pub items: Vec<String>,
    /// Presses where none misses; exact.
    pub presses: usize,
    /// Share of presses that the repeat lockout swallows where the way leads through the first entry of a
    /// group, today; closed form, 0 where it does not, `None` without one.
    pub swallowed: Option<f64>,
    /// Today and slower, as in [`SLOWER`].
    pub states: Vec<State>,
}

/// A task at one degree of slowness.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct State {
    /// How many times as slow as today.
    pub slower: f64,
    /// Mean seconds where no press misses, by the closed form; `None` where there is none.
    pub errorless_s: Option<Figure>,
    /// Mean seconds with everything that goes wrong, simulated; `None` where it is given up more often than not.
    pub seconds: Option<Figure>,
    /// Nine of ten times it takes no longer, in seconds, simulated; `None` where it is given up more often than once in
    /// ten.
    pub nine_in_ten_s: Option<f64>,
    /// Share of times with a wrong choice, simulated.
    pub wrong: Figure,
    /// Switch hits, simulated; `None` where there are no seconds.
    pub hits: Option<Figure>,
    /// Share of times that it is given up after ten minutes, simulated.
    pub given_up: Figure,
}

/// The tasks of `menu` under `settings` for the client of `profile`, over about `runs` simulated runs of each, and two
/// of each guess at least; the same seed gives the same figures. No tasks give none.
#[must_use]
pub fn at_home(profile: &Profile, menu: &Menu, settings: &Settings, runs: usize, seed: u64) -> AtHome {
    let guesses = profile.guesses();
    let each = (runs / guesses.len()).max(2);
    let home = Home::new(menu, settings);
    let task = |task: &Task| {
        let items: Vec<ItemIx> = task.items.iter().filter_map(|id| home.arrangement().find(id)).collect();
        let labels = items.iter().map(|item| home.arrangement().item(*item).label.clone()).collect();
        let runs = Runs { home: &home, items: &items, each, seed };
        TaskAtHome {
            task: task.label.clone(),
            presses: errorless::presses(&home, &items),
            swallowed: swallowed(&home, &items, &guesses),
            states: SLOWER.iter().map(|factor| runs.state(&guesses, *factor)).collect(),
            items: labels,
        }
    };
    AtHome { guesses: guesses.len(), runs: each * guesses.len(), tasks: menu.tasks.iter().map(task).collect() }
}

/// The mean over the guesses.
fn swallowed(home: &Home, items: &[ItemIx], guesses: &[Traits]) -> Option<f64> {
    if !swallowed::concerned(home, items) {
        return Some(0.0);
    }
    let each = guesses.iter().map(|guess| swallowed::chance(home.settings(), guess));
    Some(each.sum::<Option<f64>>()? / guesses.len() as f64)
}

/// The runs of one task.
struct Runs<'a> {
    home: &'a Home,
    items: &'a [ItemIx],
    /// Of each guess.
    each: usize,
    seed: u64,
}

impl Runs<'_> {
    fn state(&self, guesses: &[Traits], factor: f64) -> State {
        let then: Vec<Traits> = guesses.iter().map(|guess| slower(guess, factor)).collect();
        let numbered: Vec<(usize, &Traits)> = then.iter().enumerate().collect();
        let runs = parallel::map(&numbered, |(number, traits)| self.of_guess(*number, traits));
        let figure = |of: fn(&Doing) -> f64| {
            let of = |runs: &Vec<Doing>| runs.iter().map(of).collect();
            Figure::of(&runs.iter().map(of).collect::<Vec<_>>()).expect("there are runs")
        };
        let all = || runs.iter().flatten();
        let done = !most(all().map(|doing| !doing.done));
        let nine_in_ten_s =
            Sample::new(all().map(|doing| doing.seconds).collect()).expect("there are runs").quantile(0.9);
        let share = |of: fn(&Doing) -> f64| figure(of).within(0.0, 1.0);
        State {
            slower: factor,
            errorless_s: self.errorless(&then),
            seconds: done.then(|| figure(|doing| doing.seconds)),
            nine_in_ten_s: Some(nine_in_ten_s).filter(|seconds| *seconds < PATIENCE.as_seconds()),
            wrong: share(|doing| f64::from(doing.wrong.min(1))),
            hits: done.then(|| figure(|doing| f64::from(doing.hits))),
            given_up: share(|doing| if doing.done { 0.0 } else { 1.0 }),
        }
    }

    fn of_guess(&self, number: usize, traits: &Traits) -> Vec<Doing> {
        let seeds = (0..self.each as u64).map(|run| (self.seed << 40) ^ ((number as u64) << 20) ^ run);
        seeds.map(|seed| self.home.does(self.items, traits, seed)).collect()
    }

    /// The closed form has no chance in it: only the guesses differ.
    fn errorless(&self, guesses: &[Traits]) -> Option<Figure> {
        let each = |traits| errorless::seconds(self.home, self.items, traits).map(|seconds| vec![seconds]);
        Figure::of(&guesses.iter().map(each).collect::<Option<Vec<_>>>()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::shipped;
    use crate::sim::profile::shipped as clients;

    fn steady(runs: usize, seed: u64) -> AtHome {
        let menu = shipped::find("six").unwrap();
        at_home(&clients::find("steady").unwrap(), &menu, &Settings::default(), runs, seed)
    }

    #[test]
    fn each_task_has_its_states_and_the_same_seed_the_same_figures() {
        let found = steady(200, 1);
        let tasks: Vec<_> = found.tasks.iter().map(|task| (task.task.as_str(), task.presses)).collect();
        assert_eq!(tasks, [("Let the visitor in", 2), ("Call for help", 1), ("A morning at home", 3)]);
        assert_eq!((found.guesses, found.runs), (1, 200));
        assert_eq!(found, steady(200, 1));
        for task in &found.tasks {
            let [now, quarter, half] = &task.states[..] else { panic!("three states") };
            let [exact, slower, slowest] = [now, quarter, half].map(|state| state.errorless_s.unwrap().value);
            assert!(exact < slower && slower < slowest);
            let Figure { value, low, high } = now.seconds.unwrap();
            assert!(value >= exact * 0.98 && now.given_up.value == 0.0);
            assert!(low < value && value < high);
            assert!(now.nine_in_ten_s.unwrap() > exact * 0.9);
        }
    }

    #[test]
    fn one_who_never_presses_gets_nothing_done_and_no_figure() {
        let menu = shipped::find("flat").unwrap();
        let found = at_home(&clients::find("absent").unwrap(), &menu, &Settings::default(), 4, 1);
        for state in found.tasks.iter().flat_map(|task| &task.states) {
            assert_eq!((state.given_up.value, state.seconds, state.nine_in_ten_s, state.hits), (1.0, None, None, None));
        }
    }
}
