//! Clients who press to the rhythm of the scan: they aim at a point of time instead of reacting.
//!
//! The press is Normal around its aim (an aim inside the window in which a press counts: Lee and Oulasvirta
//! 2016, CHI, 1857–1868, formula from memory). Of its variance one part grows with the square of the interval,
//! as timing does, and one stays, as the movement does; how much is which is open (Wing and Kristofferson
//! 1973, Perception & Psychophysics 14:5–12, from memory). The aim lies on a straight line. Both follow from at
//! least two measured intervals; beyond these nothing is said.

use super::expected_time::Presses;
use super::resampling::{self, Point};
use crate::analysis::evidence::{Opportunity, Response};
use crate::rng::Stream;
use crate::session::trial::Outcome;
use crate::stats::latency::{Manner, Paced, chance_of_timing, manner_at_one, manner_at_rates};
use crate::stats::{Sample, gamma, normal};

/// Lapses beforehand, as for clients who react.
const LAPSES: [f64; 2] = [0.25, 9.75];
/// Presses at each of two intervals, and how far these must be apart at least.
pub(crate) const FEWEST: usize = 8;
pub(super) const APART: f64 = 1.1;

/// How the press follows the interval: it comes `lead + share × interval` after the highlight, give or
/// take what `spread` says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Aim {
    pub lead: f64,
    pub share: f64,
    pub spread: Spread,
    pub lapses: f64,
}

/// Standard deviation by interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spread {
    /// In seconds, whatever the interval.
    pub fixed: f64,
    /// As a share of the interval.
    pub growing: f64,
}

impl Spread {
    pub fn at(self, interval: f64) -> f64 {
        libm::hypot(self.fixed, self.growing * interval)
    }
}

/// The presses of one guess under one interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Aimed {
    mean: f64,
    sd: f64,
    lapses: f64,
}

/// The measured intervals between which aims are known, a little beyond included; `None` where fewer than
/// two intervals have enough presses.
pub(crate) fn measured(presses: &[Paced]) -> Option<[f64; 2]> {
    ends(presses).map(|_| reach(presses))
}

/// The intervals of all presses, a little beyond included; turned about without a press.
pub(super) fn reach(presses: &[Paced]) -> [f64; 2] {
    let intervals = || presses.iter().map(|press| press.interval);
    [intervals().fold(f64::INFINITY, f64::min) / APART, intervals().fold(0.0, f64::max) * APART]
}

/// The intervals up to which and from which on there are enough presses, where they are far enough apart.
fn ends(presses: &[Paced]) -> Option<[f64; 2]> {
    let mut intervals: Vec<f64> = presses.iter().map(|press| press.interval).collect();
    intervals.sort_unstable_by(f64::total_cmp);
    let low = *intervals.get(FEWEST - 1)?;
    let high = intervals[intervals.len() - FEWEST];
    (high >= APART * low * (1.0 - 1e-9)).then_some([low, high])
}

/// Of the presses that came enough slower or faster than most did to tell something: the interval of most of them,
/// and how many there are on that side.
pub(super) fn second_rate(presses: &[Paced]) -> Option<(f64, usize)> {
    let (first, _) = commonest(presses.iter().map(|press| press.interval))?;
    let far = APART * (1.0 - 1e-9);
    let side = |far: &dyn Fn(f64) -> bool| {
        let there = || presses.iter().map(|press| press.interval).filter(|at| far(*at));
        commonest(there()).map(|(interval, _)| (interval, there().count()))
    };
    let sides = [side(&|at| at >= far * first), side(&|at| first >= far * at)];
    sides.into_iter().flatten().max_by_key(|(_, count)| *count)
}

/// The interval of most of these, and how many they are.
pub(super) fn commonest(intervals: impl Iterator<Item = f64>) -> Option<(f64, usize)> {
    let mut sorted: Vec<f64> = intervals.collect();
    sorted.sort_unstable_by(f64::total_cmp);
    sorted.chunk_by(|a, b| a == b).map(|alike| (alike[0], alike.len())).max_by_key(|(_, count)| *count)
}

/// A press so many standard deviations before the middle of them is aimed at nothing (common practice, no source).
const FAR: f64 = 3.0;
/// The standard deviation of a Normal by its median absolute deviation, and what it is at least, in seconds.
const BY_MEDIAN: f64 = 1.4826;
const EVENEST_S: f64 = 0.02;

