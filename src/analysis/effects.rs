//! What moves presses: how often a lighting is let go by, what the place of the entry does to the
//! latency, and whether it grows as a block goes on.
//!
//! Each takes a list of opportunities, so that its caller decides which kinds of block are mixed.
//! What an error costs is not judged here: opportunities do not tell how long a trial took.

use super::evidence::Opportunity;
use crate::stats::{Interval, Level, Sample, proportion, student};

/// A share with its interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// How many.
    pub count: u32,
    /// Of how many.
    pub of: u32,
    /// 95 % interval of the share (Wilson).
    pub interval: Interval,
}

/// Omissions, counted both ways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Omissions {
    /// Lightings without a press, of all lightings that were let go by, hit or pressed late.
    pub passes: Share,
    /// Trials in which every lighting went by without a press, of all trials.
    pub trials: Share,
}

/// How much longer one set of latencies is than another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// Difference of the means, in seconds.
    pub seconds: f64,
    /// 90 % interval, in seconds; `None` when a side has a single latency or neither varies.
    pub interval: Option<Interval>,
    /// Latencies on either side.
    pub counts: [u32; 2],
}

/// Omissions among `opportunities`; `None` when nothing was lit.
///
/// The opportunities of a trial stand together, as in [`super::evidence::Evidence`].
#[must_use]
pub fn omissions(opportunities: &[Opportunity]) -> Option<Omissions> {
    let passes = opportunities.iter().filter(|found| found.omitted() || found.latency_s().is_some());
    let trials = opportunities.chunk_by(|one, two| trial(one) == trial(two));
    Some(Omissions {
        passes: share(passes.map(Opportunity::omitted))?,
        trials: share(trials.map(|trial| trial.iter().all(Opportunity::omitted)))?,
    })
}

/// How much longer the latencies at the first entry of a group are than those at the others;
/// `None` when one of them has none.
#[must_use]
pub fn first_entry(opportunities: &[Opportunity]) -> Option<Difference> {
    let at = |first: bool| opportunities.iter().filter(move |found| (found.position == 0) == first);
    difference(
        at(true).filter_map(Opportunity::latency_s).collect(),
        at(false).filter_map(Opportunity::latency_s).collect(),
    )
}

/// How much longer the latencies in the second half of each block are than those in its first half;
/// the middle one of an odd number is left out. `None` without two latencies in any block.
#[must_use]
pub fn order(opportunities: &[Opportunity]) -> Option<Difference> {
    let (mut early, mut late) = (Vec::new(), Vec::new());
    for block in opportunities.chunk_by(|one, two| (one.session, one.block) == (two.session, two.block)) {
        let latencies: Vec<f64> = block.iter().filter_map(Opportunity::latency_s).collect();
        let half = latencies.len() / 2;
        early.extend_from_slice(&latencies[..half]);
        late.extend_from_slice(&latencies[latencies.len() - half..]);
    }
    difference(late, early)
}

fn trial(found: &Opportunity) -> (u32, u16, u32) {
    (found.session, found.block, found.trial)
}

fn share(found: impl Iterator<Item = bool>) -> Option<Share> {
    let (count, of) = found.fold((0, 0), |(count, of), yes| (count + u32::from(yes), of + 1));
    let interval = proportion::wilson(count.into(), of.into(), Level::NINETY_FIVE)?;
    Some(Share { count, of, interval })
}

/// One mean minus another, with the 90 % interval of Welch (1947, Biometrika 34: 28–35).
fn difference(one: Vec<f64>, other: Vec<f64>) -> Option<Difference> {
    let (one, other) = (Sample::new(one).ok()?, Sample::new(other).ok()?);
    let seconds = one.mean() - other.mean();
    let counts = [one.len() as u32, other.len() as u32];
    Some(Difference { seconds, interval: welch(&one, &other, seconds), counts })
}

fn welch(one: &Sample, other: &Sample, difference: f64) -> Option<Interval> {
    let part = |sample: &Sample| Some((sample.sd()?.powi(2) / sample.len() as f64, sample.len() as f64 - 1.0));
    let ((a, a_freedom), (b, b_freedom)) = (part(one)?, part(other)?);
    let freedom = (a + b).powi(2) / (a * a / a_freedom + b * b / b_freedom);
    let half = student::quantile(0.95, freedom) * libm::sqrt(a + b);
    half.is_finite().then_some(Interval { low: difference - half, high: difference + half })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::evidence::Response;
    use crate::session::event::BlockKind;
    use crate::session::trial::Outcome;

    fn opportunity(trial: u32, position: u16, latency_s: Option<f64>) -> Opportunity {
        let response = match latency_s {
            Some(latency_s) => Response::Pressed { latency_s, held_s: 0.0, outcome: Outcome::Hit },
            None => Response::Omitted { window_s: 1.0 },
        };
        Opportunity {
            session: 0,
            block: 0,
            kind: BlockKind::MenuTasks,
            trial,
            at_s: f64::from(trial),
            position,
            count: 6,
            level: 0,
            interval_s: 1.0,
            window_s: 1.0,
            paced: true,
            response,
        }
    }

    #[test]
    fn a_pass_that_went_by_before_a_hit_is_no_trial_without_a_press() {
        let all = [
            opportunity(1, 1, None),
            opportunity(1, 1, Some(0.5)),
            opportunity(2, 1, None),
            opportunity(2, 1, None),
            opportunity(3, 1, Some(0.5)),
        ];
        let found = omissions(&all).unwrap();
        assert_eq!((found.passes.count, found.passes.of), (3, 5));
        assert_eq!((found.trials.count, found.trials.of), (1, 3));
        assert_eq!(omissions(&[]), None);
    }

    #[test]
    fn the_interval_of_a_difference_agrees_with_scipy() {
        // scipy 1.17.1: ttest_ind([0.9, 0.7, 0.8], [0.5, 0.6, 0.4, 0.6], equal_var=False)
        //     .confidence_interval(0.90)
        let first = [0.9, 0.7, 0.8].map(|latency| opportunity(1, 0, Some(latency)));
        let others = [0.5, 0.6, 0.4, 0.6].map(|latency| opportunity(1, 2, Some(latency)));
        let found = first_entry(&[&first[..], &others[..]].concat()).unwrap();
        let interval = found.interval.unwrap();
        assert!((found.seconds - 0.275).abs() < 1e-12);
        assert!((interval.low - 0.11855575171268615).abs() < 1e-9, "{interval:?}");
        assert!((interval.high - 0.43144424828731404).abs() < 1e-9, "{interval:?}");
    }

    #[test]
    fn slowing_is_a_difference_above_nought() {
        let all: Vec<_> = [0.5, 0.6, 9.0, 0.8, 0.9].iter().zip(1..).map(|(l, n)| opportunity(n, 1, Some(*l))).collect();
        let found = order(&all).unwrap();
        assert!((found.seconds - 0.3).abs() < 1e-12);
        assert_eq!(found.counts, [2, 2]);
        assert_eq!(order(&all[..1]), None);
        assert_eq!(order(&all[..2]).unwrap().interval, None);
    }
}
