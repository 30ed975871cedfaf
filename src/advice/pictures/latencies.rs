//! The latencies under a moving highlight, counted by length, and what the advice expects of the next ones.

use super::super::presses::Pressing;
use super::super::recommendation::Recommendation;
use super::FEWEST;
use crate::analysis::evidence::{Evidence, Opportunity, Response};
use crate::session::trial::Outcome;
use crate::settings::Id;
use crate::stats::Sample;

/// Widths of a bin that read well.
const WIDTHS_S: [f64; 8] = [0.02, 0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0];
/// More bins cannot be told apart.
const MOST_BINS: f64 = 48.0;
/// Points of the curve.
const POINTS: usize = 200;

/// The latencies of a histogram, to acceptance where a hold time delays the choice.
#[derive(Clone, Debug, PartialEq)]
pub struct Latencies {
    /// Bins from the shortest to the longest latency, without a hole.
    pub bins: Vec<Bin>,
    /// Where the first bin begins.
    pub from_s: f64,
    /// Width of every bin.
    pub width_s: f64,
    /// Lightings of the wanted entry that were let go by.
    pub omitted: u32,
    /// Latency, and the presses that the advice's guesses at a client who reacts expect there in a bin of this width;
    /// empty where the advice rests on none.
    pub curve: Vec<[f64; 2]>,
    /// The scan interval in force at the end.
    pub in_force_s: f64,
    /// The scan interval that is advised.
    pub advised_s: Option<f64>,
}

/// The presses of one bin.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Bin {
    /// Right ones.
    pub right: u32,
    /// Those after the entry had gone.
    pub late: u32,
    /// Those before it came.
    pub early: u32,
}

impl Bin {
    /// All of them.
    #[must_use]
    pub fn all(&self) -> u32 {
        self.right + self.late + self.early
    }
}

impl Latencies {
    pub(super) fn of(
        evidence: &Evidence,
        recommendations: &[Recommendation],
        guesses: &[Pressing],
    ) -> Option<Latencies> {
        let moving = || evidence.opportunities.iter().filter(|one| one.moving());
        let presses: Vec<_> = moving().filter_map(pressed).collect();
        if presses.len() < FEWEST {
            return None;
        }
        let sample = Sample::new(presses.iter().map(|(seconds, _)| *seconds).collect()).ok()?;
        let width_s = width(&sample);
        let from_s = (sample.least() / width_s).floor() * width_s;
        let advised_s = recommendations.iter().find_map(|one| one.value_of(Id::ScanInterval));
        // Without advice nothing is expected.
        let guesses = if advised_s.is_some() { guesses } else { &[] };
        let longest = sample.greatest().max(advised_s.unwrap_or(0.0)) + width_s;
        let answered = presses.iter().filter(|(_, outcome)| *outcome != Outcome::Early).count();
        Some(Latencies {
            bins: bins(&presses, from_s, width_s),
            from_s,
            width_s,
            omitted: moving().filter(|one| one.omitted()).count() as u32,
            curve: curve(guesses, (from_s.min(0.0), longest), width_s * answered as f64),
            in_force_s: evidence.settings.scan_interval().as_seconds(),
            advised_s,
        })
    }
}

fn pressed(one: &Opportunity) -> Option<(f64, Outcome)> {
    match one.response {
        Response::Pressed { latency_s, outcome: Outcome::Early, .. } => Some((latency_s, Outcome::Early)),
        Response::Pressed { outcome, .. } => one.accepted_s().map(|seconds| (seconds, outcome)),
        Response::Omitted { .. } => None,
    }
}

