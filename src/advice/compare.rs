//! Two sets of presses of one client, one against the other: latencies and misses.
//!
//! Only trials of one kind are compared, for the kinds differ by themselves. A probability never
//! stands alone: each has its difference and the interval of that beside it. All intervals are of 95 %.

use serde::Serialize;

use super::recommendation::Remark;
use crate::analysis::evidence::Opportunity;
use crate::analysis::words::seconds;
use crate::rng::Stream;
use crate::session::event::BlockKind;
use crate::session::trial::Outcome;
use crate::stats::difference::{Share, fisher, newcombe};
use crate::stats::permutation::mean_difference;
use crate::stats::rank_sum;
use crate::stats::shift::hodges_lehmann;
use crate::stats::{Interval, Level, Sample};

/// Timed presses on either side; fewer bear no comparison (common practice, no source).
pub const FEWEST: usize = 6;
/// Seed of the deals drawn where not all can be tried.
const SEED: u64 = 1;
/// Kinds of block that can be compared, the first that both sides have enough of.
const KINDS: [BlockKind; 3] = [BlockKind::TimedPress, BlockKind::MenuTasks, BlockKind::Reaction];

/// What a comparison found; pairs are (first, second), differences second less first.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// The kind of block that was compared.
    pub kind: BlockKind,
    /// Latencies of right and late presses.
    pub latency: Latencies,
    /// Lightings of the wanted item that were not hit.
    pub misses: Misses,
    /// What its reader has to know.
    pub cautions: Vec<Remark>,
}

/// Latencies, one side against the other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Latencies {
    /// Presses.
    pub presses: [u32; 2],
    /// Medians, in seconds.
    pub medians_s: [f64; 2],
    /// How much longer the second is, in seconds (Hodges and Lehmann).
    pub longer_s: f64,
    /// Its 95 % interval.
    pub longer_interval_s: Option<[f64; 2]>,
    /// Share of pairs in which the second is the longer.
    pub second_longer: f64,
    /// Two-sided probability by ranks (Mann and Whitney).
    pub p_rank_sum: f64,
    /// Whether it is exact.
    pub rank_sum_exact: bool,
    /// Difference of the means, in seconds.
    pub mean_difference_s: f64,
    /// Two-sided probability of that by permutation.
    pub p_permutation: f64,
    /// Whether all permutations were tried.
    pub permutation_exact: bool,
}

/// Misses, one side against the other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Misses {
    /// Missed.
    pub missed: [u32; 2],
    /// Of how many.
    pub of: [u32; 2],
    /// Difference of the shares.
    pub more: f64,
    /// Its 95 % interval (Newcombe).
    pub more_interval: [f64; 2],
    /// Two-sided probability (Fisher's exact test).
    pub p_fisher: f64,
}

/// What can be told of a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// The second has more.
    More,
    /// The second has less.
    Less,
    /// Neither can be told.
    Neither,
}

impl Told {
    fn of([low, high]: [f64; 2]) -> Told {
        match () {
            () if low > 0.0 => Told::More,
            () if high < 0.0 => Told::Less,
            () => Told::Neither,
        }
    }
}

impl Comparison {
    /// Whether presses take longer on the second side.
    #[must_use]
    pub fn slower(&self) -> Told {
        self.latency.longer_interval_s.map_or(Told::Neither, Told::of)
    }

    /// Whether more is missed on the second side.
    #[must_use]
    pub fn missed_more(&self) -> Told {
        Told::of(self.misses.more_interval)
    }
}

/// Compares two sets of opportunities; menu tasks count only under the `same_menu`.
///
/// # Errors
/// When no kind of block was timed often enough on both sides: what is missing.
pub fn compare(first: &[&Opportunity], second: &[&Opportunity], same_menu: bool) -> Result<Comparison, Remark> {
    let kinds = KINDS.into_iter().filter(|kind| same_menu || *kind != BlockKind::MenuTasks);
    for kind in kinds {
        let sides = [first, second].map(|side| of_kind(side, kind));
        if let [Some(one), Some(other)] = [&sides[0], &sides[1]].map(|side| latencies(side)) {
            let misses = misses(&sides[0], &sides[1]).ok_or_else(too_few)?;
            return Ok(Comparison { kind, latency: shifted(&one, &other), misses, cautions: other_rate(&sides) });
        }
    }
    Err(too_few())
}

/// The latencies of one kind of block; `None` when there are too few.
pub(super) fn latencies(opportunities: &[&Opportunity]) -> Option<Sample> {
    let values = opportunities.iter().filter_map(|one| one.latency_s()).collect();
    Sample::new(values).ok().filter(|sample| sample.len() >= FEWEST)
}

pub(super) fn of_kind<'a>(opportunities: &[&'a Opportunity], kind: BlockKind) -> Vec<&'a Opportunity> {
    opportunities.iter().copied().filter(|one| one.kind == kind).collect()
}

fn too_few() -> Remark {
    Remark {
        text: format!("Too few to compare: no kind of trial was timed {FEWEST} times on both sides."),
        remedy: format!("Run the same kind of trial on both, {FEWEST} right presses at least."),
    }
}

fn shifted(first: &Sample, second: &Sample) -> Latencies {
    let shift = hodges_lehmann(first, second, Level::NINETY_FIVE);
    let ranks = rank_sum::compare(first, second);
    let dealt = mean_difference(first, second, &mut Stream::named(SEED, "comparison"));
    Latencies {
        presses: [first.len() as u32, second.len() as u32],
        medians_s: [first.median(), second.median()],
        longer_s: shift.estimate,
        longer_interval_s: shift.interval.map(Interval::ends),
        second_longer: ranks.second_above,
        p_rank_sum: ranks.p,
        rank_sum_exact: ranks.exact,
        mean_difference_s: dealt.difference,
        p_permutation: dealt.p,
        permutation_exact: dealt.exact,
    }
}

