//! How long presses were held, and how soon they followed each other, wanted and unwanted apart, with
//! the time that a filter setting cuts at.

use super::super::recommendation::Recommendation;
use super::super::{gaps as between, hold};
use super::FEWEST;
use crate::analysis::evidence::{Aim, Evidence};
use crate::settings::Id;
use crate::stats::Sample;

/// Bins for each factor of ten.
const BINS_A_DECADE: f64 = 8.0;
/// Shorter times stand in the first bin.
const SHORTEST_S: f64 = 0.005;

/// Times of presses on a logarithmic axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Presses {
    /// Edges of the bins, one more than there are bins.
    pub edges_s: Vec<f64>,
    /// Those that were asked for.
    pub wanted: Times,
    /// Those that were not; nothing where none was seen.
    pub unwanted: Times,
    /// The time below which a press is not taken, where one is advised or in force.
    pub cut: Option<Cut>,
}

/// The times of one kind of press.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Times {
    /// Presses in each bin.
    pub counts: Vec<u32>,
    /// All of them.
    pub all: u32,
    /// Those below the cut; 0 without a cut.
    pub below: u32,
}

/// Where a setting cuts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    /// The time.
    pub seconds: f64,
    /// It is advised; otherwise it is in force.
    pub advised: bool,
}

pub(super) fn durations(evidence: &Evidence, recommendations: &[Recommendation]) -> Option<Presses> {
    let cut = cut(recommendations, Id::Hold, evidence.settings.hold().as_seconds());
    Presses::of(hold::durations(evidence, Aim::Wanted), hold::durations(evidence, Aim::Unwanted), cut)
}

pub(super) fn gaps(evidence: &Evidence, recommendations: &[Recommendation]) -> Option<Presses> {
    let cut = cut(recommendations, Id::Lockout, evidence.settings.lockout().as_seconds());
    Presses::of(between::deliberate(evidence), between::repeats(evidence), cut)
}

fn cut(recommendations: &[Recommendation], setting: Id, in_force_s: f64) -> Option<Cut> {
    let advised = recommendations.iter().find_map(|one| one.value_of(setting));
    let cut = Cut { seconds: advised.unwrap_or(in_force_s), advised: advised.is_some() };
    (cut.seconds > 0.0).then_some(cut)
}

impl Presses {
    fn of(wanted: Vec<f64>, unwanted: Vec<f64>, cut: Option<Cut>) -> Option<Presses> {
        if wanted.len() < FEWEST {
            return None;
        }
        let all = wanted.iter().chain(&unwanted).copied().chain(cut.map(|cut| cut.seconds));
        let edges_s = edges(&Sample::new(all.collect()).ok()?);
        let times = |seconds: &[f64]| Times::of(seconds, &edges_s, cut);
        Some(Presses { wanted: times(&wanted), unwanted: times(&unwanted), edges_s, cut })
    }
}

fn place(seconds: f64) -> f64 {
    libm::log10(seconds.max(SHORTEST_S)) * BINS_A_DECADE
}

fn edges(sample: &Sample) -> Vec<f64> {
    let (first, last) = (place(sample.least()).floor(), place(sample.greatest()).floor() + 1.0);
    let count = (last - first) as u32;
    (0..=count).map(|nth| libm::exp10((first + f64::from(nth)) / BINS_A_DECADE)).collect()
}

impl Times {
    fn of(seconds: &[f64], edges_s: &[f64], cut: Option<Cut>) -> Times {
        let mut counts = vec![0; edges_s.len() - 1];
        for one in seconds {
            let bin = edges_s.partition_point(|edge| *edge <= one.max(SHORTEST_S)).clamp(1, counts.len());
            counts[bin - 1] += 1;
        }
        let below = cut.map_or(0, |cut| seconds.iter().filter(|one| **one < cut.seconds).count());
        Times { counts, all: seconds.len() as u32, below: below as u32 }
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::sample::{evidence, lognormal, press};
    use super::super::super::{recommendation::Advice, recommendations};
    use super::super::Pictures;
    use super::*;

    #[test]
    fn the_shares_at_the_cut_are_those_of_the_rule() {
        let mut evidence = evidence();
        lognormal(0.4, 0.4, 60).for_each(|held| press(&mut evidence, Aim::Wanted, 2.0, held));
        lognormal(0.09, 0.5, 40).for_each(|held| press(&mut evidence, Aim::Unwanted, 2.0, held));
        let list = recommendations(&evidence);
        let rule = list.iter().find(|one| one.rule == "hold time").unwrap();
        let Advice::Set { value, ref beside, .. } = rule.advice else { panic!("{rule:?}") };
        let shown = Pictures::of(&evidence, &list).durations.unwrap();
        assert_eq!(shown.cut, Some(Cut { seconds: value, advised: true }));
        let share = |times: &Times| f64::from(times.below) / f64::from(times.all);
        assert_eq!([share(&shown.unwanted), share(&shown.wanted)], [beside[0].value, beside[1].value]);
        let counted = |times: &Times| times.counts.iter().sum::<u32>();
        assert_eq!((counted(&shown.wanted), counted(&shown.unwanted)), (60, 40));
    }

    #[test]
    fn a_cut_in_force_is_not_called_advised_and_nothing_at_all_makes_no_picture() {
        let mut evidence = evidence();
        assert_eq!(Pictures::of(&evidence, &[]).durations, None);
        evidence.settings = evidence.settings.with(Id::Hold, 200_000);
        (0..6).for_each(|_| press(&mut evidence, Aim::Wanted, 2.0, 0.0));
        let shown = Pictures::of(&evidence, &[]).durations.unwrap();
        assert_eq!(shown.cut, Some(Cut { seconds: 0.2, advised: false }));
        assert_eq!((shown.wanted.counts[0], shown.wanted.below, shown.unwanted.all), (6, 6, 0));
    }
}
