//! What selections and household tasks take one client under settings that are tried: at once by the
//! closed form, and by simulation for those who wait.
//!
//! The closed form knows neither fatigue nor trains of tremor and needs an automatic scan; where it and
//! the simulation part, the simulation is right.

use super::figure::{Figure, most};
use crate::advice::by_traits::ByTraits;
use crate::advice::expected_time::{Recovery, Takes, Ways};
use crate::advice::parallel;
use crate::advice::routes::weights;
use crate::advice::task::{pace, undo};
use crate::engine::tree::ItemIx;
use crate::menu::Menu;
use crate::rng::Stream;
use crate::settings::{Settings, Technique};
use crate::sim::at_home::{Doing, Home, PATIENCE};
use crate::sim::traits::Traits;
use crate::sim::weighted::Weighted;

/// A client as far as the logs tell, before a menu.
#[derive(Clone, Debug)]
pub struct Tried {
    guesses: Vec<Traits>,
    menu: Menu,
}

/// How a prediction was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// By the closed form.
    Closed,
    /// By so many simulated runs of each line.
    Simulated(usize),
}

/// What one selection or one task takes, each figure with its 90 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cost {
    /// Mean seconds.
    pub seconds: Figure,
    /// Mean number of wrong choices.
    pub wrong: Figure,
    /// Mean number of switch hits.
    pub hits: Figure,
}

/// What is to be expected under some settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Prediction {
    /// How it was found.
    pub how: How,
    /// A selection, items by their weight of use; `None` where more goes wrong than can be put right, so that most
    /// simulated runs are given up.
    pub selection: Option<Cost>,
    /// The household tasks in the order of the menu.
    pub tasks: Vec<(String, Option<Cost>)>,
}

impl Tried {
    /// The client of these guesses (see [`crate::sim::profile::Profile::guesses`]) before `menu`.
    #[must_use]
    pub fn new(guesses: Vec<Traits>, menu: Menu) -> Tried {
        Tried { guesses, menu }
    }

    /// The closed form; `None` for a technique that has none, and for a menu without items in use.
    #[must_use]
    pub fn at_once(&self, settings: &Settings) -> Option<Prediction> {
        let home = Home::new(&self.menu, settings);
        let tree = &home.arrangement().tree;
        let selection = Ways::new(tree, &weights(home.arrangement()))?;
        let once = |items: &[ItemIx]| Ways::new(tree, &items.iter().map(|item| (*item, 1.0)).collect::<Vec<_>>());
        let tasks: Vec<Ways> = self.tasks(&home).iter().filter_map(|items| once(items)).collect();
        let recovery = Recovery { undo: undo(&self.menu), ..Recovery::default() };
        let pace = pace(settings);
        let lines = |guess: &Traits| {
            let presses = ByTraits::new(guess, settings);
            let task = |ways: &Ways| one_after_the_other(&ways.each(&presses, &pace, &recovery), pace.pause);
            let selection = selection.takes(&presses, &pace, &recovery);
            std::iter::once(selection).chain(tasks.iter().map(task)).map(|takes| vec![takes]).collect()
        };
        let plain = settings.technique() == Technique::Automatic;
        plain.then(|| self.prediction(How::Closed, &parallel::map(&self.guesses, lines)))
    }

    /// The same by the real engine, over about `runs` simulated runs of each line, with the same luck each time: the same
    /// settings give the same figures. `None` for a menu without items in use, and once `go_on` says no.
    #[must_use]
    pub fn simulated(&self, settings: &Settings, runs: usize, go_on: &(dyn Fn() -> bool + Sync)) -> Option<Prediction> {
        let home = Home::new(&self.menu, settings);
        let weights: Vec<f64> = home.arrangement().items().iter().map(|item| item.weight).collect();
        let runs = Runs {
            each: (runs / self.guesses.len()).max(2),
            wanted: Weighted::new(&weights)?,
            tasks: self.tasks(&home),
            home,
        };
        let numbered: Vec<(u64, &Traits)> = (0..).zip(&self.guesses).collect();
        let of = |(number, guess): &(u64, &Traits)| if go_on() { runs.of_guess(*number, guess) } else { Vec::new() };
        let found = parallel::map(&numbered, of);
        go_on().then(|| self.prediction(How::Simulated(runs.each * found.len()), &found))
    }

    /// The items of each task.
    fn tasks(&self, home: &Home) -> Vec<Vec<ItemIx>> {
        let items = |ids: &Vec<String>| ids.iter().filter_map(|id| home.arrangement().find(id)).collect();
        self.menu.tasks.iter().map(|task| items(&task.items)).collect()
    }

    /// From what each guess takes: line by line, the selection first, run by run.
    fn prediction(&self, how: How, found: &[Vec<Vec<Takes>>]) -> Prediction {
        let cost = |line: usize| Cost::of(&found.iter().map(|lines| &lines[line][..]).collect::<Vec<_>>());
        let tasks = self.menu.tasks.iter().zip(1..);
        Prediction {
            how,
            selection: cost(0),
            tasks: tasks.map(|(task, line)| (task.label.clone(), cost(line))).collect(),
        }
    }
}

/// Selections of a task, with the pauses between them.
fn one_after_the_other(selections: &[Takes], pause: f64) -> Takes {
    let all = selections.iter().fold(Takes::default(), |sum, one| sum.plus(1.0, *one));
    Takes { seconds: all.seconds + pause * (selections.len().max(1) - 1) as f64, ..all }
}

