//! The scan rate of a client who presses to the rhythm: from two measured intervals, or not at all.

use super::doubt::missing;
use super::optimum::{DRAWS, Optimum, Search};
use super::recommendation::{Advice, Recommendation, Sure};
use super::rhythm::{self, Aim, FEWEST};
use super::scan_rate::{flashing, named};
use super::task::Task;
use crate::analysis::suggestion::WANTED;
use crate::analysis::words::{percent, seconds};
use crate::settings::{Id, rounding};
use crate::stats::Sample;
use crate::stats::latency::Paced;

/// Where the interval of the best rate reaches so near the fastest one, it reaches its edge.
const EDGE: f64 = 1.05;

/// The best rate between the measured intervals, or what is missing.
pub(super) fn recommend(blank: Recommendation, presses: &[Paced], omitted: usize, task: &Task) -> Recommendation {
    match optimum(presses, omitted, task) {
        Some((best, aims, between)) => value(blank, presses.len(), &best, &aims, between),
        None => one_interval(blank, presses),
    }
}

/// What is best for presses that are timed, the guesses at their aim, and the intervals between which these hold.
fn optimum(presses: &[Paced], omitted: usize, task: &Task) -> Option<(Optimum, Vec<Aim>, [f64; 2])> {
    let (aims, between) = aims(presses, omitted)?;
    let best = search(&aims, between, task).optimum()?;
    Some((best, aims, between))
}

/// Guesses at the aim, and the intervals between which they hold.
pub(super) fn aims(presses: &[Paced], omitted: usize) -> Option<(Vec<Aim>, [f64; 2])> {
    let between = rhythm::measured(presses)?;
    Some((rhythm::draws(presses, omitted, DRAWS), between))
}

/// The search that the rate is chosen by.
pub(super) fn search<'a>(
    aims: &'a [Aim],
    between: [f64; 2],
    task: &'a Task,
) -> Search<impl Fn(usize, f64) -> f64 + Sync + 'a, impl Fn(usize, f64) -> f64 + Sync + 'a> {
    let late = |guess: usize, interval: f64| aims[guess].at(interval).late(interval);
    task.search(aims.len(), between, |guess, interval| aims[guess].at(interval), late)
}

fn value(blank: Recommendation, presses: usize, best: &Optimum, aims: &[Aim], measured: [f64; 2]) -> Recommendation {
    let taken = best.comfortable;
    let mean = |value: fn(&Aim) -> f64| aims.iter().map(value).sum::<f64>() / aims.len() as f64;
    let aim = mean(|aim| aim.lead) + mean(|aim| aim.share) * taken;
    let spread = aims.iter().map(|aim| aim.spread.at(taken)).sum::<f64>() / aims.len() as f64;
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
        next: next(best, measured, spread / taken),
        ..blank
    }
}

/// At the edge of what was measured the best may lie beyond it.
fn next(best: &Optimum, [fastest, _]: [f64; 2], spread: f64) -> String {
    let spread = format!("the spread of the presses is {} of the interval.", percent(spread));
    if best.interval[0] > EDGE * fastest {
        return format!("Try it in a confirm block of 10 selections before it goes home; {spread}");
    }
    let faster = rounding::up(Id::ScanInterval, fastest / EDGE);
    format!(
        "The best may be faster still than what was measured: run {WANTED} timed presses at \
         {} before it is settled; {spread}",
        seconds(faster)
    )
}

fn one_interval(blank: Recommendation, presses: &[Paced]) -> Recommendation {
    let middle = Sample::new(presses.iter().map(|press| press.latency).collect()).map_or(0.0, |sample| sample.median());
    let second = rhythm::second_rate(presses).filter(|(_, there)| *there < FEWEST);
    Recommendation {
        advice: Advice::more(
            second.map_or(WANTED, |_| FEWEST),
            second.map_or(0, |(_, there)| there),
            "timed presses at a second scan rate",
        ),
        why: format!(
            "Half of the presses came within {} of the highlight: they are timed to the rhythm, not reactions. \
             How they would follow another interval cannot be told from one.",
            seconds(middle.max(0.0))
        ),
        next: match second {
            Some((interval, there)) => missing(interval, there),
            None => format!("Run {WANTED} timed presses at a scan rate a quarter slower or faster."),
        },
        ..blank
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::asked::Asked;
    use crate::advice::sample::{self, paced};
    use crate::rng::Stream;

    fn found(intervals: [f64; 2]) -> Recommendation {
        aimed(0.02, intervals)
    }

    /// Presses that come `lead` and a tenth of the interval after the highlight.
    fn aimed(lead: f64, intervals: [f64; 2]) -> Recommendation {
        let mut stream = Stream::named(8, "rhythm advice");
        let press = |interval: f64| paced(interval, lead + 0.1 * interval + 0.08 * interval * stream.normal());
        let presses: Vec<Paced> = intervals.into_iter().flat_map(|one| [one; 30]).map(press).collect();
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
    fn at_the_fast_edge_a_faster_rate_is_to_be_measured() {
        assert!(found([3.0, 4.0]).next.starts_with("The best may be faster still"));
        // Half a second after the highlight, 0.4 s would be too fast.
        assert!(aimed(0.5, [0.4, 2.0]).next.starts_with("Try it"));
    }

    #[test]
    fn one_interval_asks_for_a_second() {
        assert!(matches!(
            found([1.0, 1.0]).advice,
            Advice::NotEnough { more: 12, of: "timed presses at a second scan rate" }
        ));
    }

    #[test]
    fn a_second_interval_that_was_begun_is_told_with_what_is_missing() {
        let timed = |interval: f64, count: usize| vec![paced(interval, 0.05); count];
        let presses = [timed(1.0, 20), timed(1.3, 6)].concat();
        let found = one_interval(Recommendation::keep("scan rate", 2, "", 26), &presses);
        assert!(matches!(found.advice, Advice::NotEnough { more: 2, .. }), "{found:?}");
        assert!(found.next.starts_with("At 1.30 s there were 6 presses"), "{}", found.next);
    }
}
