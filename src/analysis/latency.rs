//! Latencies of right presses: their course and their summary.

use super::findings::{Latency, Point};
use super::reading::Judged;
use crate::session::event::BlockKind;
use crate::session::trial::{Outcome, Press};
use crate::stats::{Sample, Tail};

/// The right presses of the trials that count, in order of the session.
///
/// Pairs of presses are left out: what stands as their latency is the gap between the two.
pub(super) fn series(trials: &[&Judged]) -> Vec<Point> {
    let aimed = trials.iter().filter(|judged| judged.counts() && judged.trial.kind != BlockKind::Repeat);
    aimed.flat_map(|judged| right(judged).map(|(press, latency_us)| point(judged, press, latency_us))).collect()
}

fn right<'a>(judged: &'a Judged) -> impl Iterator<Item = (&'a Press, i64)> {
    let presses = judged.trial.presses.iter().filter(|press| press.outcome == Outcome::Hit);
    presses.filter_map(|press| Some((press, press.latency_us?)))
}

fn point(judged: &Judged, press: &Press, latency_us: i64) -> Point {
    Point {
        at_s: press.pressed.0 as f64 / 1e6,
        latency_s: latency_us as f64 / 1e6,
        block: judged.trial.block,
        interrupted: judged.trial.interruption.is_some(),
    }
}

/// The summary of a series; `None` for an empty one.
pub(super) fn summary(series: &[Point]) -> Option<Latency> {
    let sample = Sample::new(series.iter().map(|point| point.latency_s).collect()).ok()?;
    let whole: Vec<i64> = series.iter().map(|point| libm::round(point.latency_s * 1e6) as i64).collect();
    let tail = Tail::of(&whole)?;
    Some(Latency {
        count: sample.len() as u32,
        lower_quartile_s: sample.quantile(0.25),
        median_s: sample.median(),
        upper_quartile_s: sample.quantile(0.75),
        mean_s: sample.mean(),
        sd_s: sample.sd(),
        cv: sample.cv(),
        p90_s: tail.p90 as f64 / 1e6,
        p95_s: tail.p95 as f64 / 1e6,
        p99_s: tail.p99 as f64 / 1e6,
        max_s: sample.greatest(),
        negative: series.iter().filter(|point| point.latency_s < 0.0).count() as u32,
    })
}