impl Cost {
    /// From the runs of each guess; `None` where some are not finite, and where more than half were given up: what is
    /// left would be a figure of the patience.
    fn of(guesses: &[&[Takes]]) -> Option<Cost> {
        let runs = || guesses.iter().flat_map(|runs| runs.iter());
        if most(runs().map(|takes| takes.seconds >= PATIENCE.as_seconds())) {
            return None;
        }
        let figure = |of: fn(&Takes) -> f64| {
            let values: Vec<Vec<f64>> = guesses.iter().map(|runs| runs.iter().map(of).collect()).collect();
            let finite = values.iter().flatten().all(|value| value.is_finite());
            finite.then(|| Figure::of(&values))?.map(|figure| figure.within(0.0, f64::MAX))
        };
        Some(Cost {
            seconds: figure(|takes| takes.seconds)?,
            wrong: figure(|takes| takes.wrong_items)?,
            hits: figure(|takes| takes.hits)?,
        })
    }
}

/// Simulated runs.
struct Runs {
    home: Home,
    /// Of each guess and line.
    each: usize,
    wanted: Weighted,
    tasks: Vec<Vec<ItemIx>>,
}

impl Runs {
    fn of_guess(&self, number: u64, guess: &Traits) -> Vec<Vec<Takes>> {
        let mut wanted = Stream::named(number, "wanted items");
        let seed = |line: u64, run: u64| (number << 40) ^ (line << 32) ^ run;
        let does = |items: &[ItemIx], seed| taken(&self.home.does(items, guess, seed));
        let runs = 0..self.each as u64;
        let selection = runs.clone().map(|run| does(&[ItemIx(self.wanted.draw(&mut wanted))], seed(0, run))).collect();
        let task = |(line, items): (u64, &Vec<ItemIx>)| runs.clone().map(|run| does(items, seed(line, run))).collect();
        std::iter::once(selection).chain((1..).zip(&self.tasks).map(task)).collect()
    }
}

fn taken(doing: &Doing) -> Takes {
    Takes { seconds: doing.seconds, hits: f64::from(doing.hits), wrong_items: f64::from(doing.wrong) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::shipped;
    use crate::settings::Id;
    use crate::sim::traits::STEADY;

    fn tried(menu: &str) -> Tried {
        Tried::new(vec![STEADY], shipped::find(menu).unwrap())
    }

    fn whole(tried: &Tried, settings: &Settings, runs: usize) -> Prediction {
        tried.simulated(settings, runs, &|| true).unwrap()
    }

    #[test]
    fn the_closed_form_and_the_simulation_agree() {
        for menu in ["six", "flat"] {
            let (tried, settings) = (tried(menu), Settings::default());
            let (closed, simulated) = (tried.at_once(&settings).unwrap(), whole(&tried, &settings, 4_000));
            let pairs = [(closed.selection, simulated.selection)].into_iter();
            let tasks = closed.tasks.iter().zip(&simulated.tasks).map(|(one, other)| (one.1, other.1));
            for (one, other) in pairs.chain(tasks) {
                let (one, other) = (one.unwrap(), other.unwrap());
                // The interval of the simulation holds 1.645 standard errors.
                let error = (other.seconds.high - other.seconds.value) / 1.645;
                let parted = (one.seconds.value - other.seconds.value).abs();
                assert!(parted < (4.0 * error).max(0.05 * other.seconds.value), "{menu}: {one:?} {other:?}");
                assert!((one.hits.value / other.hits.value - 1.0).abs() < 0.1, "{menu}: {one:?} {other:?}");
            }
        }
    }

    #[test]
    fn a_faster_scan_saves_time_and_costs_errors() {
        let (tried, settings) = (tried("six"), Settings::default());
        let fast = settings.clone().with(Id::ScanInterval, 900_000);
        let cost = |settings| tried.at_once(settings).unwrap().selection.unwrap();
        assert!(cost(&fast).seconds.value < cost(&settings).seconds.value);
        assert!(cost(&fast).wrong.value > cost(&settings).wrong.value);
    }

    #[test]
    fn guesses_that_differ_make_an_interval() {
        let slower = crate::forecast::slower::slower(&STEADY, 1.5);
        let tried = Tried::new(vec![STEADY, slower], shipped::find("six").unwrap());
        let seconds = tried.at_once(&Settings::default()).unwrap().selection.unwrap().seconds;
        assert!(seconds.low < seconds.value && seconds.value < seconds.high, "{seconds:?}");
    }

    #[test]
    fn one_who_never_presses_has_no_figure_and_a_step_scan_no_closed_form() {
        let absent = Traits { miss: 1.0, ..STEADY };
        let menu = shipped::find("six").unwrap();
        assert_eq!(Tried::new(vec![absent], menu).at_once(&Settings::default()).unwrap().selection, None);
        assert!(tried("six").at_once(&Settings::default().with(Id::Technique, 1)).is_none());
    }

    #[test]
    fn where_most_runs_are_given_up_there_is_no_figure() {
        let settings = Settings::default();
        let hardly = |miss: f64| {
            let traits = Traits { miss, involuntary_per_s: 0.0, ..STEADY };
            whole(&Tried::new(vec![traits], shipped::find("six").unwrap()), &settings, 40)
        };
        let (rarely, never) = (hardly(0.5), hardly(0.995));
        assert!(rarely.selection.is_some_and(|cost| cost.seconds.value < PATIENCE.as_seconds()));
        assert_eq!(never.selection, None);
        assert!(never.tasks.iter().all(|(_, cost)| cost.is_none()) && !never.tasks.is_empty());
    }

    #[test]
    fn nothing_is_said_once_nobody_waits_for_it() {
        assert_eq!(tried("six").simulated(&Settings::default(), 100, &|| false), None);
    }
}
