//! The scan interval at which a selection takes the least time, relative to what each guess at the truth could do.

pub use super::curve::Expected;
use super::curve::{Curves, ninety};
use super::draws::draws;
use super::expected_time::{Pace, Ways};
use super::recommendation::around;
use crate::settings::{Id, Kind, rounding};
use crate::stats::Sample;

/// Guesses that are averaged.
pub const DRAWS: usize = 1000;
/// How much more time the comfortable interval may cost.
const COMFORT: f64 = 1.05;

/// The best intervals for a client on a menu, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Optimum {
    /// The interval at which the mean over the guesses (see `advice/curve.rs`) is least.
    pub exact: f64,
    /// The same, rounded up to the setting's step.
    pub fastest_safe: f64,
    /// The slowest step that costs at most 5 % more of the same mean.
    pub comfortable: f64,
    /// 90 % interval of the best interval: 5 % and 95 % of the guesses' own best ones; it takes in `exact` and
    /// `fastest_safe`.
    pub interval: [f64; 2],
    /// The same of the comfortable one, which it takes in.
    pub comfortable_interval: [f64; 2],
    /// Expected time of a selection at `fastest_safe`.
    pub seconds: f64,
    /// The same at `comfortable`.
    pub comfortable_seconds: f64,
    /// Expected time at `comfortable`, 90 % interval.
    pub comfortable_range: [f64; 2],
    /// Share of presses that come after the item has gone, at `comfortable`, averaged.
    pub late: f64,
}

/// What is searched for the best interval: guesses at the truth, and how each fares at an interval.
#[derive(Clone, Copy, Debug)]
pub struct Search<S, L> {
    /// How many guesses there are.
    pub guesses: usize,
    /// Expected seconds of a selection, by number of the guess and interval; infinite where errors
    /// never end.
    pub seconds: S,
    /// Share of presses that come after their item has gone, likewise.
    pub late: L,
    /// The least and the greatest interval that may be advised.
    pub between: [f64; 2],
    /// The greatest share of late presses that is accepted, where somebody has set one.
    pub late_limit: Option<f64>,
}

impl Optimum {
    /// From latencies in seconds and the number of lightings that were let go by. `pace` gives
    /// everything but the interval.
    ///
    /// `None` without a positive mean latency, or when no interval of the setting's range will do.
    #[must_use]
    pub fn find(latencies: &Sample, omitted: usize, ways: &Ways, pace: &Pace) -> Option<Optimum> {
        let guesses = draws(latencies, omitted, DRAWS)?;
        let late = |guess: usize, interval: f64| guesses[guess].late(interval);
        let seconds = |guess: usize, interval: f64| ways.seconds(&guesses[guess], &Pace { interval, ..*pace });
        Search { guesses: guesses.len(), seconds, late, between: between(latencies), late_limit: None }.optimum()
    }
}

impl<S: Fn(usize, f64) -> f64 + Sync, L: Fn(usize, f64) -> f64 + Sync> Search<S, L> {
    /// The best intervals; `None` when no interval will do.
    #[must_use]
    pub fn optimum(&self) -> Option<Optimum> {
        let curves = Curves::new(self.guesses, self.between, &self.seconds);
        let (best, least_seconds) = curves.best();
        let ends = (0..self.guesses).filter(|guess| (self.seconds)(*guess, best).is_finite()).count();
        if 2 * ends <= self.guesses {
            return None;
        }
        let exact = self.late_limit.map_or(best, |limit| best.max(self.slow_enough(limit, |at| self.late_at(at))));
        let fastest_safe = rounding::up(Id::ScanInterval, exact);
        let limit = COMFORT * least_seconds;
        let slowest = curves.slowest(best, limit);
        let comfortable = last_step([fastest_safe, self.between[1]], slowest, limit, |interval| curves.mean(interval));
        let [fastest, slowest] = columns(&self.own(&curves));
        let times = (0..self.guesses).map(|guess| (self.seconds)(guess, comfortable)).filter(|s| s.is_finite());
        Some(Optimum {
            exact,
            fastest_safe,
            comfortable,
            interval: around(around(ninety(fastest)?, exact), fastest_safe),
            comfortable_interval: around(ninety(slowest)?, comfortable),
            seconds: curves.mean(fastest_safe),
            comfortable_seconds: curves.mean(comfortable),
            comfortable_range: ninety(times.collect())?,
            late: self.late_at(comfortable),
        })
    }

    /// Expected time at each of these intervals, as far as they lie between those that may be advised: the curve that
    /// [`Search::optimum`] chooses on.
    pub(super) fn expected(&self, intervals: impl Iterator<Item = f64>) -> Vec<Expected> {
        let curves = Curves::new(self.guesses, self.between, &self.seconds);
        let [from, to] = self.between;
        intervals.filter(|at| (from..=to).contains(at)).map(|at| curves.expected(at)).collect()
    }

    /// For each guess its own best and its own comfortable interval, no faster than a limit of late presses lets it be.
    fn own(&self, curves: &Curves<&S>) -> Vec<[f64; 2]> {
        let mut own = curves.own(COMFORT);
        if let Some(limit) = self.late_limit {
            for (guess, pair) in own.iter_mut().enumerate() {
                let slow = self.slow_enough(limit, |at| (self.late)(guess, at));
                *pair = pair.map(|at| at.max(slow));
            }
        }
        own
    }

    fn late_at(&self, interval: f64) -> f64 {
        (0..self.guesses).map(|guess| (self.late)(guess, interval)).sum::<f64>() / self.guesses as f64
    }

    /// The fastest interval at which no more than `limit` of presses come late, by halving.
    fn slow_enough(&self, limit: f64, late: impl Fn(f64) -> f64) -> f64 {
        let [mut low, mut high] = self.between;
        while high - low > 1e-4 {
            let middle = low.midpoint(high);
            if late(middle) > limit { low = middle } else { high = middle }
        }
        high
    }
}

