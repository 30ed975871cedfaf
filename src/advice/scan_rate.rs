//! The scan rate: where a selection on this client's menu takes the least time.
//!
//! Two values come out. *Fastest safe* is the optimum, rounded up; *comfortable*, which the sheet
//! takes, is the slowest that costs at most 5 % more time, for the curve is flat on the slow side
//! and steep on the fast one. Beside them stands the published ratio of mean latency to interval.
//!
//! Right and late presses count, at their true latency: leaving out the late ones would make the
//! advice too fast. Omissions count as lapses. A client who presses to the rhythm instead of
//! reacting gets no advice from one interval.

use super::expected_time::{Pace, Ways};
use super::optimum::Optimum;
use super::recommendation::{Advice, Named, Recommendation, Remark, Sure};
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::analysis::suggestion::{CV_LIMIT, RATIO, WANTED};
use crate::analysis::words::{percent, seconds};
use crate::engine::pattern::Arrangement;
use crate::engine::tree::ItemIx;
use crate::session::trial::Outcome;
use crate::settings::{Id, Settings};
use crate::stats::{Interval, Level, Sample, student};

/// Where the rule comes from.
const SOURCE: &str =
    "least expected time of a selection; prior around mean latency / 0.65 (Simpson, Koester and LoPresti 2006)";
/// Fewer presses bear no value.
const FEWEST: usize = 8;
/// A median latency below this is no reaction (shortest reactions 100 to 150 ms; from memory).
const REACTION_S: f64 = 0.15;
/// Early presses above this share call for a caution (common practice, no source).
const EARLY_SHARE: f64 = 0.05;

/// Advises a scan interval.
#[must_use]
pub fn advise(evidence: &Evidence) -> Recommendation {
    let seen = Seen::of(evidence);
    match seen.bears(evidence) {
        Ok((sample, best)) => seen.recommend(&sample, &best),
        Err(Lack { more, of, why, next }) => {
            Recommendation { why, next, sure: Sure::Guess, advice: Advice::NotEnough { more, of }, ..seen.blank() }
        }
    }
}

/// What the advice rests on.
struct Seen {
    latencies: Vec<f64>,
    early: usize,
    omitted: usize,
}

/// Why the data bear no advice.
struct Lack {
    more: u32,
    of: &'static str,
    why: String,
    next: String,
}

impl Seen {
    fn of(evidence: &Evidence) -> Seen {
        let moving: Vec<&Opportunity> = evidence.opportunities.iter().filter(|one| one.moving()).collect();
        Seen {
            latencies: moving.iter().filter_map(|one| one.accepted_s()).collect(),
            early: moving.iter().filter(|one| one.pressed_as(Outcome::Early)).count(),
            omitted: moving.iter().filter(|one| one.omitted()).count(),
        }
    }

    /// The optimum, or what is missing.
    fn bears(&self, evidence: &Evidence) -> Result<(Sample, Optimum), Lack> {
        if self.latencies.len() < FEWEST {
            return Err(self.few());
        }
        let sample = Sample::new(self.latencies.clone()).map_err(|_| self.few())?;
        if sample.median() < REACTION_S {
            return Err(rhythm(&sample));
        }
        let ways = ways(evidence).ok_or_else(|| self.few())?;
        let best = Optimum::find(&sample, self.omitted, &ways, &pace(&evidence.settings)).ok_or_else(|| self.few())?;
        Ok((sample, best))
    }

    fn few(&self) -> Lack {
        let more = WANTED.saturating_sub(self.latencies.len()).max(1) as u32;
        Lack {
            more,
            of: "timed presses",
            why: format!(
                "Only {} right or late presses under a moving highlight were measured; {WANTED} are wanted.",
                self.latencies.len()
            ),
            next: format!("Run {more} more timed presses, slower if most of them were missed."),
        }
    }

    fn recommend(&self, sample: &Sample, best: &Optimum) -> Recommendation {
        let ratio = student::mean_interval(sample, Level::NINETY).map(|interval| interval.times(1.0 / RATIO));
        let beside = vec![
            named("fastest safe", best.fastest_safe, Some(best.interval)),
            named("mean latency over 0.65", sample.mean() / RATIO, ratio.map(Interval::ends)),
            named("95 % quantile of latencies", sample.quantile(0.95), None),
            named("seconds per selection at this value", best.comfortable_seconds, Some(best.comfortable_range)),
            Named { name: "presses that come too late", value: best.late, unit: "share", interval: None },
        ];
        Recommendation {
            advice: Advice::Set {
                setting: Id::ScanInterval,
                value: best.comfortable,
                unit: "s",
                interval: Some(best.comfortable_interval),
                beside,
            },
            why: format!(
                "At {} a selection takes {} on this menu, errors included, and {} of presses come too late. \
                 Faster than {} the errors cost more than the scan saves.",
                seconds(best.comfortable),
                seconds(best.comfortable_seconds),
                percent(best.late),
                seconds(best.fastest_safe)
            ),
            sure: Sure::of(best.exact, best.interval, sample.len()),
            cautions: self.cautions(sample, best),
            next: "Try it in a confirm block of 10 selections before it goes home.".into(),
            ..self.blank()
        }
    }

