//! The scan rate: where a selection on this client's menu loses the least of the best time it could take.
//!
//! Two values come out. *Fastest safe* is the optimum, rounded up; *comfortable*, which the sheet
//! takes, is the slowest that costs at most 5 % more time, for the curve is flat on the slow side
//! and steep on the fast one. Beside them stands the published ratio of mean latency to interval.
//!
//! Right and late presses count, at their true latency: leaving out the late ones would make the
//! advice too fast. Omissions count as lapses; the other reading stands beside (`omissions`). A client who presses to the
//! rhythm instead of reacting gets advice from two intervals on (`rhythm`). Where the latencies
//! have two humps nothing is fitted (`humps`).
//!
//! The lag of screen and input is part of every latency. It is told and never taken off, unless the lag
//! of the controller at home is known: then it takes the place of the one measured here.

use super::asked::Asked;
use super::doubt::Doubt;
use super::omissions::Readings;
use super::optimum::Optimum;
use super::recommendation::{Advice, Named, Recommendation, Remark, Sure};
use super::seen::{Kind, Seen};
use super::task::Task;
use super::{alike, humps, rhythm_advice};
use crate::analysis::evidence::Evidence;
use crate::analysis::suggestion::{CV_LIMIT, RATIO, WANTED};
use crate::analysis::words::{percent, seconds};
use crate::settings::Id;
use crate::stats::{Interval, Level, Sample, student};

/// Where the rule comes from.
const SOURCE: &str = "least mean share of the best time lost, over many guesses; prior around mean latency / 0.65 \
                      (Simpson, Koester and LoPresti 2006)";
/// Early presses above this share call for a caution (common practice, no source).
const EARLY_SHARE: f64 = 0.05;

/// Advises a scan interval.
#[must_use]
pub fn advise(evidence: &Evidence) -> Recommendation {
    advise_for(evidence, &Asked::default())
}

/// Advises a scan interval, with what the clinician has added.
#[must_use]
pub fn advise_for(evidence: &Evidence, asked: &Asked) -> Recommendation {
    let seen = Seen::of(evidence, asked);
    let blank = Recommendation::keep("scan rate", 9, SOURCE, seen.latencies.len() + seen.omitted.len());
    let Ok(sample) = Sample::new(seen.latencies.clone()) else { return seen.few(blank) };
    let Some(task) = Task::of(evidence, asked) else { return seen.few(blank) };
    let told = match seen.kind(&sample) {
        Kind::Timed => rhythm_advice::recommend(blank, &seen.timed, seen.omitted.len(), &task),
        Kind::Few => seen.few(blank),
        Kind::Alike(why) => {
            let advice = Advice::more(WANTED, 0, "timed presses");
            Recommendation { advice, why, next: alike::REMEDY.into(), ..blank }
        }
        Kind::Humps => humps::recommend(blank, &sample, &evidence.setup),
        Kind::Reactions(doubt) => seen.reactions(blank, &sample, &doubt, &task),
    };
    with_lag(told, evidence, asked)
}

impl Seen {
    fn few(&self, blank: Recommendation) -> Recommendation {
        let presses = self.latencies.len();
        let advice = Advice::more(WANTED, presses, "timed presses");
        let Advice::NotEnough { more, .. } = advice else { unreachable!("more presses are wanted") };
        Recommendation {
            advice,
            why: match presses {
                0 => format!("No right or late press under a moving highlight was measured; {WANTED} are wanted."),
                _ => format!("Right or late presses under a moving highlight: {presses}; {WANTED} are wanted."),
            },
            next: match (presses, self.omitted.len()) {
                (0, 1..) => format!(
                    "Check that the switch answers and that the client knows what to do; then run {more} timed presses at \
                     a slower scan rate."
                ),
                _ => format!("Run {more} more timed presses, slower if most of them were missed."),
            },
            ..blank
        }
    }

    fn reactions(&self, blank: Recommendation, sample: &Sample, doubt: &Doubt, task: &Task) -> Recommendation {
        let timers = doubt.timers(&self.timed, self.omitted.len());
        let Some(readings) = Readings::of(sample, &self.omitted, &timers, task) else { return self.few(blank) };
        doubt.tell(self.recommend(blank, sample, &readings, task), &self.timed)
    }