/// The presses among `opportunities`, right, late and early ones, each `shift` seconds later, but for those that came
/// far before the others: they are unwanted ones, and would hide whether the rest follow the interval.
pub(crate) fn timed<'a>(opportunities: impl Iterator<Item = &'a Opportunity>, shift: f64) -> Vec<Paced> {
    let timed = |one: &Opportunity| match one.response {
        Response::Pressed { latency_s, held_s, outcome: Outcome::Hit | Outcome::Late | Outcome::Early } => {
            Some(Paced {
                session: one.session,
                minutes: one.at_s / 60.0,
                interval: one.interval_s,
                latency: latency_s + held_s + shift,
            })
        }
        _ => None,
    };
    let all: Vec<Paced> = opportunities.filter_map(timed).collect();
    let first = aimed_from(&all);
    all.into_iter().filter(|press| press.latency >= first).collect()
}

/// From which latency on presses can have been aimed.
fn aimed_from(presses: &[Paced]) -> f64 {
    let median = |of: &dyn Fn(&Paced) -> f64| Sample::new(presses.iter().map(of).collect()).map_or(0.0, |s| s.median());
    let middle = median(&|press| press.latency);
    let spread = BY_MEDIAN * median(&|press| (press.latency - middle).abs());
    middle - FAR * spread.max(EVENEST_S)
}

/// Whether the client reacts or times the presses: from all intervals where two were measured, else from all presses
/// together.
pub(crate) fn manner(presses: &[Paced]) -> Manner {
    if ends(presses).is_some() {
        return manner_at_rates(presses);
    }
    manner_at_one(&presses.iter().map(|press| 1e6 * press.latency).collect::<Vec<_>>())
}

/// The chance that the presses are timed; `None` where two intervals do not tell it.
pub(super) fn chance(presses: &[Paced]) -> Option<f64> {
    ends(presses).and_then(|_| chance_of_timing(presses))
}

/// Guesses at the aim: draws from what the presses leave open. `presses` have at least two different intervals.
pub(crate) fn draws(presses: &[Paced], omitted: usize, count: usize) -> Vec<Aim> {
    let rates = Rates::of(presses);
    let mut stream = Stream::named(0, "rhythm");
    let found = resampling::draws(|at| rates.log_posterior(at), rates.about(), WIDTHS, count, &mut stream);
    let draw = |at: &Point| {
        let spread = rates.spread(at);
        let line = rates.line(spread);
        let share = line.slope + at[2] / libm::sqrt(line.width);
        let middle = line.middle + stream.normal() / libm::sqrt(line.weight);
        let missed = gamma::draw(LAPSES[0] + omitted as f64, &mut stream);
        let pressed = gamma::draw(LAPSES[1] + presses.len() as f64, &mut stream);
        Aim { lead: middle - share * line.centre, share, spread, lapses: (missed / (missed + pressed)).min(0.999) }
    };
    found.iter().map(draw).collect()
}

/// About how wide the posterior is: ln of the spread at the middle interval, the logit of the part of its
/// variance that stays, and the slope of the aim in its own standard errors.
const WIDTHS: Point = [0.3, 1.5, 1.0];
/// No client presses more evenly, in seconds.
const LEAST_SPREAD_S: f64 = 1e-3;

/// The presses of each interval.
struct Rates {
    rates: Vec<Rate>,
    /// The geometric mean of the intervals.
    middle: f64,
}

struct Rate {
    interval: f64,
    count: f64,
    mean: f64,
    /// Sum of squares about the mean.
    squares: f64,
}

/// The straight line through the aims, by weighted least squares.
struct Line {
    slope: f64,
    /// The line's height at `centre`, the weighted mean of the intervals.
    middle: f64,
    centre: f64,
    /// Sum of the weights, and of the weighted squares of the intervals about their mean.
    weight: f64,
    width: f64,
}

impl Rates {
    fn of(presses: &[Paced]) -> Rates {
        let mut sorted = presses.to_vec();
        sorted.sort_unstable_by(|a, b| a.interval.total_cmp(&b.interval));
        let rates: Vec<Rate> = sorted.chunk_by(|a, b| a.interval == b.interval).map(Rate::of).collect();
        let logs = sorted.iter().map(|press| libm::log(press.interval)).sum::<f64>();
        Rates { rates, middle: libm::exp(logs / sorted.len() as f64) }
    }

    fn about(&self) -> Point {
        let (squares, count) = self.rates.iter().fold((0.0, 0.0), |sum, one| (sum.0 + one.squares, sum.1 + one.count));
        [libm::log(libm::sqrt(squares / count).max(LEAST_SPREAD_S)), 0.0, 0.0]
    }

