//! Headroom: what the settings of the sheet do when the client changes, for disease progresses.
//!
//! The same presses are taken to be a quarter and a half slower, or missed twice as often, with
//! the settings left alone. The limit is passed where 10 % of choices go wrong or a selection takes
//! 1.5 times today's expected time. It sets nothing: it says when to come back, and what would be set
//! then.

use super::contest::Entrant;
use super::curve::ninety;
use super::expected_time::{Pace, Recovery, Ways};
use super::recommendation::{Advice, Named, Recommendation, Remark, Sure};
use super::routes::weights;
use super::task::pace;
use super::timed::{Guess, Lack, Timed, changed};
use crate::analysis::evidence::Evidence;
use crate::analysis::words::{percent, seconds};
use crate::engine::pattern::Arrangement;
use crate::settings::Settings;
use crate::stats::Sample;

/// Where the rule comes from.
const SOURCE: &str = "limit at 10 % of choices wrong or 1.5 times today's time: common practice, no source";
/// Choices that may go wrong (common practice, no source).
const WRONG: f64 = 0.10;
/// How many times as long as today a selection may take (common practice, no source).
const LONGER: f64 = 1.5;
/// Slowing that is looked at, at most.
const MOST: f64 = 4.0;
/// Less headroom than this is little (common practice, no source).
const LITTLE: f64 = 1.25;

/// The menu under the settings of the sheet.
struct Scanned {
    ways: Ways,
    pace: Pace,
    recovery: Recovery,
}

/// How many times today's time a selection takes and how many go wrong, the median of the guesses: a
/// single guess in which errors never end would make a mean infinite.
#[derive(Clone, Copy, Debug, PartialEq)]
struct State {
    times: f64,
    wrong: f64,
}

/// Says how far `settings` carry.
#[must_use]
pub fn advise(evidence: &Evidence, timed: &Result<Timed, Lack>, settings: &Settings) -> Recommendation {
    let timed = match timed {
        Ok(timed) => timed,
        Err(lack) => return lack.refuse(blank(0)),
    };
    let blank = blank(timed.trials);
    let Some(scanned) = Scanned::new(evidence, settings, timed.recovery) else { return blank };
    let today = scanned.state(&timed.guesses, 1.0, 1.0);
    if !today.times.is_finite() || today.wrong > WRONG {
        return passed(blank, today);
    }
    let outlook = Outlook::of(&scanned, timed, today);
    let sure = |range| Sure::of(outlook.limit.unwrap_or(MOST), range, timed.latencies.len());
    Recommendation {
        advice: Advice::Note,
        why: outlook.told(),
        figures: outlook.figures(),
        sure: outlook.interval.map_or(Sure::Guess, sure),
        cautions: little(&outlook),
        next: "Measure again when choices go wrong more often.".into(),
        ..blank
    }
}

impl Scanned {
    fn new(evidence: &Evidence, settings: &Settings, recovery: Recovery) -> Option<Scanned> {
        let arrangement = Arrangement::new(&evidence.menu, settings);
        let ways = Ways::new(&arrangement.tree, &weights(&arrangement))?;
        Some(Scanned { ways, pace: pace(settings), recovery })
    }

    /// The state of a client who is so many times slower and misses so many times as often.
    fn state(&self, guesses: &[Guess], slower: f64, missed: f64) -> State {
        let then = || guesses.iter().map(|guess| changed(guess, slower, missed));
        let times = guesses.iter().zip(then()).map(|(today, then)| {
            let [today, then] = [*today, then].map(|guess| self.ways.seconds_with(&guess, &self.pace, &self.recovery));
            if today.is_finite() { then / today } else { f64::INFINITY }
        });
        State {
            times: median(times.collect()),
            wrong: median(then().map(|guess| self.ways.wrong(&guess, &self.pace)).collect()),
        }
    }

    /// How many times slower these guesses may become until the limit is passed, by halving; `None`
    /// where it is not, however slow they are.
    fn limit(&self, guesses: &[Guess]) -> Option<f64> {
        let passed = |slower: f64| {
            let then = self.state(guesses, slower, 1.0);
            then.wrong > WRONG || then.times > LONGER
        };
        let (mut low, mut high) = (1.0, MOST);
        if !passed(high) {
            return None;
        }
        for _ in 0..9 {
            let middle = f64::midpoint(low, high);
            if passed(middle) { high = middle } else { low = middle }
        }
        Some(low)
    }