    fn recommend(&self, blank: Recommendation, sample: &Sample, readings: &Readings, task: &Task) -> Recommendation {
        let best = &readings.lapses;
        Recommendation {
            advice: Advice::Set {
                setting: Id::ScanInterval,
                value: best.comfortable,
                unit: "s",
                interval: Some(best.comfortable_interval),
                beside: beside(sample, readings, task),
            },
            why: self.why(readings) + &late_limit(best, task) + &task.cost_of_errors(),
            sure: Sure::of(best.exact, best.interval, sample.len()),
            cautions: self.cautions(sample, best),
            next: "Try it in a confirm block of 10 selections before it goes home.".into(),
            ..blank
        }
    }

    fn why(&self, readings: &Readings) -> String {
        let best = &readings.lapses;
        let text = format!(
            "At {} a selection takes {} on this menu, errors included, and {} of presses come too late. \
             Faster than {} the errors cost more than the scan saves.",
            seconds(best.comfortable),
            seconds(best.comfortable_seconds),
            percent(best.late),
            seconds(best.fastest_safe)
        );
        let Some(withheld) = &readings.withheld else { return text };
        format!(
            "{text} {} went by without a press, and lapses are assumed; had late presses been held back, {} would be \
             better.",
            match self.omitted.len() {
                1 => "One lighting".into(),
                many => format!("{many} lightings"),
            },
            seconds(withheld.comfortable)
        )
    }

    fn cautions(&self, sample: &Sample, best: &Optimum) -> Vec<Remark> {
        let mut list = Vec::new();
        if let Some(cv) = sample.cv().filter(|cv| *cv > CV_LIMIT) {
            list.push(Remark {
                text: format!("The presses scatter widely: SD is {} of the mean.", percent(cv)),
                remedy: "Look at position, switch and fatigue; the published ratio is too fast here.".into(),
            });
        }
        let all = self.latencies.len() + self.early;
        // One early press may be chance.
        if self.early > 1 && self.early as f64 > EARLY_SHARE * all as f64 {
            list.push(Remark {
                text: format!("{} of {all} presses came before the item.", self.early),
                remedy:
                    "A slower scan does not mend these: ask whether they were meant, and try a longer first-item time."
                        .into(),
            });
        }
        list.extend(flashing(best.comfortable));
        list
    }
}

/// What a limit of late presses comes to for a selection, where one is set.
fn late_limit(best: &Optimum, task: &Task) -> String {
    let Some(limit) = task.late_limit else { return String::new() };
    let kept = if best.late <= limit + 1e-6 { "is kept" } else { "cannot be kept at any rate" };
    let selections = percent(task.late_selections(best.late));
    format!(" The limit of {} late presses {kept}; {selections} of selections have one.", percent(limit))
}

/// What the setting itself warns of at an interval.
pub(super) fn flashing(interval: f64) -> Option<Remark> {
    let raw = libm::round(interval * 1e6) as i64;
    Id::ScanInterval.setting().caution_at(raw).map(|text| Remark {
        text: text.into(),
        remedy: "Ask about epilepsy before using it; 0.35 s or slower is safe.".into(),
    })
}

fn beside(sample: &Sample, readings: &Readings, task: &Task) -> Vec<Named> {
    let best = &readings.lapses;
    let ratio = student::mean_interval(sample, Level::NINETY).map(|interval| interval.times(1.0 / RATIO));
    let share = |name, value| Named { name, value, unit: "share", interval: None };
    let mut list = vec![
        named("fastest safe", best.fastest_safe, Some(best.interval)),
        named("mean latency over 0.65", sample.mean() / RATIO, ratio.map(Interval::ends)),
        named("95 % quantile of latencies", sample.quantile(0.95), None),
        named("seconds per selection at this value", best.comfortable_seconds, Some(best.comfortable_range)),
        share("presses that come too late", best.late),
        share("selections with a press that comes too late", task.late_selections(best.late)),
    ];
    if let Some(withheld) = &readings.withheld {
        let interval = Some(withheld.comfortable_interval);
        list.push(named("if omissions are late presses held back", withheld.comfortable, interval));
    }
    list
}