    fn spread(&self, at: &Point) -> Spread {
        let (spread, fixed) = (libm::exp(at[0]).max(LEAST_SPREAD_S), 1.0 / (1.0 + libm::exp(-at[1])));
        let growing = spread * libm::sqrt(1.0 - fixed) / self.middle;
        Spread { fixed: spread * libm::sqrt(fixed), growing }
    }

    fn line(&self, spread: Spread) -> Line {
        let weights = || self.rates.iter().map(|rate| rate.count / libm::pow(spread.at(rate.interval), 2.0));
        let sum =
            |of: &dyn Fn(&Rate) -> f64| self.rates.iter().zip(weights()).map(|(rate, w)| w * of(rate)).sum::<f64>();
        let weight = sum(&|_| 1.0);
        let (centre, middle) = (sum(&|rate| rate.interval) / weight, sum(&|rate| rate.mean) / weight);
        let width = sum(&|rate| (rate.interval - centre) * (rate.interval - centre));
        let slope = sum(&|rate| (rate.interval - centre) * (rate.mean - middle)) / width;
        Line { slope, middle, centre, weight, width }
    }

    /// Of the spread, the aim's line summed out; of the slope, its standard error taken as the unit. Every spread
    /// is as likely beforehand as another by its logarithm, and every part of the variance as another.
    fn log_posterior(&self, at: &Point) -> f64 {
        let spread = self.spread(at);
        let line = self.line(spread);
        let misfit = |rate: &Rate| {
            let (away, sd) =
                (rate.mean - line.middle - line.slope * (rate.interval - line.centre), spread.at(rate.interval));
            rate.count * libm::log(sd) + (rate.squares + rate.count * away * away) / (2.0 * sd * sd)
        };
        let fixed = 1.0 / (1.0 + libm::exp(-at[1]));
        let from_part = libm::log(fixed.max(1e-300)) + libm::log((1.0 - fixed).max(1e-300));
        let summed_out = libm::log(line.weight * line.width) / 2.0;
        let all = from_part - self.rates.iter().map(misfit).sum::<f64>() - summed_out - at[2] * at[2] / 2.0;
        if all.is_finite() { all } else { f64::NEG_INFINITY }
    }
}

impl Rate {
    fn of(presses: &[Paced]) -> Rate {
        let count = presses.len() as f64;
        let mean = presses.iter().map(|press| press.latency).sum::<f64>() / count;
        let squares = presses.iter().map(|press| libm::pow(press.latency - mean, 2.0)).sum();
        Rate { interval: presses[0].interval, count, mean, squares }
    }
}

impl Aim {
    /// The presses under an interval.
    pub fn at(&self, interval: f64) -> Aimed {
        let mean = self.lead + self.share * interval;
        Aimed { mean, sd: self.spread.at(interval), lapses: self.lapses }
    }
}

impl Aimed {
    /// Share of presses after an entry lit for `seconds` has gone.
    pub fn late(&self, seconds: f64) -> f64 {
        normal::cumulative((self.mean - seconds) / self.sd)
    }
}

impl Presses for Aimed {
    fn within(&self, seconds: f64) -> f64 {
        normal::cumulative((seconds - self.mean) / self.sd)
    }

    fn mean(&self) -> f64 {
        self.mean
    }

    fn lapses(&self) -> f64 {
        self.lapses
    }

