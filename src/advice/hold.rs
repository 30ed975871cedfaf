//! The hold time: longer than most unwanted presses, shorter than nearly all wanted ones.
//!
//! Where the two overlap, a wanted press weighs more: the value never passes the 5 % quantile of
//! wanted durations, and where that stops too little there is none.

use super::recommendation::{Advice, BEAR_A_TAIL, Named, Recommendation, Remark, Sure};
use crate::analysis::evidence::{Aim, Evidence};
use crate::analysis::words::{percent, seconds};
use crate::settings::{Id, rounding};
use crate::stats::quantile_interval::quantile_interval;
use crate::stats::{Level, Sample};

/// Where the rule comes from.
const SOURCE: &str = "between the 95 % quantile of unwanted and the 5 % quantile of wanted durations; \
                 common practice, no source";
/// How much longer to watch for unwanted presses, in minutes (common practice, no source).
pub(super) const WATCH_MIN: u32 = 5;
/// A hold time that stops less than this share of unwanted presses is not worth its delay (common
/// practice, no source).
const WORTH: f64 = 0.5;

/// Advises a hold time.
#[must_use]
pub fn advise(evidence: &Evidence) -> Recommendation {
    let [wanted, unwanted] = [Aim::Wanted, Aim::Unwanted].map(|aim| durations(evidence, aim));
    let blank = blank(evidence, wanted.len() + unwanted.len());
    match (Sample::new(wanted), Sample::new(unwanted)) {
        (Ok(wanted), _) if wanted.len() < BEAR_A_TAIL => few(blank, wanted.len(), "presses that were asked for"),
        (Err(_), _) => few(blank, 0, "presses that were asked for"),
        (Ok(_), Err(_)) => unneeded(blank),
        (Ok(_), Ok(unwanted)) if unwanted.len() < BEAR_A_TAIL => few_unwanted(blank, unwanted.len()),
        (Ok(wanted), Ok(unwanted)) => between(blank, &wanted, &unwanted),
    }
}

/// Durations of the closed presses with this aim.
pub(super) fn durations(evidence: &Evidence, aim: Aim) -> Vec<f64> {
    evidence.contacts.iter().filter(|contact| contact.aim == aim).filter_map(|contact| contact.held_s).collect()
}

/// Nothing to stop: no ground for a hold time, nor for changing one in force.
fn unneeded(blank: Recommendation) -> Recommendation {
    Recommendation {
        advice: Advice::Keep,
        why: "No unwanted press was seen, so there is no ground for a hold time; it would add to every latency.".into(),
        ..blank
    }
}

fn few(blank: Recommendation, seen: usize, of: &'static str) -> Recommendation {
    Recommendation {
        advice: Advice::more(BEAR_A_TAIL, seen, of),
        why: format!("Timed {of}: {seen}; {BEAR_A_TAIL} are wanted to tell wanted from unwanted by length."),
        ..blank
    }
}

/// They cannot be asked for: only watching longer shows more of them.
fn few_unwanted(blank: Recommendation, seen: usize) -> Recommendation {
    Recommendation {
        advice: Advice::NotEnough { more: WATCH_MIN, of: "minutes of quiet watch" },
        why: format!("Timed unwanted presses: {seen}; {BEAR_A_TAIL} are wanted to place a hold time by."),
        ..blank
    }
}

fn between(blank: Recommendation, wanted: &Sample, unwanted: &Sample) -> Recommendation {
    let (low, high) = (unwanted.quantile(0.95), wanted.quantile(0.05));
    let value = Some(rounding::up(Id::Hold, low)).filter(|value| *value <= high);
    let value = value.unwrap_or_else(|| rounding::down(Id::Hold, high.max(0.0)));
    let stopped = Named::share_below("unwanted presses stopped", unwanted, value);
    let lost = Named::share_below("wanted presses lost", wanted, value);
    if value == 0.0 || stopped.value < WORTH {
        return overlap(blank, low, high);
    }
    let why = format!(
        "Held for {}, {} of unwanted presses are stopped and {} of wanted ones lost.",
        seconds(value),
        percent(stopped.value),
        percent(lost.value)
    );
    let interval = quantile_interval(unwanted, 0.95, Level::NINETY).map(|found| found.interval.ends());
    let beside = vec![
        stopped,
        lost,
        Named { name: "95 % quantile of unwanted durations", value: low, unit: "s", interval },
        Named { name: "5 % quantile of wanted durations", value: high, unit: "s", interval: lower(wanted) },
    ];
    let presses = wanted.len().min(unwanted.len());
    Recommendation {
        advice: set(value, interval, beside),
        why,
        sure: interval.map_or(Sure::Guess, |interval| Sure::of(low, interval, presses)),
        next: "Run the timed presses again with it: it adds to every latency, so the scan rate changes.".into(),
        ..blank
    }
}

