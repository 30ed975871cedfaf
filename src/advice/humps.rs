//! Latencies in two humps: no distribution is fitted to them.
//!
//! Somebody who breathes with support can often press a breath switch in one phase only, and then waits
//! for it or just catches it. The mean lies where hardly any press does, so what follows from a
//! fitted distribution would be wrong; the 95 % quantile needs none. The test is the dip: root n times it
//! stays below the limit in 95 of 100 uniform samples, the least favourable ones with a single hump, and
//! in far more of the skewed ones that reactions give (Hartigan and Hartigan 1985; simulated by
//! `tests/reference/dip.py`).

use super::recommendation::{Advice, Named, Recommendation, Remark, Sure};
use crate::analysis::words::seconds;
use crate::session::setup::Setup;
use crate::settings::{Id, rounding};
use crate::stats::quantile_interval::quantile_interval;
use crate::stats::{Level, Sample, dip};

/// Root n times the dip beyond which there is more than one hump.
const LIMIT: f64 = 0.52;
/// Fewer presses do not show two humps.
const FEWEST: usize = 20;

/// Whether the latencies have more than one hump.
pub(crate) fn several(latencies: &Sample) -> bool {
    latencies.len() >= FEWEST && libm::sqrt(latencies.len() as f64) * dip::dip(latencies) > LIMIT
}

/// The 95 % quantile for an interval, and another technique or site for trial.
pub(super) fn recommend(blank: Recommendation, latencies: &Sample, setup: &Setup) -> Recommendation {
    let quantile = latencies.quantile(0.95);
    let range = quantile_interval(latencies, 0.95, Level::NINETY).map(|found| found.interval.ends());
    let tail = Named { name: "95 % quantile of latencies", value: quantile, unit: "s", interval: range };
    Recommendation {
        advice: Advice::Set {
            setting: Id::ScanInterval,
            value: rounding::up(Id::ScanInterval, quantile),
            unit: "s",
            interval: range,
            beside: vec![tail],
        },
        why: format!(
            "The latencies lie in two humps, so no distribution is fitted to them: 19 of 20 presses come within {}.",
            seconds(quantile)
        ),
        // A quantile of a mixture says little of how either hump would move.
        sure: Sure::Guess,
        cautions: vec![caution(setup)],
        next: "Try another technique or another site, and compare.".into(),
        ..blank
    }
}

fn caution(setup: &Setup) -> Remark {
    let text = if setup.is_breath() {
        "The presses of this breath switch come at two different times: perhaps in one phase of breathing only."
    } else {
        "The presses come at two different times after the highlight."
    };
    Remark {
        text: text.into(),
        remedy: "Watch whether breathing, a spasm or a second try sets the time of the press; a step scan, or a site \
                 that does not depend on it, may serve better."
            .into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    fn found(count: usize, seed: u64, draw: fn(&mut Stream) -> f64) -> bool {
        let mut stream = Stream::named(seed, "humps");
        several(&Sample::new((0..count).map(|_| draw(&mut stream)).collect()).unwrap())
    }

    fn reaction(stream: &mut Stream) -> f64 {
        0.5 + 0.06 * stream.normal() + 0.2 * stream.exponential()
    }

    #[test]
    fn one_hump_is_hardly_ever_taken_for_two() {
        let shares = [20, 60, 200].map(|count| (0..400).filter(|seed| found(count, *seed, reaction)).count());
        // At most 5 % are wanted; the simulation says far below 1 %.
        assert!(shares.iter().all(|wrong| *wrong <= 4), "{shares:?}");
    }

    #[test]
    fn one_phase_of_a_ventilator_is_seen() {
        // A third of the presses waits for the next phase, 1.2 s later.
        let phased = |stream: &mut Stream| reaction(stream) + if stream.unit() < 0.33 { 1.2 } else { 0.0 };
        let shares = [40, 60, 200].map(|count| (0..200).filter(|seed| found(count, *seed, phased)).count());
        assert!(shares[0] >= 120 && shares[1] >= 160 && shares[2] == 200, "{shares:?}");
    }

    #[test]
    fn a_breath_switch_is_known_by_its_words() {
        let setup = |switch: &str| Setup { switch: switch.into(), ..Setup::default() };
        assert!(setup("Sip and puff").is_breath() && !setup("button").is_breath());
        assert!(caution(&setup("puff")).text.contains("breathing"));
    }
}
