//! Clients who press to the rhythm of the scan: they aim at a point of time instead of reacting.
//!
//! The press is Normal around its aim, with a spread that grows with the interval (scalar timing; an aim
//! inside the window in which a press counts: Lee and Oulasvirta 2016, CHI, 1857–1868, formula from
//! memory). Aim and spread at other intervals follow from a straight line through at least two
//! measured ones; beyond these nothing is said.

use super::expected_time::Presses;
use crate::analysis::evidence::{Opportunity, Response};
use crate::rng::Stream;
use crate::session::trial::Outcome;
use crate::stats::latency::{AtInterval, Manner, manner_at_one, manner_at_two};
use crate::stats::{gamma, normal};

/// Lapses beforehand, as for clients who react.
const LAPSES: [f64; 2] = [0.25, 9.75];
/// Presses at each of two intervals, and how far these must be apart at least.
pub(super) const FEWEST: usize = 8;
const APART: f64 = 1.1;

/// A press under an interval, both in seconds; negative where it came before the highlight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Timed {
    pub interval: f64,
    pub latency: f64,
}

/// How the press follows the interval: it comes `lead + share × interval` after the highlight, give or
/// take `spread × interval`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Aim {
    pub lead: f64,
    pub share: f64,
    pub spread: f64,
    pub lapses: f64,
}

/// The presses of one guess under one interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Aimed {
    mean: f64,
    sd: f64,
    lapses: f64,
}

/// The measured intervals between which aims are known, a little beyond included; `None` where fewer than
/// two intervals have enough presses.
pub(super) fn measured(presses: &[Timed]) -> Option<[f64; 2]> {
    ends(presses)?;
    let intervals = || presses.iter().map(|press| press.interval);
    Some([intervals().fold(f64::INFINITY, f64::min) / APART, intervals().fold(0.0, f64::max) * APART])
}

/// The intervals up to which and from which on there are enough presses, where they are far enough apart.
fn ends(presses: &[Timed]) -> Option<[f64; 2]> {
    let mut intervals: Vec<f64> = presses.iter().map(|press| press.interval).collect();
    intervals.sort_unstable_by(f64::total_cmp);
    let low = *intervals.get(FEWEST - 1)?;
    let high = intervals[intervals.len() - FEWEST];
    (high >= APART * low * (1.0 - 1e-9)).then_some([low, high])
}

/// The presses among `opportunities`, right, late and early ones, each `shift` seconds later.
pub(super) fn timed<'a>(opportunities: impl Iterator<Item = &'a Opportunity>, shift: f64) -> Vec<Timed> {
    let timed = |one: &Opportunity| match one.response {
        Response::Pressed { latency_s, held_s, outcome: Outcome::Hit | Outcome::Late | Outcome::Early } => {
            Some(Timed { interval: one.interval_s, latency: latency_s + held_s + shift })
        }
        _ => None,
    };
    opportunities.filter_map(timed).collect()
}

/// Whether the client reacts or times the presses: from the shortest and the longest intervals where two
/// were measured, else from all presses together.
pub(super) fn manner(presses: &[Timed]) -> Manner {
    let latencies = |keep: &dyn Fn(f64) -> bool| -> Vec<f64> {
        presses.iter().filter(|press| keep(press.interval)).map(|press| 1e6 * press.latency).collect()
    };
    let Some([low, high]) = ends(presses) else { return manner_at_one(&latencies(&|_| true)) };
    let (short, long) = (latencies(&|interval| interval <= low), latencies(&|interval| interval >= high));
    manner_at_two(
        &AtInterval { interval_us: 1e6 * low, latencies_us: &short },
        &AtInterval { interval_us: 1e6 * high, latencies_us: &long },
    )
}

/// Guesses at the aim: draws from what a straight line through the presses leaves open. With latency
/// and spread in units of the interval it is a regression of equal spread on one over the interval.
///
/// `presses` have at least two different intervals and three presses.
pub(super) fn draws(presses: &[Timed], omitted: usize, count: usize) -> Vec<Aim> {
    let line = Line::through(presses);
    let (mut stream, n) = (Stream::named(0, "rhythm"), presses.len() as f64);
    let draw = |_| {
        let spread = libm::sqrt(line.rest / (2.0 * gamma::draw((n - 2.0) / 2.0, &mut stream)));
        let lead = line.slope + stream.normal() * spread / libm::sqrt(line.width);
        let middle = line.middle + stream.normal() * spread / libm::sqrt(n);
        let missed = gamma::draw(LAPSES[0] + omitted as f64, &mut stream);
        let pressed = gamma::draw(LAPSES[1] + n, &mut stream);
        let lapses = (missed / (missed + pressed)).min(0.999);
        Aim { lead, share: middle - lead * line.centre, spread: spread.max(1e-6), lapses }
    };
    (0..count).map(draw).collect()
}

/// The least squares of latency/interval on 1/interval.
struct Line {
    slope: f64,
    /// The line's height at the mean of 1/interval.
    middle: f64,
    centre: f64,
    /// Sums of squares: of 1/interval, and of what the line leaves.
    width: f64,
    rest: f64,
}

impl Line {
    fn through(presses: &[Timed]) -> Line {
        let points = || presses.iter().map(|press| (1.0 / press.interval, press.latency / press.interval));
        let n = presses.len() as f64;
        let centre = points().map(|(x, _)| x).sum::<f64>() / n;
        let middle = points().map(|(_, y)| y).sum::<f64>() / n;
        let width = points().map(|(x, _)| (x - centre) * (x - centre)).sum::<f64>();
        let slope = points().map(|(x, y)| (x - centre) * (y - middle)).sum::<f64>() / width;
        let rest = points().map(|(x, y)| libm::pow(y - middle - slope * (x - centre), 2.0)).sum();
        Line { slope, middle, centre, width, rest }
    }
}

impl Aim {
    /// The presses under an interval.
    pub fn at(&self, interval: f64) -> Aimed {
        let mean = self.lead + self.share * interval;
        Aimed { mean, sd: self.spread * interval, lapses: self.lapses }
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
    use super::*;

    /// Aim 0.05 s + 0.3 of the interval, spread 0.1 of the interval.
    fn presses(intervals: &[f64], each: usize) -> Vec<Timed> {
        let mut stream = Stream::named(6, "rhythm test");
        let press =
            |interval: f64| Timed { interval, latency: 0.05 + 0.3 * interval + 0.1 * interval * stream.normal() };
        intervals.iter().flat_map(|interval| vec![*interval; each]).map(press).collect()
    }

    #[test]
    fn aim_and_spread_are_found() {
        let found = draws(&presses(&[0.8, 1.6], 2000), 80, 400);
        let mean = |value: fn(&Aim) -> f64| found.iter().map(value).sum::<f64>() / found.len() as f64;
        assert!((mean(|aim| aim.lead) - 0.05).abs() < 0.015);
        assert!((mean(|aim| aim.share) - 0.3).abs() < 0.015);
        assert!((mean(|aim| aim.spread) - 0.1).abs() < 0.005);
        assert!((mean(|aim| aim.lapses) - 0.02).abs() < 0.003);
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
    fn the_share_outside_the_window_is_the_published_one() {
        // Aim 0.25 of a window of 0.15 s, spread 0.09 s: errors 0.444110893 (formula from memory, by scipy).
        let press = Aimed { mean: 0.0375, sd: 0.09, lapses: 0.0 };
        assert!((1.0 - press.within(0.15) + press.within(0.0) - 0.444_110_893).abs() < 1e-9);
    }
}
