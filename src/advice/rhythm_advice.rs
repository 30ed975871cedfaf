//! The scan rate of a client who presses to the rhythm: from two measured intervals, or not at all.

use super::optimum::{DRAWS, Optimum};
use super::recommendation::{Advice, Recommendation, Sure};
use super::rhythm::{self, Timed};
use super::scan_rate::{flashing, named};
use super::task::Task;
use crate::analysis::suggestion::WANTED;
use crate::analysis::words::{percent, seconds};
use crate::settings::Id;
use crate::stats::Sample;

/// The least expected time between the measured intervals, or what is missing.
pub(super) fn recommend(blank: Recommendation, presses: &[Timed], omitted: usize, task: &Task) -> Recommendation {
    let Some(between) = rhythm::measured(presses) else { return one_interval(blank, presses) };
    let aims = rhythm::draws(presses, omitted, DRAWS);
    let late = |guess: usize, interval: f64| aims[guess].at(interval).late(interval);
    let found = task.search(aims.len(), between, |guess, interval| aims[guess].at(interval), late).optimum();
    match found {
        Some(best) => value(blank, presses.len(), &best, &aims),
        None => one_interval(blank, presses),
    }
}

fn value(blank: Recommendation, presses: usize, best: &Optimum, aims: &[rhythm::Aim]) -> Recommendation {
    let taken = best.comfortable;
    let mean = |value: fn(&rhythm::Aim) -> f64| aims.iter().map(value).sum::<f64>() / aims.len() as f64;
    let aim = mean(|aim| aim.lead) + mean(|aim| aim.share) * taken;
    Recommendation {
        advice: Advice::Set {
            setting: Id::ScanInterval,
            value: taken,
            unit: "s",
            interval: Some(best.comfortable_interval),
            beside: vec![
                named("fastest safe", best.fastest_safe, Some(best.interval)),
                named("seconds per selection at this value", best.comfortable_seconds, Some(best.comfortable_range)),
                named("aim after the highlight at this value", aim, None),
            ],
        },
        why: format!(
            "The presses are timed to the rhythm: the aim moves by {} for every second of the interval, and at {} it \
             lies {} after the highlight. A selection then takes {} on this menu, errors included.",
            seconds(mean(|aim| aim.share)),
            seconds(taken),
            seconds(aim),
            seconds(best.comfortable_seconds)
        ),
        // A straight line through two intervals is believed less than what was measured.
        sure: Sure::of(best.exact, best.interval, presses).min(Sure::Fair),
        cautions: flashing(taken).into_iter().collect(),
        next: format!(
            "Try it in a confirm block of 10 selections before it goes home; the spread of the presses is {} of the \
             interval.",
            percent(mean(|aim| aim.spread))
        ),
        ..blank
    }
}

fn one_interval(blank: Recommendation, presses: &[Timed]) -> Recommendation {
    let middle = Sample::new(presses.iter().map(|press| press.latency).collect()).map_or(0.0, |sample| sample.median());
    Recommendation {
        advice: Advice::NotEnough { more: WANTED as u32, of: "timed presses at a second scan rate" },
        why: format!(
            "Half of the presses came within {} of the highlight: they are timed to the rhythm, not reactions. \
             How they would follow another interval cannot be told from one.",
            seconds(middle.max(0.0))
        ),
        next: format!("Run {WANTED} timed presses at a scan rate a quarter slower or faster."),
        ..blank
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::asked::Asked;
    use crate::advice::sample;
    use crate::rng::Stream;

    fn found(intervals: [f64; 2]) -> Recommendation {
        let mut stream = Stream::named(8, "rhythm advice");
        let press =
            |interval: f64| Timed { interval, latency: 0.02 + 0.1 * interval + 0.08 * interval * stream.normal() };
        let presses: Vec<Timed> = intervals.into_iter().flat_map(|one| [one; 30]).map(press).collect();
        let task = Task::of(&sample::evidence(), &Asked::default()).unwrap();
        recommend(Recommendation::keep("scan rate", 2, "", 60), &presses, 0, &task)
    }

    #[test]
    fn two_intervals_bear_a_value_between_them() {
        let found = found([1.0, 2.0]);
        let value = found.value_of(Id::ScanInterval).unwrap();
        assert!((0.9..=2.2).contains(&value), "{found:?}");
        assert!(found.why.contains("for every second of the interval") && found.sure <= Sure::Fair);
    }

    #[test]
    fn one_interval_asks_for_a_second() {
        assert!(matches!(
            found([1.0, 1.0]).advice,
            Advice::NotEnough { of: "timed presses at a second scan rate", .. }
        ));
    }
}