    /// The scan rate that would be comfortable once the client is so many times slower.
    fn rate(&self, timed: &Timed, times: f64) -> Option<f64> {
        let latencies = Sample::new(timed.latencies.sorted().iter().map(|seconds| seconds * times).collect()).ok()?;
        let guesses = timed.guesses.iter().map(|guess| changed(guess, times, 1.0)).collect();
        let slower = Timed { latencies, guesses, ..*timed };
        Some(Entrant::new(&slower, &self.ways, &self.pace)?.interval)
    }
}

/// What comes when the client changes.
struct Outlook {
    today: State,
    /// A quarter slower, half as slow again.
    slower: [State; 2],
    missed: State,
    /// How many times slower the limit is passed, and the 90 % interval of it.
    limit: Option<f64>,
    interval: Option<[f64; 2]>,
    /// The scan rate to set then.
    then: Option<f64>,
}

impl Outlook {
    fn of(scanned: &Scanned, timed: &Timed, today: State) -> Outlook {
        let limit = scanned.limit(&timed.guesses);
        let each = timed.guesses.iter().map(|guess| scanned.limit(std::slice::from_ref(guess)).unwrap_or(MOST));
        Outlook {
            today,
            slower: [1.25, 1.5].map(|slower| scanned.state(&timed.guesses, slower, 1.0)),
            missed: scanned.state(&timed.guesses, 1.0, 2.0),
            limit,
            interval: ninety(each.collect()),
            then: limit.and_then(|limit| scanned.rate(timed, limit)),
        }
    }

    fn told(&self) -> String {
        let Some(limit) = self.limit else {
            return "Presses may become four times as slow without passing the limit.".into();
        };
        let range = self.interval.map_or_else(String::new, |[low, high]| {
            format!(" (90 %: {} to {})", percent(low - 1.0), percent(high - 1.0))
        });
        let then = match self.then {
            Some(then) => format!("Then set the scan rate to about {}.", seconds(then)),
            None => "No scan rate mends that: look at site and switch then.".into(),
        };
        format!(
            "Presses may become {} slower{range} before {} of choices go wrong or one takes half as long again. {then}",
            percent(limit - 1.0),
            percent(WRONG)
        )
    }

    fn figures(&self) -> Vec<Named> {
        let [quarter, half] = self.slower;
        let states = [
            ("25 % slower, time", "25 % slower, wrong choices", quarter),
            ("50 % slower, time", "50 % slower, wrong choices", half),
            ("twice the misses, time", "twice the misses, wrong choices", self.missed),
        ];
        let share = |name, value, interval| Named { name, value, unit: "share", interval };
        let mut list = vec![share("today, wrong choices", self.today.wrong, None)];
        for (time, wrong, state) in states {
            if state.times.is_finite() {
                list.push(Named { name: time, value: state.times, unit: "times today's", interval: None });
            }
            list.push(share(wrong, state.wrong, None));
        }
        let slower = |interval: [f64; 2]| interval.map(|times| times - 1.0);
        list.extend(
            self.limit.map(|limit| share("slowing that passes the limit", limit - 1.0, self.interval.map(slower))),
        );
        list.extend(self.then.map(|value| Named { name: "scan rate to set then", value, unit: "s", interval: None }));
        list
    }
}

/// Already beyond the limit: the settings do not fit.
fn passed(blank: Recommendation, today: State) -> Recommendation {
    Recommendation {
        advice: Advice::Note,
        why: if today.times.is_finite() {
            let wrong = percent(today.wrong);
            format!("None: at these settings {wrong} of choices go wrong; {} is the limit.", percent(WRONG))
        } else {
            "None: at these settings more goes wrong than can be put right.".into()
        },
        figures: vec![Named { name: "today, wrong choices", value: today.wrong, unit: "share", interval: None }],
        cautions: vec![Remark {
            text: "There is no headroom for a bad day.".into(),
            remedy: "Set a slower scan rate, or look at site, switch and pattern.".into(),
        }],
        ..blank
    }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    values[values.len() / 2]
}

fn little(outlook: &Outlook) -> Vec<Remark> {
    let remark = |limit: f64| Remark {
        text: format!("{} slower passes the limit: a bad day can.", percent(limit - 1.0)),
        remedy: "Set the next slower scan rate where days differ, and show the carers how.".into(),
    };
    outlook.limit.filter(|limit| *limit < LITTLE).map(remark).into_iter().collect()
}