/// At most twice the middle half over the cube root of the number (Freedman and Diaconis 1981, from
/// memory), made round, and not so narrow that bins cannot be told apart.
fn width(sample: &Sample) -> f64 {
    let middle_half = sample.quantile(0.75) - sample.quantile(0.25);
    let wanted = 2.0 * middle_half / libm::cbrt(sample.len() as f64);
    let narrowest = (sample.greatest() - sample.least()) / MOST_BINS;
    let round = WIDTHS_S.into_iter().rfind(|width| *width <= wanted).unwrap_or(WIDTHS_S[0]);
    if round >= narrowest { round } else { WIDTHS_S.into_iter().find(|width| *width >= narrowest).unwrap_or(narrowest) }
}

fn bins(presses: &[(f64, Outcome)], from_s: f64, width_s: f64) -> Vec<Bin> {
    let mut bins = Vec::new();
    for (seconds, outcome) in presses {
        let place = ((seconds - from_s) / width_s) as usize;
        bins.resize(bins.len().max(place + 1), Bin::default());
        match outcome {
            Outcome::Early => bins[place].early += 1,
            Outcome::Late => bins[place].late += 1,
            _ => bins[place].right += 1,
        }
    }
    bins
}

/// `bin` is the area of all answered presses: their number times the width of a bin.
fn curve(guesses: &[Pressing], (from, to): (f64, f64), bin: f64) -> Vec<[f64; 2]> {
    if guesses.is_empty() {
        return Vec::new();
    }
    let density = |at: f64| {
        let all: f64 = guesses.iter().map(|guess| guess.density(at)).sum();
        all / guesses.len() as f64
    };
    let places = (0..POINTS).map(|nth| from + (to - from) * nth as f64 / (POINTS - 1) as f64);
    places.map(|at| [at, density(at) * bin]).collect()
}

#[cfg(test)]
mod tests {
    use super::super::super::sample::{evidence, hit, lognormal};
    use super::super::super::scan_rate;
    use super::super::Pictures;
    use super::*;

    fn with(opportunities: Vec<Opportunity>) -> Evidence {
        Evidence { opportunities, ..evidence() }
    }

    fn early(latency_s: f64) -> Opportunity {
        Opportunity { response: Response::Pressed { latency_s, held_s: 0.0, outcome: Outcome::Early }, ..hit(0.0) }
    }

    #[test]
    fn every_press_is_in_one_bin_and_every_omission_is_counted() {
        let mut all: Vec<_> = lognormal(0.7, 0.3, 40).map(hit).collect();
        all.extend([early(-0.31), early(-0.2)]);
        all.push(Opportunity { response: Response::Omitted { window_s: 2.0 }, ..hit(0.0) });
        let found = Pictures::of(&with(all), &[]).latencies.unwrap();
        let sum = |part: fn(&Bin) -> u32| found.bins.iter().map(part).sum::<u32>();
        assert_eq!((sum(|bin| bin.right), sum(|bin| bin.early), sum(|bin| bin.late), found.omitted), (40, 2, 0, 1));
        assert!(found.from_s <= -0.31 && found.bins[0].early > 0, "{found:?}");
    }

    #[test]
    fn the_curve_holds_as_many_presses_as_were_answered() {
        let evidence = with(lognormal(0.7, 0.25, 200).map(hit).collect());
        let found = Pictures::of(&evidence, &[scan_rate::advise(&evidence)]).latencies.unwrap();
        assert_eq!(Pictures::of(&evidence, &[]).latencies.unwrap().curve, Vec::<[f64; 2]>::new());
        // Each point stands for a part of a bin; what lies beyond the range is missing.
        let part = (found.curve[1][0] - found.curve[0][0]) / found.width_s;
        let under: f64 = found.curve.iter().map(|[_, presses]| presses * part).sum();
        assert!((190.0..201.0).contains(&under), "{under}");
    }

    #[test]
    fn few_presses_make_no_picture_and_equal_ones_do() {
        assert_eq!(Pictures::of(&with(vec![hit(0.5); 4]), &[]).latencies, None);
        let equal = Pictures::of(&with(vec![hit(0.5); 30]), &[]).latencies.unwrap();
        assert_eq!((equal.bins.len(), equal.bins[0].right), (1, 30));
    }
}
