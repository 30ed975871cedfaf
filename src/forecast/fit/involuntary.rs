//! Involuntary presses, from the time in which nothing was asked.

use super::DRAWS;
use super::notes::Notes;
use crate::advice::task::UNWANTED;
use crate::analysis::evidence::Evidence;
use crate::rng::Stream;
use crate::stats::gamma;

/// Guesses at the presses a second; the prior is that of the advice.
pub(super) fn guesses(evidence: &Evidence, notes: &mut Notes) -> Vec<f64> {
    let name = "involuntary presses";
    if evidence.quiet_s <= 0.0 {
        notes.assumed(name, "none", "there was no quiet watch");
        return vec![0.0; DRAWS];
    }
    let mut stream = Stream::named(0, "unwanted");
    let [shape, seconds] = [UNWANTED[0] + f64::from(evidence.involuntary), UNWANTED[1] + evidence.quiet_s];
    let rates: Vec<f64> = (0..DRAWS).map(|_| (gamma::draw(shape, &mut stream) / seconds).min(20.0)).collect();
    notes.guessed(name, "per min", rates.iter().map(|rate| 60.0 * rate), evidence.quiet_s as usize);
    rates
}

/// Their mean.
pub(super) fn mean(rates: &[f64]) -> f64 {
    rates.iter().sum::<f64>() / rates.len().max(1) as f64
}