fn overlap(blank: Recommendation, low: f64, high: f64) -> Recommendation {
    Recommendation {
        why: format!(
            "Unwanted presses last up to {} and wanted ones begin at {}: they overlap too much for any hold time.",
            seconds(low),
            seconds(high)
        ),
        next: "Try another site, switch or mounting, or a repeat lockout.".into(),
        ..blank
    }
}

fn lower(wanted: &Sample) -> Option<[f64; 2]> {
    quantile_interval(wanted, 0.05, Level::NINETY).map(|found| found.interval.ends())
}

fn set(value: f64, interval: Option<[f64; 2]>, beside: Vec<Named>) -> Advice {
    Advice::Set { setting: Id::Hold, value, unit: "s", interval, beside }
}

fn blank(evidence: &Evidence, presses: usize) -> Recommendation {
    Recommendation { cautions: in_force(evidence), ..Recommendation::keep("hold time", 1, SOURCE, presses) }
}

/// With a hold time in force the short presses that were meant are not among the wanted ones.
fn in_force(evidence: &Evidence) -> Vec<Remark> {
    let hold = evidence.settings.hold().as_seconds();
    let remark = || Remark {
        text: format!(
            "It was measured with a hold time of {}, which leaves out shorter wanted presses.",
            seconds(hold)
        ),
        remedy: "Measure once without a hold time.".into(),
    };
    (hold > 0.0).then(remark).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, lognormal, press};
    use super::*;

    fn with(wanted: impl Iterator<Item = f64>, unwanted: impl Iterator<Item = f64>) -> Recommendation {
        let mut evidence = evidence();
        wanted.for_each(|held| press(&mut evidence, Aim::Wanted, 2.0, held));
        unwanted.for_each(|held| press(&mut evidence, Aim::Unwanted, 2.0, held));
        advise(&evidence)
    }

    #[test]
    fn worked_value_of_two_lognormal_laws() {
        // Lognormal quantiles by scipy: unwanted (median 0.090, 0.5) 95 % at 0.204841, wanted
        // (median 0.400, 0.4) 5 % at 0.207167. No step lies between, so the one below is taken;
        // P(unwanted < 0.2) = 0.945 and P(wanted < 0.2) = 0.0416 by the same laws.
        let found = with(lognormal(0.4, 0.4, 2000), lognormal(0.09, 0.5, 2000));
        let Advice::Set { value, ref beside, .. } = found.advice else { panic!("{found:?}") };
        assert_eq!(value, 0.2);
        let near = |index: usize, wanted: f64, within: f64| (beside[index].value - wanted).abs() < within;
        assert!(near(0, 0.945, 1e-3) && near(1, 0.0416, 1e-3), "{beside:?}");
        assert!(near(2, 0.204841, 1e-3) && near(3, 0.207167, 1e-3), "{beside:?}");
    }

    #[test]
    fn well_apart_it_is_the_step_above_the_unwanted() {
        let found = with(lognormal(0.8, 0.2, 40), lognormal(0.09, 0.3, 40));
        assert!(matches!(found.advice, Advice::Set { value: 0.15, .. }), "{found:?}");
    }

    #[test]
    fn without_unwanted_presses_it_is_left_alone() {
        let found = with(lognormal(0.4, 0.4, 30), [].into_iter());
        assert!(found.advice == Advice::Keep && found.why.starts_with("No unwanted press"), "{found:?}");
    }

    #[test]
    fn alike_presses_have_no_hold_time_and_say_so() {
        let found = with(lognormal(0.3, 0.4, 40), lognormal(0.3, 0.4, 40));
        assert!(found.advice == Advice::Keep && found.why.contains("overlap too much"), "{found:?}");
    }

    #[test]
    fn few_presses_bear_no_value() {
        for (wanted, unwanted) in [(0, 0), (0, 20), (19, 20), (20, 19)] {
            let found = with(lognormal(0.4, 0.4, wanted), lognormal(0.09, 0.5, unwanted));
            assert!(matches!(found.advice, Advice::NotEnough { more: 1.., .. }), "{found:?}");
        }
    }

    #[test]
    fn a_hold_time_in_force_is_said() {
        let mut evidence = evidence();
        evidence.settings = evidence.settings.with(Id::Hold, 200_000);
        assert_eq!(advise(&evidence).cautions.len(), 1);
    }
}
