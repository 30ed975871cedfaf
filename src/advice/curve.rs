//! Expected time against interval, for many guesses at the truth at once.
//!
//! Their mean weighs each guess by one over its own least: what counts is the share of its best time that a guess
//! loses. In plain seconds a guess at which errors hardly end would outweigh hundreds. Best and comfortable interval,
//! the time that is told and the curve that is drawn are all of this one mean.
//!
//! Every guess is worked out on one grid of intervals, evenly spaced by ratio. What lies between is
//! found from there: the least by parabolas through three neighbours, a crossing by a straight line
//! (the curves bend little on their slow side). The grid is worked from its middle outwards, as far as anything is
//! still looked for: whoever is faster loses presses and whoever is slower waits, so that a curve which has risen
//! clearly falls no more.

use std::ops::Range;

use super::parallel;
use crate::stats::Sample;

/// One interval of the grid to the next.
const RATIO: f64 = 1.07;
/// So many intervals are worked out before it is asked whether that is far enough.
const STRIDE: usize = 3;
/// Far enough is where everything costs so many times its least: on the slow side no comfortable interval is looked for
/// beyond, on the fast one no best interval.
const SLOW_ENOUGH: f64 = 1.1;
const FAST_ENOUGH: f64 = 2.0;

/// The curves of `guesses` guesses; `seconds` takes the number of a guess and an interval.
pub(super) struct Curves<S> {
    seconds: S,
    guesses: Vec<usize>,
    intervals: Vec<f64>,
    /// One row a guess; infinite where it was not worked out.
    table: Vec<Vec<f64>>,
    /// The least of each guess.
    least: Vec<f64>,
    mean: Vec<f64>,
}

/// Expected time of a selection at one interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// The interval, in seconds.
    pub interval: f64,
    /// Mean over the guesses, each weighed by one over its least.
    pub seconds: f64,
    /// Middle 90 % of the guesses; infinite where they are.
    pub range: [f64; 2],
}

impl<S: Fn(usize, f64) -> f64 + Sync> Curves<S> {
    /// The curves between two intervals, both above 0.
    pub fn new(guesses: usize, [low, high]: [f64; 2], seconds: S) -> Curves<S> {
        let guesses: Vec<usize> = (0..guesses).collect();
        let steps = libm::ceil(libm::log(high / low) / libm::log(RATIO)).max(2.0);
        let ratio = libm::pow(high / low, 1.0 / steps);
        let intervals: Vec<f64> = (0..=steps as u32).map(|step| low * libm::pow(ratio, f64::from(step))).collect();
        let unknown = vec![f64::INFINITY; intervals.len()];
        let mut curves = Curves {
            seconds,
            table: vec![unknown.clone(); guesses.len()],
            least: vec![f64::INFINITY; guesses.len()],
            mean: unknown,
            guesses,
            intervals,
        };
        curves.work();
        curves
    }

    /// Fills the grid from its middle outwards.
    fn work(&mut self) {
        let middle = self.intervals.len() / 2;
        let mut columns = middle..middle;
        while columns.end < self.intervals.len() {
            let further = columns.end..(columns.end + STRIDE).min(self.intervals.len());
            self.fill(further.clone());
            columns.end = further.end;
            if self.passed(columns.end - 1, &columns, SLOW_ENOUGH) {
                break;
            }
        }
        while columns.start > 0 {
            let further = columns.start.saturating_sub(STRIDE)..columns.start;
            self.fill(further.clone());
            columns.start = further.start;
            if self.passed(columns.start, &columns, FAST_ENOUGH) {
                break;
            }
        }
        self.mean = (0..self.intervals.len()).map(|column| self.mean_of(column)).collect();
    }

    fn fill(&mut self, columns: Range<usize>) {
        let intervals = &self.intervals[columns.clone()];
        let seconds = |guess: &usize| intervals.iter().map(|at| (self.seconds)(*guess, *at)).collect::<Vec<_>>();
        let rows = parallel::map(&self.guesses, seconds);
        for ((row, least), new) in self.table.iter_mut().zip(&mut self.least).zip(rows) {
            *least = new.iter().copied().fold(*least, f64::min);
            row[columns.clone()].copy_from_slice(&new);
        }
    }