    fn blank(&self) -> Recommendation {
        Recommendation::keep("scan rate", 1, SOURCE, self.latencies.len() + self.omitted)
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
        let raw = libm::round(best.comfortable * 1e6) as i64;
        list.extend(Id::ScanInterval.setting().caution_at(raw).map(|text| Remark {
            text: text.into(),
            remedy: "Ask about epilepsy before using it; 0.35 s or slower is safe.".into(),
        }));
        list
    }
}

fn rhythm(sample: &Sample) -> Lack {
    Lack {
        more: WANTED as u32,
        of: "timed presses at a second scan rate",
        why: format!(
            "Half of the presses came within {} of the highlight: they are timed to the rhythm, not reactions. \
             How they would follow another interval cannot be told from one.",
            seconds(sample.median().max(0.0))
        ),
        next: format!("Run {WANTED} timed presses at a scan rate a quarter slower or faster."),
    }
}

/// The ways to the items of the client's menu as it is scanned; `None` when no item has a share of use.
pub(super) fn ways(evidence: &Evidence) -> Option<Ways> {
    let arrangement = Arrangement::new(&evidence.menu, &evidence.settings);
    let weights: Vec<_> = (0u16..).map(ItemIx).zip(arrangement.items().iter().map(|item| item.weight)).collect();
    Ways::new(&arrangement.tree, &weights)
}

/// The timings of the menu under these settings.
pub(super) fn pace(settings: &Settings) -> Pace {
    Pace {
        interval: settings.scan_interval().as_seconds(),
        first_at_top: settings.first_after_start().as_seconds(),
        first_inside: settings.first_in_group().as_seconds(),
        pause: settings.pause_after_selection().as_seconds(),
        // Without a limit the client takes the exit, which comes once a pass.
        loops_inside: settings.loops_inside().unwrap_or(1),
    }
}

fn named(name: &'static str, value: f64, interval: Option<[f64; 2]>) -> Named {
    Named { name, value, unit: "s", interval }
}

#[cfg(test)]
mod tests {
    use super::super::sample;
    use super::*;
    use crate::analysis::evidence::Response;
    use crate::rng::Stream;
    use crate::session::event::BlockKind;

    fn evidence(responses: impl IntoIterator<Item = Response>) -> Evidence {
        let opportunity = |response| Opportunity { response, ..sample::hit(0.0) };
        Evidence { opportunities: responses.into_iter().map(opportunity).collect(), ..sample::evidence() }
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
        let found = advise(&evidence(presses(60)));
        let Advice::Set { value, interval: Some([low, high]), ref beside, .. } = found.advice else {
            panic!("{found:?}")
        };
        assert!((0.9..1.5).contains(&value), "{value}");
        assert!(low < high && beside[0].value <= value);
        assert_eq!((found.trials, found.sure >= Sure::Fair), (60, true));
    }

    #[test]
    fn few_presses_none_at_all_and_only_omissions_bear_none() {
        for responses in [vec![], presses(1), presses(7), vec![Response::Omitted { window_s: 2.0 }; 20]] {
            let found = advise(&evidence(responses));
            assert!(matches!(found.advice, Advice::NotEnough { more: 1.., .. }), "{found:?}");
        }
    }

    #[test]
    fn equal_latencies_bear_a_value_that_is_a_number() {
        let found = advise(&evidence(vec![pressed(0.7, Outcome::Hit); 40]));
        assert!(value(&found).is_some_and(f64::is_finite), "{found:?}");
        assert!(!serde_json::to_string(&found).unwrap().contains("null,null"));
    }

    #[test]
    fn leaving_late_presses_out_would_make_it_faster() {
        let mut responses = presses(60);
        let on_time = value(&advise(&evidence(responses.clone()))).unwrap();
        responses.extend([1.9, 2.1, 2.3, 1.8].map(|late| pressed(late, Outcome::Late)));
        assert!(value(&advise(&evidence(responses))).unwrap() > on_time);
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
