//! Expected time of a selection against the scan interval, and what the presses leave open of it.

use super::super::asked::Asked;
use super::super::curve::GIVEN_UP_S;
use super::super::presses::Pressing;
use super::super::recommendation::Recommendation;
use super::super::task::Task;
use crate::analysis::evidence::Evidence;
use crate::settings::Id;
use crate::stats::Sample;

/// Points of the curve.
const POINTS: usize = 72;

/// The curve on which the advised scan interval stands.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeCurve {
    /// From short to long intervals; those at which a guess never gets done are left out.
    pub points: Vec<TimePoint>,
    /// The scan interval in force at the end.
    pub in_force_s: f64,
}

/// The time of a selection at one interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimePoint {
    /// The scan interval.
    pub interval_s: f64,
    /// Expected time of a selection, errors and their recovery included, averaged over the guesses.
    pub seconds: f64,
    /// Its 90 % interval over the guesses.
    pub low_s: f64,
    /// The upper end.
    pub high_s: f64,
}

impl TimeCurve {
    /// Only beside an advised scan interval: without one the curve would be read as advice.
    pub(super) fn of(
        evidence: &Evidence,
        recommendations: &[Recommendation],
        guesses: &[Pressing],
    ) -> Option<TimeCurve> {
        let advised_s = recommendations.iter().find_map(|one| one.value_of(Id::ScanInterval))?;
        let task = Task::of(evidence, &Asked::default())?;
        let never_late = |_: usize, _: f64| 0.0;
        let search =
            task.search(guesses.len(), [0.5 * advised_s, 2.5 * advised_s], |guess, _| guesses[guess], never_late);
        let point = |interval_s: f64| {
            let seconds = (0..guesses.len()).map(|guess| (search.seconds)(guess, interval_s).min(GIVEN_UP_S));
            let seconds = Sample::new(seconds.collect()).ok()?;
            let (low_s, high_s) = (seconds.quantile(0.05), seconds.quantile(0.95));
            // Where one guess in twenty never gets done there is no curve to draw.
            (high_s < GIVEN_UP_S).then_some(TimePoint { interval_s, seconds: seconds.mean(), low_s, high_s })
        };
        let in_force_s = evidence.settings.scan_interval().as_seconds();
        let points: Vec<TimePoint> = intervals(advised_s, in_force_s).filter_map(point).collect();
        (points.len() > 2).then_some(TimeCurve { points, in_force_s })
    }
}

/// From half the advised interval to beyond it and the one in force, unless that is far off.
fn intervals(advised_s: f64, in_force_s: f64) -> impl Iterator<Item = f64> {
    let (from, to) = (0.5 * advised_s, (1.05 * in_force_s).clamp(1.6 * advised_s, 2.5 * advised_s));
    (0..POINTS).map(move |nth| from + (to - from) * nth as f64 / (POINTS - 1) as f64)
}

#[cfg(test)]
mod tests {
    use super::super::super::sample::{evidence, hit, lognormal};
    use super::super::super::{recommendation::Advice, recommendations};
    use super::super::Pictures;
    use super::*;

    #[test]
    fn the_curve_runs_through_what_the_advice_states() {
        let mut evidence = evidence();
        evidence.opportunities = lognormal(0.7, 0.3, 60).map(hit).collect();
        let list = recommendations(&evidence);
        let curve = Pictures::of(&evidence, &list).time_curve.unwrap();
        let Advice::Set { value, ref beside, .. } = list[0].advice else { panic!("{:?}", list[0]) };
        let stated = beside.iter().find(|one| one.name == "seconds per selection at this value").unwrap();
        let after = curve.points.iter().position(|point| point.interval_s >= value).unwrap();
        let [before, after] = [curve.points[after - 1], curve.points[after]];
        let part = (value - before.interval_s) / (after.interval_s - before.interval_s);
        let between = |of: fn(&TimePoint) -> f64| of(&before) + part * (of(&after) - of(&before));
        let [low, high] = stated.interval.unwrap();
        let pairs =
            [(between(|p| p.seconds), stated.value), (between(|p| p.low_s), low), (between(|p| p.high_s), high)];
        assert!(pairs.iter().all(|(shown, stated)| (shown / stated - 1.0).abs() < 0.01), "{pairs:?}");
    }

    #[test]
    fn without_an_advised_interval_there_is_no_curve() {
        let mut evidence = evidence();
        evidence.opportunities = lognormal(0.7, 0.3, 60).map(hit).collect();
        assert_eq!(Pictures::of(&evidence, &[]).time_curve, None);
    }
}