fn misses(first: &[&Opportunity], second: &[&Opportunity]) -> Option<Misses> {
    let missed = |side: &[&Opportunity]| side.iter().filter(|one| !one.pressed_as(Outcome::Hit)).count() as u64;
    let share = |side: &[&Opportunity]| Share::new(missed(side), side.len() as u64);
    let (one, other) = (share(first)?, share(second)?);
    Some(Misses {
        missed: [missed(first), missed(second)].map(|count| count as u32),
        of: [first.len(), second.len()].map(|count| count as u32),
        more: other.value() - one.value(),
        more_interval: newcombe(other, one, Level::NINETY_FIVE).ends(),
        p_fisher: fisher(one, other),
    })
}

/// Presses hurry with the scan, and a miss at one rate may be a hit at another.
fn other_rate([first, second]: &[Vec<&Opportunity>; 2]) -> Vec<Remark> {
    let rates = |side: &[&Opportunity]| Sample::new(side.iter().map(|one| one.interval_s).collect()).ok();
    let Some((one, other)) = rates(first).zip(rates(second)) else { return Vec::new() };
    let same = (one.least() - other.least()).abs() < 1e-9 && (one.greatest() - other.greatest()).abs() < 1e-9;
    let remark = || Remark {
        text: format!("The scan rate was not the same ({}, then {}).", seconds(one.median()), seconds(other.median())),
        remedy: "Compare again at one scan rate before you rely on this.".into(),
    };
    (!same).then(remark).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::super::sample::hit;
    use super::*;
    use crate::analysis::evidence::Response;

    fn hits(latencies: &[f64]) -> Vec<Opportunity> {
        latencies.iter().map(|latency| hit(*latency)).collect()
    }

    fn compared(first: &[Opportunity], second: &[Opportunity]) -> Result<Comparison, Remark> {
        compare(&first.iter().collect::<Vec<_>>(), &second.iter().collect::<Vec<_>>(), true)
    }

    #[test]
    fn latencies_agree_with_scipy() {
        // scipy 1.17.1: mannwhitneyu(first, second, method="exact") and permutation_test of the mean
        // difference with all 924 deals; the shift is numpy's median of all 36 differences, its ends are
        // the sixth from below and above (19/924 lie beyond, 30/924 would be more than 2.5 %).
        let first = hits(&[0.61, 0.65, 0.70, 0.72, 0.80, 0.745]);
        let second = hits(&[0.74, 0.79, 0.85, 0.88, 0.91, 0.95]);
        let found = compared(&first, &second).unwrap();
        let latency = &found.latency;
        let near = |found: f64, wanted: f64| (found - wanted).abs() < 1e-9;
        assert!(near(latency.p_rank_sum, 14.0 / 924.0) && latency.rank_sum_exact, "{latency:?}");
        assert!(near(latency.p_permutation, 10.0 / 924.0) && latency.permutation_exact, "{latency:?}");
        let [low, high] = latency.longer_interval_s.unwrap();
        assert!(near(latency.longer_s, 0.15) && near(low, 0.045) && near(high, 0.25), "{latency:?}");
        assert_eq!((found.slower(), found.missed_more()), (Told::More, Told::Neither));
    }

    #[test]
    fn misses_have_newcombes_interval_and_fishers_probability() {
        // 2 of 20 against 8 of 20: 18/20 hits against 12/20, Newcombe 0.02936 to 0.52528, Fisher 0.064833
        // (statsmodels and scipy, as in `stats::difference`).
        let with = |missed: usize| {
            let mut all = hits(&[0.7; 20]);
            let omitted = Response::Omitted { window_s: 2.0 };
            all.iter_mut().take(missed).for_each(|one| one.response = omitted);
            all
        };
        let found = compared(&with(2), &with(8)).unwrap();
        let misses = &found.misses;
        assert_eq!((misses.missed, misses.of), ([2, 8], [20, 20]));
        assert!((misses.more_interval[0] - 0.02936).abs() < 1e-5 && (misses.more_interval[1] - 0.52528).abs() < 1e-5);
        assert!((misses.p_fisher - 0.064833).abs() < 1e-6);
        assert_eq!((found.missed_more(), found.slower()), (Told::More, Told::Neither));
    }

    #[test]
    fn few_presses_and_other_kinds_bear_no_comparison() {
        let enough = hits(&[0.7; 6]);
        assert!(compared(&enough, &enough[..5]).unwrap_err().remedy.contains("6 right presses"));
        assert!(compared(&enough, &[]).is_err());
        let tasks: Vec<_> = enough.iter().map(|one| Opportunity { kind: BlockKind::MenuTasks, ..*one }).collect();
        assert!(compared(&enough, &tasks).is_err());
        let all: Vec<&Opportunity> = tasks.iter().collect();
        assert!(compare(&all, &all, false).is_err() && compare(&all, &all, true).is_ok());
    }

    #[test]
    fn another_scan_rate_is_said() {
        let enough = hits(&[0.7; 6]);
        let faster: Vec<_> = enough.iter().map(|one| Opportunity { interval_s: 1.5, ..*one }).collect();
        assert_eq!(compared(&enough, &enough).unwrap().cautions, []);
        assert!(compared(&enough, &faster).unwrap().cautions[0].text.contains("(2.00 s, then 1.50 s)"));
    }

    #[test]
    fn equal_latencies_give_numbers_all_the_same() {
        let found = compared(&hits(&[0.7; 8]), &hits(&[0.7; 9])).unwrap();
        let text = serde_json::to_string(&found).unwrap();
        assert!(!text.contains("NaN") && found.latency.p_rank_sum == 1.0 && found.slower() == Told::Neither, "{text}");
    }
}
