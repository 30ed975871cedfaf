//! What it took to put errors right, by kind, from the trials in which that was done.
//!
//! After a late, early or wrong press that left the trial open (it opened a wrong group, or took nothing) it is the
//! time from that press to the right choice. After a wrong item, which ends the trial, it is the second try at the
//! same target, from the start of its scan. Passes that went by count as long as they lasted. Undoing what a wrong
//! item did is asked of nobody and so is not in here.

use super::findings::Recovered;
use super::reading::Judged;
use crate::session::trial::{Outcome, Trial};

/// One entry for each kind of error that was put right, in the order of `Outcome::ALL`. `trials` are in order.
pub(super) fn recovered(trials: &[&Judged]) -> Vec<Recovered> {
    let next = trials.iter().skip(1).map(|judged| Some(judged.trial)).chain([None]);
    let all: Vec<(Outcome, f64)> = trials
        .iter()
        .zip(next)
        .filter(|(judged, _)| judged.counts())
        .filter_map(|(judged, next)| Some((judged.trial.outcome, seconds(judged.trial, next)?)))
        .collect();
    let of = |error: Outcome| {
        let times: Vec<f64> = all.iter().filter(|(kind, _)| *kind == error).map(|(_, seconds)| *seconds).collect();
        (!times.is_empty()).then(|| Recovered {
            error: error.word().into(),
            count: times.len() as u32,
            mean_s: times.iter().sum::<f64>() / times.len() as f64,
        })
    };
    Outcome::ALL.into_iter().filter_map(of).collect()
}

/// What putting right what first went wrong in `trial` took; `None` where nothing did, or it was not put right.
fn seconds(trial: &Trial, next: Option<&Trial>) -> Option<f64> {
    match (trial.outcome, trial.reached) {
        (Outcome::Hit | Outcome::Aborted, _) => None,
        (Outcome::Omission, true) => {
            let lit = f64::from(trial.passes_missed) * f64::from(trial.count);
            Some(lit * trial.interval_us.as_seconds())
        }
        (_, true) => {
            let error = trial.presses.iter().find(|press| press.outcome != Outcome::Hit)?;
            Some(trial.ended.since(error.pressed).as_seconds())
        }
        (_, false) => {
            let again = next.filter(|next| next.attempt == 2 && next.target == trial.target && next.reached)?;
            Some(again.ended.since(again.began).as_seconds())
        }
    }
}