    /// Every guess costs more than `times` its least here, and their mean clearly more than its least in the columns that
    /// are `known`. A guess whose least is infinite may have one further on.
    fn passed(&self, column: usize, known: &Range<usize>, times: f64) -> bool {
        let each = self.table.iter().zip(&self.least).all(|(row, least)| row[column] > times * least);
        let lowest = || known.clone().map(|column| self.mean_of(column)).fold(f64::INFINITY, f64::min);
        each && self.mean_of(column) > SLOW_ENOUGH * lowest()
    }

    fn mean_of(&self, column: usize) -> f64 {
        mean(self.table.iter().map(|row| row[column]), &self.least)
    }

    /// Mean over the guesses at any interval; infinite where none of them ever ends.
    pub fn mean(&self, interval: f64) -> f64 {
        mean(self.all(interval).into_iter(), &self.least)
    }

    /// Where the mean is least, and the mean there.
    pub fn best(&self) -> (f64, f64) {
        self.lowest_between(&self.mean, 5, |interval| self.mean(interval))
    }

    /// Mean and middle 90 % at any interval.
    pub fn expected(&self, interval: f64) -> Expected {
        let mut all = self.all(interval);
        let seconds = mean(all.iter().copied(), &self.least);
        all.sort_unstable_by(f64::total_cmp);
        let share = |p: f64| all[libm::round(p * (all.len() - 1) as f64) as usize];
        Expected { interval, seconds, range: [share(0.05), share(0.95)] }
    }

    fn all(&self, interval: f64) -> Vec<f64> {
        parallel::map(&self.guesses, |guess| (self.seconds)(*guess, interval))
    }

    /// Where the mean passes `limit` on the slow side of `best`.
    pub fn slowest(&self, best: f64, limit: f64) -> f64 {
        self.crossing(&self.mean, best, limit)
    }

    /// For each guess, its own best interval and the slowest that costs at most `more` times its least.
    pub fn own(&self, more: f64) -> Vec<[f64; 2]> {
        parallel::map(&self.guesses, |guess| {
            let row = &self.table[*guess];
            let (at, seconds) = self.lowest_between(row, 2, |interval| (self.seconds)(*guess, interval));
            [at, self.crossing(row, at, more * seconds)]
        })
    }

    /// The least of a row, looked for `rounds` times between the neighbours of its lowest place.
    fn lowest_between(&self, row: &[f64], rounds: u32, seconds: impl Fn(f64) -> f64) -> (f64, f64) {
        let place = lowest(row);
        let mut three = match (place.checked_sub(1), row.get(place + 1)) {
            (Some(before), Some(_)) => [before, place, place + 1].map(|at| (self.intervals[at], row[at])),
            _ => return (self.intervals[place], row[place]),
        };
        for _ in 0..rounds {
            let at = vertex(&three).unwrap_or_else(|| middle_of_wider(&three));
            three = nearer(three, (at, seconds(at)));
        }
        three[1]
    }

    fn crossing(&self, row: &[f64], best: f64, limit: f64) -> f64 {
        let (mut low, mut below) = (best, f64::NAN);
        for (interval, seconds) in self.intervals.iter().zip(row).skip_while(|(interval, _)| **interval <= best) {
            if *seconds > limit {
                let share = if below.is_nan() { 0.5 } else { (limit - below) / (seconds - below) };
                return low + share * (interval - low);
            }
            (low, below) = (*interval, *seconds);
        }
        low
    }
}

/// No guess counts for more than so many times its least (common practice, no source).
const MOST_TIMES: f64 = 10.0;

/// A guess at which errors never end, whatever the interval, says nothing of the interval.
fn mean(values: impl Iterator<Item = f64>, least: &[f64]) -> f64 {
    let (mut times, mut weight) = (0.0, 0.0);
    for (seconds, least) in values.zip(least).filter(|(_, least)| least.is_finite()) {
        times += (seconds / least).min(MOST_TIMES);
        weight += 1.0 / least;
    }
    if weight > 0.0 { times / weight } else { f64::INFINITY }
}

/// The first place of the least value; the last place where all are infinite.
fn lowest(row: &[f64]) -> usize {
    let least = row.iter().enumerate().filter(|(_, value)| value.is_finite()).min_by(|a, b| a.1.total_cmp(b.1));
    least.map_or(row.len() - 1, |(place, _)| place)
}

