//! Time added to the first item: what the client needs there beyond the scan interval.
//!
//! It is the 95 % quantile of first-position latencies less the interval that the sheet takes, and
//! never below 0. No published optimum is known. Without data the time in force is left alone; half the
//! interval is named as the usual start, for whoever has to choose one.

use super::recommendation::{Advice, BEAR_A_TAIL, Named, Recommendation, Remark, Sure};
use crate::analysis::effects;
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::analysis::words::{percent, seconds};
use crate::settings::{Id, rounding};
use crate::stats::quantile_interval::quantile_interval;
use crate::stats::{Interval, Level, Sample};

/// Where the rule comes from.
const SOURCE: &str = "95 % quantile of first-position latencies less the scan interval; common practice, no source";
/// The usual start, as a share of the interval (common practice, no source).
const USUAL: f64 = 0.5;
/// More passes than this without a press make the value too short (common practice, no source).
const OMITTED: f64 = 0.10;

/// Advises the first-item time after a start; `interval_s` is the scan interval that the sheet takes.
#[must_use]
pub fn after_start(evidence: &Evidence, interval_s: f64) -> Recommendation {
    advise("first item after start", Id::FirstAfterStart, evidence, interval_s, |one| one.level == 0)
}

/// Advises the first-item time inside a group; `interval_s` is the scan interval that the sheet takes.
#[must_use]
pub fn in_group(evidence: &Evidence, interval_s: f64) -> Recommendation {
    advise("first item inside a group", Id::FirstInGroup, evidence, interval_s, |one| one.level > 0)
}

fn advise(
    rule: &'static str,
    id: Id,
    evidence: &Evidence,
    interval_s: f64,
    at: fn(&Opportunity) -> bool,
) -> Recommendation {
    let first = |one: &&Opportunity| one.position == 0 && one.moving() && at(one);
    let seen: Vec<&Opportunity> = evidence.opportunities.iter().filter(first).collect();
    let latencies: Vec<f64> = seen.iter().filter_map(|one| one.accepted_s()).collect();
    let blank = blank(rule, latencies.len());
    match Sample::new(latencies) {
        Ok(sample) if sample.len() >= BEAR_A_TAIL => {
            let omitted = seen.iter().filter(|one| one.omitted()).count();
            let level: Vec<Opportunity> =
                evidence.opportunities.iter().filter(|one| one.moving() && at(one)).copied().collect();
            let found = measured(blank, id, interval_s, &sample, omitted);
            Recommendation { figures: slower_than_others(&level), ..found }
        }
        _ => few(blank, id, interval_s),
    }
}

fn measured(blank: Recommendation, id: Id, interval_s: f64, sample: &Sample, omitted: usize) -> Recommendation {
    let slowest = sample.quantile(0.95);
    let value = rounding::up(id, (slowest - interval_s).max(0.0));
    let range = quantile_interval(sample, 0.95, Level::NINETY).map(|found| found.interval.ends());
    let name = "95 % quantile of first-item latencies";
    let beside = vec![Named { name, value: slowest, unit: "s", interval: range }];
    let interval = range.map(|range| range.map(|end| (end - interval_s).max(0.0)));
    Recommendation {
        advice: Advice::Set { setting: id, value, unit: "s", interval, beside },
        why: format!(
            "19 of 20 presses for the first item come within {}; at a scan rate of {} that asks for {} more.",
            seconds(slowest),
            seconds(interval_s),
            seconds(value)
        ),
        sure: range.map_or(Sure::Guess, |range| Sure::of(slowest, range, sample.len())),
        cautions: many_omitted(omitted, sample.len()),
        ..blank
    }
}

/// How much longer presses for a first item take than for the others of the level: without a
/// difference the scan interval itself may be what is short.
fn slower_than_others(level: &[Opportunity]) -> Vec<Named> {
    let named = |found: effects::Difference| Named {
        name: "first item slower than the others by",
        value: found.seconds,
        unit: "s",
        interval: found.interval.map(Interval::ends),
    };
    effects::first_entry(level).map(named).into_iter().collect()
}