/// The lag is told where it was measured; where only that at home is known, that it could not be used.
fn with_lag(mut told: Recommendation, evidence: &Evidence, asked: &Asked) -> Recommendation {
    if let (Advice::Set { beside, .. }, Some(lag)) = (&mut told.advice, evidence.lag_s) {
        beside.push(named("measured lag of screen and input", lag, None));
        beside.extend(asked.home_lag_s.map(|lag| named("lag of the controller at home", lag, None)));
    }
    if asked.home_lag_s.is_some() && evidence.lag_s.is_none() {
        told.cautions.push(Remark {
            text: "The lag of screen and input was not measured here, so that of the controller at home is not used."
                .into(),
            remedy: "Measure with a screen that reports its frames, or leave the lag out.".into(),
        });
    }
    told
}

pub(super) fn named(name: &'static str, value: f64, interval: Option<[f64; 2]>) -> Named {
    Named { name, value, unit: "s", interval }
}

#[cfg(test)]
mod tests {
    use super::super::rhythm::FEWEST;
    use super::super::sample;
    use super::*;
    use crate::analysis::evidence::{Opportunity, Response};
    use crate::rng::Stream;
    use crate::session::event::BlockKind;
    use crate::session::trial::Outcome;

    fn evidence(responses: impl IntoIterator<Item = Response>) -> Evidence {
        let opportunity = |response| Opportunity { response, ..sample::hit(0.0) };
        Evidence { opportunities: responses.into_iter().map(opportunity).collect(), ..sample::evidence() }
    }

    /// A third of them at a slower rate.
    fn at_two_rates(mut evidence: Evidence) -> Evidence {
        evidence.opportunities.iter_mut().for_each(|one| one.interval_s = 1.5);
        evidence.opportunities.iter_mut().step_by(3).for_each(|one| one.interval_s = 1.95);
        evidence
    }

    fn pressed(latency_s: f64, outcome: Outcome) -> Response {
        Response::Pressed { latency_s, held_s: 0.0, outcome }
    }

    fn presses(count: usize) -> Vec<Response> {
        let mut stream = Stream::named(9, "scan rate");
        (0..count).map(|_| pressed(0.5 + 0.06 * stream.normal() + 0.2 * stream.exponential(), Outcome::Hit)).collect()
    }

    fn value(recommendation: &Recommendation) -> Option<f64> {
        match recommendation.advice {
            Advice::Set { value, .. } => Some(value),
            _ => None,
        }
    }

    #[test]
    fn sixty_presses_bear_a_value_and_its_interval() {
        let found = advise(&at_two_rates(evidence(presses(60))));
        let Advice::Set { value, interval: Some([low, high]), ref beside, .. } = found.advice else {
            panic!("{found:?}")
        };
        assert!((0.9..1.5).contains(&value), "{value}");
        assert!(low < high && beside[0].value <= value);
        assert_eq!((found.trials, found.sure >= Sure::Fair), (60, true));
    }

    #[test]
    fn one_rate_is_told_and_its_interval_takes_in_what_was_measured() {
        let told = |caution: &Remark| caution.text.contains("at one scan rate, 2.00 s");
        let mut one = evidence(presses(60));
        let found = advise(&one);
        let Advice::Set { value, interval: Some([low, high]), .. } = found.advice else { panic!("{found:?}") };
        assert!(value < 1.6 && low < value && (high - 2.2).abs() < 1e-9, "{value} {low} {high}");
        assert!(found.sure == Sure::Guess && found.cautions.last().is_some_and(told), "{found:?}");
        one.opportunities.iter_mut().take(FEWEST - 1).for_each(|one| one.interval_s = 2.6);
        assert!(advise(&one).cautions.last().is_some_and(told), "too few at the second rate");
    }

    #[test]
    fn few_presses_none_at_all_and_only_omissions_bear_none() {
        for responses in [vec![], presses(1), presses(7), vec![Response::Omitted { window_s: 2.0 }; 20]] {
            let found = advise(&evidence(responses));
            assert!(matches!(found.advice, Advice::NotEnough { more: 1.., .. }), "{found:?}");
        }
    }