fn blank(trials: usize) -> Recommendation {
    Recommendation::keep("headroom", 3, SOURCE, trials)
}

#[cfg(test)]
mod tests {
    use super::super::presses::Pressing;
    use super::super::sample;
    use super::*;
    use crate::rng::Stream;
    use crate::settings::Id;
    use crate::stats::latency::ExGaussian;

    fn evidence(count: usize) -> Evidence {
        let mut stream = Stream::named(5, "headroom");
        let latency = |_| 0.5 + 0.06 * stream.normal() + 0.2 * stream.exponential();
        Evidence { opportunities: (0..count).map(latency).map(sample::hit).collect(), ..sample::evidence() }
    }

    fn advise_at(evidence: &Evidence, interval_us: i64) -> Recommendation {
        let settings = evidence.settings.clone().with(Id::ScanInterval, interval_us);
        advise(evidence, &Timed::of(evidence), &settings)
    }

    fn figure(found: &Recommendation, name: &str) -> f64 {
        found.figures.iter().find(|one| one.name == name).unwrap_or_else(|| panic!("{found:?}")).value
    }

    #[test]
    fn the_limit_lies_where_one_press_in_ten_is_late() {
        // A list without first-item time, latency ex-Gaussian (500, 60, 200) ms, scaled: 10 % lie
        // beyond 1.5 s where 1.5/k is the 90 % quantile, 0.969517 s (scipy): k = 1.547162.
        let presses = Pressing { latency: ExGaussian { mu: 0.5, sigma: 0.06, tau: 0.2 }, strays: 0.0, lapses: 0.0 };
        let guess = Guess { presses, unwanted: 0.0 };
        let settings = sample::evidence().settings;
        let settings = settings.with(Id::Pattern, 1).with(Id::ScanInterval, 1_500_000).with(Id::FirstAfterStart, 0);
        let mut list = evidence(0);
        list.menu.top.entries = list.menu.items().into_iter().cloned().map(crate::menu::Node::Item).collect();
        list.menu.top.entries.iter_mut().for_each(|node| match node {
            crate::menu::Node::Item(item) => item.needs_confirming = false,
            crate::menu::Node::Group(_) => unreachable!("all are items"),
        });
        let scanned = Scanned::new(&list, &settings, Recovery::default()).unwrap();
        let found = scanned.limit(&[guess]).unwrap();
        assert!((found - 1.547_162).abs() < 0.01, "{found}");
    }

    #[test]
    fn slower_presses_go_wrong_more_often_and_a_slower_scan_is_named() {
        let found = advise_at(&evidence(60), 1_600_000);
        let wrong =
            ["today", "25 % slower", "50 % slower"].map(|when| figure(&found, &format!("{when}, wrong choices")));
        assert!(wrong[0] < wrong[1] && wrong[1] < wrong[2], "{wrong:?}");
        assert!(
            figure(&found, "scan rate to set then") > 1.6 && found.why.contains("Then set the scan rate"),
            "{found:?}"
        );
        assert!(figure(&found, "twice the misses, time") > 1.0);
    }

    #[test]
    fn a_scan_that_is_too_fast_today_has_none() {
        let found = advise_at(&evidence(60), 700_000);
        assert!(found.why.starts_with("None: ") && found.cautions.len() == 1, "{found:?}");
    }

    #[test]
    fn a_very_slow_scan_is_passed_by_nothing_that_is_looked_at() {
        let found = advise_at(&evidence(60), 20_000_000);
        assert!(found.why.contains("four times as slow") && found.cautions.is_empty(), "{found:?}");
    }

    #[test]
    fn few_presses_and_equal_ones_are_refused_and_hardly_different_ones_bear_numbers() {
        for count in [0, 1, 7] {
            assert!(matches!(advise_at(&evidence(count), 1_500_000).advice, Advice::NotEnough { .. }));
        }
        let hits = |step: f64| (0..30).map(|nth| sample::hit(0.7 + step * f64::from(nth % 2))).collect();
        let with = |step| Evidence { opportunities: hits(step), ..sample::evidence() };
        assert!(matches!(advise_at(&with(0.0), 1_500_000).advice, Advice::NotEnough { .. }));
        let found = advise_at(&with(0.002), 1_500_000);
        assert!(found.figures.iter().all(|one| one.value.is_finite()) && !found.why.contains("NaN"), "{found:?}");
    }
}
