//! How long the switch is held: lognormal, as the virtual client has it.

use super::notes::Notes;
use crate::analysis::evidence::{Aim, Evidence};
use crate::sim::traits::Traits;
use crate::stats::{Level, Sample, chi_square, student};

/// Fewer presses say nothing of their scatter (common practice, no source).
const FEWEST: usize = 5;

/// The client with the durations that were seen of presses that were asked for.
pub(super) fn with(traits: Traits, evidence: &Evidence, notes: &mut Notes) -> Traits {
    let wanted = evidence.contacts.iter().filter(|contact| contact.aim == Aim::Wanted);
    let logs = wanted.filter_map(|contact| contact.held_s).filter(|held| *held > 0.0).map(libm::log).collect();
    let Some((logs, sd)) = Sample::new(logs).ok().and_then(|logs| logs.sd().map(|sd| (logs, sd))) else {
        return unknown(traits, notes);
    };
    if logs.len() < FEWEST {
        return unknown(traits, notes);
    }
    let held_s = super::notes::round(libm::exp(logs.mean()).clamp(0.001, 60.0));
    let held_scatter = super::notes::round(sd.min(3.0));
    let median = student::mean_interval(&logs, Level::NINETY).map_or([held_s; 2], |i| i.ends().map(libm::exp));
    notes.measured("held, median", "s", held_s, median, logs.len());
    notes.measured("held, SD of ln", "", held_scatter, scatter(sd, logs.len()), logs.len());
    Traits { held_s, held_scatter, ..traits }
}

/// The interval of a standard deviation of Normal data.
fn scatter(sd: f64, count: usize) -> [f64; 2] {
    let freedom = count as f64 - 1.0;
    [0.95, 0.05].map(|p| sd * libm::sqrt(freedom / chi_square::quantile(p, freedom)))
}

fn unknown(traits: Traits, notes: &mut Notes) -> Traits {
    let value = format!("{} s, SD of ln {}", traits.held_s, traits.held_scatter);
    notes.assumed("held", &value, "fewer than 5 presses with a release were asked for");
    traits
}