    #[test]
    fn equal_latencies_bear_no_value_and_hardly_different_ones_a_number() {
        let found = advise(&evidence(vec![pressed(0.7, Outcome::Hit); 40]));
        assert!(value(&found).is_none() && found.why.starts_with("All 40 latencies are alike"), "{found:?}");
        let found = advise(&evidence((0..40).map(|nth| pressed(0.7 + 0.002 * f64::from(nth % 2), Outcome::Hit))));
        assert!(value(&found).is_some_and(f64::is_finite), "{found:?}");
        assert!(!serde_json::to_string(&found).unwrap().contains("null,null"));
    }

    #[test]
    fn a_session_without_a_press_asks_to_look_at_switch_and_task() {
        let found = advise(&evidence(vec![Response::Omitted { window_s: 2.0 }; 20]));
        assert!(found.next.contains("switch answers") && found.why.starts_with("No right or late press"), "{found:?}");
    }

    #[test]
    fn leaving_late_presses_out_would_make_it_faster() {
        let mut responses = presses(60);
        let on_time = value(&advise(&evidence(responses.clone()))).unwrap();
        responses.extend([1.9, 2.1, 2.3, 1.8].map(|late| pressed(late, Outcome::Late)));
        assert!(value(&advise(&evidence(responses))).unwrap() > on_time);
    }

    #[test]
    fn a_late_limit_slows_the_scan_and_is_told_by_selection() {
        let evidence = evidence(presses(60));
        let asked = Asked { late_limit: Some(0.01), ..Asked::default() };
        let (free, limited) = (advise(&evidence), advise_for(&evidence, &asked));
        assert!(value(&limited) > value(&free), "{limited:?}");
        assert!(limited.why.contains("The limit of 1 % late presses is kept"), "{}", limited.why);
        assert!(!free.why.contains("limit"));
    }

    #[test]
    fn the_lag_is_told_and_only_that_at_home_moves_the_value() {
        let shown = Evidence { lag_s: Some(0.02), ..evidence(presses(60)) };
        let told = |found: &Recommendation| format!("{:?}", found.advice).contains("measured lag");
        let (plain, here) = (advise(&evidence(presses(60))), advise(&shown));
        assert_eq!((value(&plain), told(&plain), told(&here)), (value(&here), false, true));
        let home = Asked { home_lag_s: Some(0.22), ..Asked::default() };
        assert!(value(&advise_for(&shown, &home)) >= value(&here).map(|value| value + 0.15));
        let unknown = advise_for(&evidence(presses(60)), &home);
        assert_eq!(value(&unknown), value(&plain));
        assert!(unknown.cautions.iter().any(|one| one.text.contains("was not measured")));
    }

    #[test]
    fn unwanted_activations_cost_most_where_the_scan_is_slow() {
        let quiet = evidence(presses(60));
        let busy = Evidence { involuntary: 12, ..quiet.clone() };
        assert!(value(&advise(&busy)) < value(&advise(&quiet)));
    }

    #[test]
    fn two_humps_bear_a_quantile_only() {
        let mut stream = Stream::named(2, "humps");
        let late = |nth: u32| if nth.is_multiple_of(2) { 1.2 } else { 0.0 };
        let responses = (0..60).map(|nth| pressed(0.6 + late(nth) + 0.06 * stream.normal(), Outcome::Hit));
        let found = advise(&evidence(responses.collect::<Vec<_>>()));
        assert!(found.why.contains("two humps") && value(&found).is_some_and(|value| value >= 1.8), "{found:?}");
    }

    #[test]
    fn presses_to_the_rhythm_ask_for_a_second_interval() {
        let found = advise(&evidence((0..30).map(|i| pressed(-0.02 + 0.004 * f64::from(i), Outcome::Hit))));
        assert!(matches!(found.advice, Advice::NotEnough { of: "timed presses at a second scan rate", .. }));
    }

    #[test]
    fn reactions_to_a_single_light_do_not_count() {
        let mut alone = evidence(presses(40));
        alone.opportunities.iter_mut().for_each(|one| one.kind = BlockKind::Reaction);
        assert_eq!(value(&advise(&alone)), None);
    }
}