fn columns(pairs: &[[f64; 2]]) -> [Vec<f64>; 2] {
    [0, 1].map(|column| pairs.iter().map(|pair| pair[column]).collect())
}

/// The last step of the setting between two bounds at which the time is within `limit`; `near` says about
/// where that is.
fn last_step([from, to]: [f64; 2], near: f64, limit: f64, seconds: impl Fn(f64) -> f64) -> f64 {
    let [_, longest, step] = range();
    let mut found = from.max(tidy(libm::floor(near / step) * step));
    while found > from && seconds(found) > limit {
        found = tidy(found - step).max(from);
    }
    while found + step <= longest.min(to) + 1e-9 && seconds(tidy(found + step)) <= limit {
        found = tidy(found + step);
    }
    found
}

/// The intervals that are searched. Below half a mean latency most presses are late, and far beyond the
/// latencies every second is given away.
#[must_use]
pub fn between(latencies: &Sample) -> [f64; 2] {
    let [shortest, longest, _] = range();
    let high = (4.0 * latencies.mean() + latencies.greatest()).clamp(2.0 * shortest, longest);
    [(0.5 * latencies.mean()).clamp(shortest, high / 2.0), high]
}

/// The range and the step of the scan interval.
fn range() -> [f64; 3] {
    let Kind::Time { min, max, step } = Id::ScanInterval.setting().kind else {
        unreachable!("the scan interval is a time")
    };
    [min, max, step].map(|microseconds| microseconds as f64 / 1e6)
}

/// Whole microseconds again, after steps were added up.
fn tidy(seconds: f64) -> f64 {
    libm::round(seconds * 1e6) / 1e6
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    const BARE: Pace = Pace { interval: 1.0, first_at_top: 0.0, first_inside: 0.0, pause: 0.0, loops_inside: 2 };

    fn optimum(count: usize) -> Optimum {
        let mut stream = Stream::named(4, "optimum");
        let seconds = (0..count).map(|_| 0.5 + 0.06 * stream.normal() + 0.2 * stream.exponential()).collect();
        Optimum::find(&Sample::new(seconds).unwrap(), 0, &Ways::linear(8).unwrap(), &BARE).unwrap()
    }

    #[test]
    fn many_presses_lead_to_the_true_optimum() {
        // Latency ex-Gaussian (500, 60, 200) ms, eight items in a list: 1.0428 s, by scipy. A
        // lapse rate near nothing moves it by less than the step.
        let found = optimum(2000);
        assert!((found.exact - 1.0428).abs() < 0.05, "{found:?}");
        assert!(found.interval[0] < 1.0428 && 1.0428 < found.interval[1], "{found:?}");
        assert!(found.comfortable >= found.fastest_safe && found.fastest_safe >= found.exact);
        assert!(found.comfortable_seconds <= 1.05 * found.seconds + 1e-9);
    }

    #[test]
    fn one_hopeless_guess_does_not_rule_out_the_others_and_a_majority_does() {
        let search = |hopeless: usize| Search {
            guesses: 100,
            seconds: move |guess, at: f64| if guess < hopeless { f64::INFINITY } else { 0.3 / (at - 0.3) + at },
            late: |_, _| 0.0,
            between: [0.5, 3.0],
            late_limit: None,
        };
        assert!((search(1).optimum().unwrap().exact - 0.8477).abs() < 0.001);
        assert_eq!(search(50).optimum(), None);
    }

    #[test]
    fn the_comfortable_one_stays_between_the_bounds() {
        let search = |high: f64| Search {
            guesses: 3,
            seconds: |_, interval: f64| 0.3 / (interval - 0.3) + interval,
            late: |_, _| 0.0,
            between: [0.5, high],
            late_limit: None,
        };
        let (wide, narrow) = (search(3.0).optimum().unwrap(), search(1.0).optimum().unwrap());
        // Least at 0.3 + √0.3 = 0.848 s.
        assert!((wide.exact - 0.8477).abs() < 0.001 && wide.comfortable > 1.0, "{wide:?}");
        assert_eq!((narrow.fastest_safe, narrow.comfortable), (0.85, 1.0));
    }

    #[test]
    fn every_value_lies_in_its_own_interval() {
        // Guesses that all but agree, between two steps of the setting; and one that pulls the mean beyond the rest.
        for (odd, scale, late_limit) in [(0.02, 0.3, None), (0.0, 9.0, None), (0.0, 0.3, Some(0.1))] {
            let a = move |guess: usize| if (guess as f64) < odd * 100.0 { scale } else { 0.31 };
            let search = Search {
                guesses: 100,
                seconds: move |guess: usize, at: f64| a(guess) / (at - 0.3) + at,
                late: move |guess: usize, at: f64| libm::exp(-at / (0.5 + 0.005 * guess as f64)),
                between: [0.5, 6.0],
                late_limit,
            };
            let found = search.optimum().unwrap();
            let within = |[low, high]: [f64; 2], value: f64| low <= value && value <= high;
            assert!(within(found.interval, found.exact) && within(found.interval, found.fastest_safe), "{found:?}");
            assert!(within(found.comfortable_interval, found.comfortable), "{found:?}");
            // With a limit the guesses differ by what each of them needs to keep it.
            let wide = found.comfortable_interval[1] - found.comfortable_interval[0] > 0.5;
            assert_eq!(wide, late_limit.is_some(), "{found:?}");
        }
    }

    #[test]
    fn fewer_presses_leave_more_open() {
        let (few, many) = (optimum(15), optimum(200));
        assert!(few.interval[1] - few.interval[0] > many.interval[1] - many.interval[0]);
    }
}