/// The vertex of the parabola through three points whose middle one is lowest; `None` where there is none.
fn vertex([(a, fa), (b, fb), (c, fc)]: &[(f64, f64); 3]) -> Option<f64> {
    let (left, right) = ((b - a) * (fb - fc), (b - c) * (fb - fa));
    let at = b - 0.5 * ((b - a) * left - (b - c) * right) / (left - right);
    (at.is_finite() && *a < at && at < *c && at != *b).then_some(at)
}

fn middle_of_wider([(a, _), (b, _), (c, _)]: &[(f64, f64); 3]) -> f64 {
    if b - a > c - b { a.midpoint(*b) } else { b.midpoint(*c) }
}

/// The three points that enclose the least, once one more is known.
fn nearer([a, b, c]: [(f64, f64); 3], new: (f64, f64)) -> [(f64, f64); 3] {
    match (new.0 < b.0, new.1 < b.1) {
        (true, true) => [a, new, b],
        (true, false) => [new, b, c],
        (false, true) => [b, new, c],
        (false, false) => [a, b, new],
    }
}

/// The middle 90 % of the values.
pub(super) fn ninety(values: Vec<f64>) -> Option<[f64; 2]> {
    let sample = Sample::new(values).ok()?;
    Some([sample.quantile(0.05), sample.quantile(0.95)])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// a/(T − 0.3) + T, least at 0.3 + √a, infinite up to 0.3.
    fn seconds(guess: usize, interval: f64) -> f64 {
        let a = 0.4 + 0.1 * guess as f64;
        if interval > 0.3 { a / (interval - 0.3) + interval } else { f64::INFINITY }
    }

    fn curves() -> Curves<fn(usize, f64) -> f64> {
        Curves::new(5, [0.2, 8.0], seconds)
    }

    #[test]
    fn the_best_of_each_and_of_all_are_found() {
        // The mean of a, each weighed by 1 over its least of 0.3 + 2 √a, is 0.585581: by hand.
        assert!((curves().best().0 - (0.3 + 0.585_581_f64.sqrt())).abs() < 0.002);
        for (guess, [at, slow]) in curves().own(1.05).into_iter().enumerate() {
            let a = 0.4 + 0.1 * guess as f64;
            assert!((at - 0.3 - a.sqrt()).abs() < 0.003, "{guess}: {at}");
            let limit = 1.05 * (0.3 + 2.0 * a.sqrt());
            // From a/(T − 0.3) + T = limit.
            let b = limit - 0.3;
            let wanted = 0.3 + (b + (b * b - 4.0 * a).sqrt()) / 2.0;
            assert!((slow / wanted - 1.0).abs() < 0.005, "{guess}: {slow} {wanted}");
        }
    }

    #[test]
    fn the_slow_side_is_the_one_that_is_crossed() {
        let (best, limit) = (0.3 + 0.6_f64.sqrt(), 2.0);
        let wanted = 0.3 + (1.7 + (1.7_f64 * 1.7 - 4.0 * 0.585_581).sqrt()) / 2.0;
        assert!((curves().slowest(best, limit) / wanted - 1.0).abs() < 0.005);
    }

    #[test]
    fn the_band_holds_the_guesses_and_the_mean_is_that_of_shares() {
        // Of a/(T − 0.3) + T the weighed mean is that of the weighed mean of a, 0.585581: by hand.
        for interval in [0.7, 1.1, 2.0, 5.0] {
            let one = curves().expected(interval);
            assert_eq!(one.range, [seconds(0, interval), seconds(4, interval)]);
            assert!((one.seconds / (0.585_581 / (interval - 0.3) + interval) - 1.0).abs() < 1e-3, "{one:?}");
            assert_eq!(one.seconds, curves().mean(interval));
        }
    }

    #[test]
    fn a_guess_that_never_ends_moves_neither_the_least_nor_the_crossing() {
        let hopeless = |guess: usize, interval: f64| if guess < 5 { seconds(guess, interval) } else { f64::INFINITY };
        let (with, without) = (Curves::new(7, [0.2, 8.0], hopeless), curves());
        assert_eq!(with.best(), without.best());
        let (best, least) = with.best();
        assert_eq!(with.slowest(best, 1.05 * least), without.slowest(best, 1.05 * least));
    }

    #[test]
    fn what_is_infinite_everywhere_ends_at_the_slow_end() {
        let never = Curves::new(3, [0.2, 8.0], |_, _| f64::INFINITY);
        assert!(never.best().1 >= 600.0 && never.own(1.05).iter().all(|[at, slow]| *at > 7.9 && slow >= at));
    }
}
