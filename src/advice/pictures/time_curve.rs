//! Expected time of a selection against the scan interval, and what the presses leave open of it.

use super::super::curve::Expected;
use super::super::hold_feedback;
use super::super::rate_curve::RateCurve;
use super::super::recommendation::Recommendation;
use crate::analysis::evidence::Evidence;
use crate::settings::Id;

/// A selection that takes longer counts as given up (common practice, no source).
const GIVEN_UP_S: f64 = 600.0;
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
    /// Expected time of a selection, errors and their recovery included: the mean over the guesses that the interval is
    /// chosen by.
    pub seconds: f64,
    /// Its 90 % interval over the guesses.
    pub low_s: f64,
    /// The upper end.
    pub high_s: f64,
}

impl TimeCurve {
    /// Only beside an advised scan interval: without one the curve would be read as advice. What the advised hold time
    /// adds to the interval moves the curve with it.
    pub(super) fn of(evidence: &Evidence, recommendations: &[Recommendation], curve: &RateCurve) -> Option<TimeCurve> {
        let advised_s = recommendations.iter().find_map(|one| one.value_of(Id::ScanInterval))?;
        let added_s = hold_feedback::advised_s(recommendations, evidence);
        let in_force_s = evidence.settings.scan_interval().as_seconds();
        let at = curve.at(intervals(advised_s, in_force_s).map(|interval_s| interval_s - added_s));
        // Where one guess in twenty never gets done there is no curve to draw.
        let drawn = at.into_iter().filter(|one| one.range[1] < GIVEN_UP_S);
        let point = |Expected { interval, seconds, range: [low_s, high_s] }| TimePoint {
            interval_s: interval + added_s,
            seconds,
            low_s,
            high_s,
        };
        let points: Vec<TimePoint> = drawn.map(point).collect();
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
    use super::super::super::asked::Asked;
    use super::super::super::recommendation::Advice;
    use super::super::super::sample::{evidence, hit, lognormal};
    use super::super::super::{recommendations, recommendations_for};
    use super::super::Pictures;
    use super::*;
    use crate::analysis::evidence::Opportunity;
    use crate::stats::normal;

    /// The curve runs through what the advice states, and is least where it is fastest safe.
    fn agree(evidence: &Evidence, asked: &Asked) {
        let list = recommendations_for(evidence, asked);
        let curve = Pictures::for_asked(evidence, &list, asked).time_curve.unwrap();
        let Advice::Set { value, interval: Some([low, high]), ref beside, .. } = list[0].advice else {
            panic!("{:?}", list[0])
        };
        assert!(low <= value && value <= high, "{value} in {low} to {high}");
        let named = |name: &str| beside.iter().find(|one| one.name == name).unwrap();
        let stated = named("seconds per selection at this value");
        let after = curve.points.iter().position(|point| point.interval_s >= value).unwrap();
        let [before, after] = [curve.points[after - 1], curve.points[after]];
        let part = (value - before.interval_s) / (after.interval_s - before.interval_s);
        let between = |of: fn(&TimePoint) -> f64| of(&before) + part * (of(&after) - of(&before));
        let [low, high] = stated.interval.unwrap();
        let pairs =
            [(between(|p| p.seconds), stated.value), (between(|p| p.low_s), low), (between(|p| p.high_s), high)];
        assert!(pairs.iter().all(|(shown, stated)| (shown / stated - 1.0).abs() < 0.01), "{pairs:?}");
        let least = curve.points.iter().min_by(|a, b| a.seconds.total_cmp(&b.seconds)).unwrap();
        let step = curve.points[1].interval_s - curve.points[0].interval_s;
        // The fastest safe value is rounded up to a twentieth of a second.
        let fastest = named("fastest safe").value;
        assert!(fastest - 0.05 - step < least.interval_s && least.interval_s < fastest + step, "{least:?} {fastest}");
    }

    fn reacting(count: u32) -> Evidence {
        Evidence { opportunities: lognormal(0.7, 0.3, count).map(hit).collect(), ..evidence() }
    }

    /// The presses of `latency`, by number and interval, half of them at a slower rate.
    fn at_two_rates(latency: impl Fn(u32, f64) -> f64) -> Evidence {
        let press = |nth: u32| {
            let interval_s = if nth.is_multiple_of(2) { 1.5 } else { 1.95 };
            Opportunity { interval_s, ..hit(latency(nth, interval_s)) }
        };
        Evidence { opportunities: (0..40).map(press).collect(), ..evidence() }
    }

    #[test]
    fn the_curve_is_the_one_that_was_chosen_on() {
        agree(&reacting(60), &Asked::default());
        let scatter = |nth: u32| 0.1 * normal::quantile((f64::from(nth) + 0.5) / 40.0);
        let doubtful = at_two_rates(|nth, interval| 0.6 + 0.1 * (interval - 1.5) + 1.5 * scatter(nth * 17 % 40));
        let chance = |evidence: &Evidence| format!("{:?}", recommendations(evidence)[0].cautions);
        assert!(chance(&doubtful).contains("the chance that the client times"), "{}", chance(&doubtful));
        agree(&doubtful, &Asked::default());
        // With unwanted activations, and under the lag of another controller.
        agree(
            &Evidence { involuntary: 2, lag_s: Some(0.02), ..reacting(30) },
            &Asked { home_lag_s: Some(0.3), ..Asked::default() },
        );
    }

    #[test]
    fn the_curve_of_a_client_who_times_is_drawn_as_far_as_it_is_known() {
        let scatter = |nth: u32| normal::quantile((f64::from(nth) + 0.5) / 40.0);
        let timed = at_two_rates(|nth, interval| 0.1 + 0.5 * (interval - 1.5) + 0.03 * scatter(nth * 17 % 40));
        let found = recommendations(&timed);
        assert!(found[0].why.contains("timed to the rhythm"), "{:?}", found[0]);
        let points = Pictures::of(&timed, &found).time_curve.unwrap().points;
        let ends = [points[0].interval_s, points[points.len() - 1].interval_s];
        assert!(ends[0] >= 1.5 / 1.1 && ends[1] <= 1.95 * 1.1, "{ends:?}");
    }

    #[test]
    fn where_a_quantile_is_advised_no_curve_was_chosen_on() {
        let humps = (0..60).map(|nth| hit(if nth % 2 == 0 { 0.6 } else { 1.8 } + 0.002 * f64::from(nth)));
        let evidence = Evidence { opportunities: humps.collect(), ..evidence() };
        let found = recommendations(&evidence);
        assert!(found[0].value_of(Id::ScanInterval).is_some() && found[0].why.contains("two humps"));
        assert_eq!(Pictures::of(&evidence, &found).time_curve, None);
    }

    #[test]
    fn without_an_advised_interval_there_is_no_curve() {
        assert_eq!(Pictures::of(&reacting(60), &[]).time_curve, None);
    }
}
