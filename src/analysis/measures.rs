//! What a set of trials came to.

use super::findings::{LeftOut, Measures, OutcomeShare};
use super::latency;
use super::reading::{Judged, LeftOut as Reason};
use super::recovery;
use crate::session::event::BlockKind;
use crate::session::trial::{Outcome, Trial};
use crate::stats::{Level, proportion};

/// The measures of `trials`, which are in order of the session.
pub(crate) fn measures(trials: &[&Judged]) -> Measures {
    let counted: Vec<&Trial> = trials.iter().filter(|judged| judged.counts()).map(|judged| judged.trial).collect();
    let series = latency::series(trials);
    Measures {
        trials: counted.len() as u32,
        left_out: left_out(trials),
        interrupted: counted.iter().filter(|trial| trial.interruption.is_some()).count() as u32,
        outcomes: outcomes(&counted),
        latency: latency::summary(&series),
        series,
        seconds_per_correct: per_correct(&counted, |trial| trial.ended.since(trial.began).as_seconds()),
        presses_per_correct: per_correct(&counted, |trial| trial.presses.len() as f64),
        recovered: recovery::recovered(trials),
    }
}

/// Each trial left out is counted once.
fn left_out(trials: &[&Judged]) -> LeftOut {
    let count = |reason| trials.iter().filter(|judged| judged.left_out() == Some(reason)).count() as u32;
    LeftOut {
        practice: count(Reason::Practice),
        prompted: count(Reason::Prompted),
        aborted: count(Reason::Aborted),
        excluded: count(Reason::Excluded),
    }
}

fn outcomes(counted: &[&Trial]) -> Vec<OutcomeShare> {
    let trials = counted.len() as u64;
    let kinds = Outcome::ALL.into_iter().filter(|outcome| *outcome != Outcome::Aborted);
    kinds
        .filter_map(|outcome| {
            let count = counted.iter().filter(|trial| trial.outcome == outcome).count() as u64;
            let interval = proportion::wilson(count, trials, Level::NINETY_FIVE)?;
            Some(OutcomeShare {
                outcome: outcome.word().into(),
                count: count as u32,
                share: count as f64 / trials as f64,
                low: interval.low,
                high: interval.high,
            })
        })
        .collect()
}

/// The sum of `cost` over all trials in which a target can be chosen, over the number that reached it.
fn per_correct(counted: &[&Trial], cost: impl Fn(&Trial) -> f64) -> Option<f64> {
    let choices = || {
        let kinds = [BlockKind::TimedPress, BlockKind::MenuTasks, BlockKind::Confirm];
        counted.iter().copied().filter(move |trial| kinds.contains(&trial.kind))
    };
    let reached = choices().filter(|trial| trial.reached).count();
    (reached > 0).then(|| choices().map(cost).sum::<f64>() / reached as f64)
}