fn many_omitted(omitted: usize, pressed: usize) -> Vec<Remark> {
    let share = omitted as f64 / (omitted + pressed) as f64;
    let remark = || Remark {
        text: format!("{} of first items went by without a press, so the time may be too short.", percent(share)),
        remedy: "Measure again with a first-item time twice as long.".into(),
    };
    (share > OMITTED).then(remark).into_iter().collect()
}

fn few(blank: Recommendation, id: Id, interval_s: f64) -> Recommendation {
    Recommendation {
        advice: Advice::more(BEAR_A_TAIL, blank.trials as usize, "presses for a first item"),
        why: format!(
            "Presses for a first item that were timed: {}; {BEAR_A_TAIL} are wanted. Half the scan interval, {}, is the \
             usual start where none is set.",
            blank.trials,
            seconds(rounding::up(id, USUAL * interval_s))
        ),
        next: "Run trials whose wanted item is the first of its group.".into(),
        ..blank
    }
}

fn blank(rule: &'static str, presses: usize) -> Recommendation {
    Recommendation::keep(rule, 1, SOURCE, presses)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, hit};
    use super::*;

    /// A hit of a first item.
    fn first(latency_s: f64, level: u8) -> Opportunity {
        Opportunity { position: 0, level, window_s: 3.0, ..hit(latency_s) }
    }

    fn value(found: &Recommendation) -> f64 {
        let Advice::Set { value, .. } = found.advice else { panic!("{found:?}") };
        value
    }

    #[test]
    fn it_is_what_the_slow_presses_need_beyond_the_interval() {
        let sample = Sample::new(vec![2.62; 20]).unwrap();
        let found = measured(blank("", 20), Id::FirstAfterStart, 2.0, &sample, 0);
        assert_eq!((value(&found), found.cautions.len()), (0.65, 0));
        assert_eq!(value(&measured(blank("", 20), Id::FirstAfterStart, 3.0, &sample, 0)), 0.0);
    }

    #[test]
    fn without_data_it_is_left_alone_and_the_usual_start_is_named() {
        let found = after_start(&evidence(), 2.0);
        assert_eq!(found.advice, Advice::NotEnough { more: 20, of: "presses for a first item" });
        assert!(found.why.contains("Half the scan interval, 1.00 s,"), "{}", found.why);
    }

    #[test]
    fn it_starts_from_the_interval_that_is_advised() {
        let mut evidence = evidence();
        evidence.opportunities = vec![first(1.1, 0); 20];
        assert_eq!([0.9, 1.0, 1.2].map(|interval_s| value(&after_start(&evidence, interval_s))), [0.2, 0.1, 0.0]);
    }

    #[test]
    fn what_the_place_does_is_told_beside_it() {
        let mut evidence = evidence();
        evidence.opportunities = vec![first(1.1, 0); 20];
        assert!(after_start(&evidence, 1.0).figures.is_empty(), "there is nothing to compare with");
        evidence.opportunities.extend([0.6, 0.8].map(hit));
        evidence.opportunities.push(Opportunity { level: 1, ..hit(9.0) });
        let [figure] = &after_start(&evidence, 1.0).figures[..] else { panic!("one figure") };
        assert!((figure.value - 0.4).abs() < 1e-9 && figure.interval.is_some(), "{figure:?}");
    }

    #[test]
    fn the_two_levels_are_told_apart() {
        let mut evidence = evidence();
        evidence.opportunities = vec![first(0.6, 1); 12];
        assert_eq!((in_group(&evidence, 2.0).trials, after_start(&evidence, 2.0).trials), (12, 0));
    }

    #[test]
    fn many_omissions_are_said() {
        assert_eq!((many_omitted(1, 19).len(), many_omitted(4, 16).len()), (0, 1));
    }
}