    fn cumulant(&self, rate: f64) -> f64 {
        rate * self.mean - rate * rate * self.sd * self.sd / 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{hit, paced};
    use super::*;

    /// Aim 0.05 s + 0.3 of the interval, spread 0.06 s and 0.08 of the interval.
    fn presses(intervals: &[f64], each: usize) -> Vec<Paced> {
        let mut stream = Stream::named(6, "rhythm test");
        let spread = Spread { fixed: 0.06, growing: 0.08 };
        let press = |interval: f64| paced(interval, 0.05 + 0.3 * interval + spread.at(interval) * stream.normal());
        intervals.iter().flat_map(|interval| vec![*interval; each]).map(press).collect()
    }

    #[test]
    fn aim_and_spread_are_found() {
        let found = draws(&presses(&[0.8, 1.6], 2000), 80, 400);
        let mean = |value: fn(&Aim) -> f64| found.iter().map(value).sum::<f64>() / found.len() as f64;
        assert!((mean(|aim| aim.lead) - 0.05).abs() < 0.015);
        assert!((mean(|aim| aim.share) - 0.3).abs() < 0.015);
        // √(0.06² + 0.064²) and √(0.06² + 0.128²): by hand.
        assert!((mean(|aim| aim.spread.at(0.8)) - 0.087_727).abs() < 0.004);
        assert!((mean(|aim| aim.spread.at(1.6)) - 0.141_364).abs() < 0.006);
        assert!((mean(|aim| aim.lapses) - 0.02).abs() < 0.003);
    }

    #[test]
    fn the_spread_of_the_guesses_is_that_of_repeated_sessions() {
        // The aim at 1.2 s is 0.41 s; few presses leave it open by as much as the means of new ones would.
        let [mut off, mut open] = [0.0; 2];
        for seed in 0..60 {
            let mut stream = Stream::named(seed, "rhythm sessions");
            let spread = Spread { fixed: 0.06, growing: 0.08 };
            let press = |interval: f64| paced(interval, 0.05 + 0.3 * interval + spread.at(interval) * stream.normal());
            let presses: Vec<Paced> = [0.8, 1.6].into_iter().flat_map(|one| [one; 12]).map(press).collect();
            let at: Vec<f64> = draws(&presses, 0, 200).iter().map(|aim| aim.at(1.2).mean).collect();
            let mean = at.iter().sum::<f64>() / 200.0;
            off += (mean - 0.41) * (mean - 0.41) / 60.0;
            open += at.iter().map(|one| (one - mean) * (one - mean)).sum::<f64>() / 200.0 / 60.0;
        }
        assert!((0.5..1.8).contains(&(off / open)), "{off} {open}");
    }

    #[test]
    fn equal_presses_bear_numbers() {
        let equal = [0.8, 1.6].map(|interval| paced(interval, 0.1));
        let presses: Vec<Paced> = equal.into_iter().flat_map(|one| [one; 10]).collect();
        let numbers = |aim: &Aim| [aim.lead, aim.share, aim.spread.at(1.0), aim.lapses];
        assert!(draws(&presses, 0, 50).iter().flat_map(numbers).all(f64::is_finite));
    }

    #[test]
    fn one_interval_is_not_enough() {
        assert_eq!(measured(&presses(&[1.0], 40)), None);
        assert_eq!(measured(&presses(&[1.0, 1.05], 40)), None);
        let mut lopsided = presses(&[1.0], 40);
        lopsided.extend(presses(&[1.5], FEWEST - 1));
        assert_eq!(measured(&lopsided), None);
        let [low, high] = measured(&presses(&[1.0, 1.2], FEWEST)).unwrap();
        assert!((low - 1.0 / 1.1).abs() < 1e-9 && (high - 1.32).abs() < 1e-9);
    }

    #[test]
    fn presses_long_before_the_others_are_aimed_at_nothing() {
        let of = |latencies: &[f64]| timed(latencies.iter().map(|at| hit(*at)).collect::<Vec<_>>().iter(), 0.0).len();
        let reacting = [0.5, 0.55, 0.6, 0.62, 0.65, 0.7, 0.8, 1.4];
        assert_eq!(of(&[&reacting[..], &[-0.9, -0.3]].concat()), 8, "late ones stay");
        // A client who aims just before the highlight.
        assert_eq!(of(&[-0.2, -0.15, -0.1, -0.1, -0.05, 0.0, 0.02, 0.1]), 8);
        assert_eq!(of(&[0.7; 12]), 12);
    }

    #[test]
    fn the_second_rate_is_the_side_with_more_presses() {
        let mut all = presses(&[1.5], 20);
        assert_eq!(second_rate(&all), None);
        all.extend(presses(&[1.6], 9));
        assert_eq!(second_rate(&all), None, "too near");
        all.extend(presses(&[1.95], 4));
        all.extend(presses(&[1.0], 3));
        assert_eq!(second_rate(&all), Some((1.95, 4)));
        all.extend(presses(&[1.2], 2));
        assert_eq!(second_rate(&all), Some((1.0, 5)));
        assert_eq!(second_rate(&[]), None);
    }

    #[test]
    fn the_share_outside_the_window_is_the_published_one() {
        // Aim 0.25 of a window of 0.15 s, spread 0.09 s: errors 0.444110893 (formula from memory, by scipy).
        let press = Aimed { mean: 0.0375, sd: 0.09, lapses: 0.0 };
        assert!((1.0 - press.within(0.15) + press.within(0.0) - 0.444_110_893).abs() < 1e-9);
    }
}
