//! Presses that repeat themselves: how many do, how fast, and how often.

use super::notes::Notes;
use crate::advice::gaps;
use crate::analysis::evidence::{Aim, Evidence};
use crate::sim::traits::{Traits, Tremor};
use crate::stats::{Level, Sample, proportion};

/// Presses further apart are no train (as in `advice::trains`).
const LONGEST_PERIOD_S: f64 = 0.45;

/// The client with the trains that were seen behind presses that were asked for.
pub(super) fn with(traits: Traits, evidence: &Evidence, notes: &mut Notes) -> Traits {
    let wanted = evidence.contacts.iter().filter(|contact| contact.aim == Aim::Wanted).count();
    let trains = seen(evidence);
    let Some(interval) = proportion::wilson(trains.len() as u64, wanted as u64, Level::NINETY) else {
        notes.assumed("presses that repeat themselves", "none", "no press was asked for");
        return traits;
    };
    let share = trains.len() as f64 / wanted as f64;
    notes.measured("presses that repeat themselves", "share", share, interval.ends(), wanted);
    let Ok(periods) = Sample::new(trains.iter().flatten().copied().collect()) else { return traits };
    let Ok(lengths) = Sample::new(trains.iter().map(|train| train.len() as f64 + 1.0).collect()) else { return traits };
    let hertz = 1.0 / periods.median();
    let fast = [0.95, 0.05].map(|p| 1.0 / periods.quantile(p));
    notes.measured("repeats, presses a second", "Hz", hertz, fast, periods.len());
    let many = [0.05, 0.95].map(|p| lengths.quantile(p));
    notes.measured("repeats, presses in a train", "presses", lengths.median(), many, lengths.len());
    let presses = libm::round(lengths.median()).clamp(2.0, 50.0) as u8;
    Traits {
        tremor: Tremor { share: super::notes::round(share), hertz: super::notes::round(hertz), presses },
        ..traits
    }
}

/// The periods of each train.
fn seen(evidence: &Evidence) -> Vec<Vec<f64>> {
    let mut trains: Vec<Vec<f64>> = Vec::new();
    let mut runs = false;
    for pair in gaps::pairs(evidence) {
        // A pair of presses that was asked for is none.
        let close = pair.second.aim != Aim::Wanted && pair.period_s() <= LONGEST_PERIOD_S;
        if close && pair.first.aim == Aim::Wanted {
            trains.push(vec![pair.period_s()]);
            runs = true;
        } else if close && runs {
            trains.last_mut().expect("a train runs").push(pair.period_s());
        } else {
            runs = false;
        }
    }
    trains
}
