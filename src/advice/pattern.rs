//! The scan pattern: the client's own menu arranged each way, and what a selection takes in each.
//!
//! Each pattern stands at its own comfortable scan interval, on the same guesses at how the client
//! presses. Another pattern has to be learnt anew, so it is proposed only where it saves at least a
//! tenth of the time, is likely to save at all, and saves a good deal with each further press. The
//! press at a second level is taken to be as good as the one that was measured.

use super::contest::{Entrant, Gain, chances};
use super::expected_time::{Recovery, Ways};
use super::recommendation::{Advice, Named, Recommendation, Remark, Sure};
use super::routes::weights;
use super::task::pace;
use super::timed::{Lack, Timed};
use crate::analysis::evidence::Evidence;
use crate::analysis::words::seconds;
use crate::engine::pattern::Arrangement;
use crate::settings::Id;

/// Where the rule comes from.
const SOURCE: &str = "expected time on this menu, errors included; another pattern has to save 10 % of it, with a \
                      chance of 90 % to save at all, and 2 s with each further press: common practice, no source";

/// A pattern that is compared, with the names of its figures.
struct Candidate {
    /// Its name in files.
    name: &'static str,
    /// Its number among the choices of the setting.
    raw: i64,
    figures: [&'static str; 4],
}

macro_rules! candidate {
    ($name:literal, $raw:literal) => {
        Candidate {
            name: $name,
            raw: $raw,
            figures: [
                concat!($name, ", time"),
                concat!($name, ", switch hits"),
                concat!($name, ", its scan rate"),
                concat!($name, ", chance of being the fastest"),
            ],
        }
    };
}

/// The last is compared only where it is in force.
const CANDIDATES: [Candidate; 4] =
    [candidate!("linear", 1), candidate!("row-column", 2), candidate!("group-item", 4), candidate!("column-row", 3)];

/// A pattern on the client's menu.
struct Arranged {
    candidate: &'static Candidate,
    /// It is what is scanned now.
    in_force: bool,
    entrant: Entrant,
}

/// Advises a pattern.
#[must_use]
pub fn advise(evidence: &Evidence, timed: &Result<Timed, Lack>) -> Recommendation {
    let timed = match timed {
        Ok(timed) => timed,
        Err(lack) => return lack.refuse(blank(0)),
    };
    let blank = blank(timed.trials);
    let all = arranged(evidence, timed);
    let Some(now) = all.iter().find(|one| one.in_force) else { return hopeless(blank) };
    let others = all.iter().filter(|one| !one.in_force);
    let gains = others.filter_map(|other| Some((other, Gain::of(&now.entrant, &other.entrant)?)));
    let Some((best, gain)) = gains.max_by(|(_, one), (_, two)| one.share.total_cmp(&two.share)) else {
        return Recommendation {
            why: "No other pattern arranges this menu in a way that can be used.".into(),
            ..blank
        };
    };
    let told = gain.told((now.candidate.name, &now.entrant), (best.candidate.name, &best.entrant));
    let why = format!("{told} Each stands at its own best scan rate.");
    if !gain.worth_it() {
        return Recommendation { why, figures: figures(&all), ..blank };
    }
    let range = best.entrant.range().unwrap_or([f64::NEG_INFINITY, f64::INFINITY]);
    Recommendation {
        advice: Advice::Choose { setting: Id::Pattern, choice: best.candidate.name.into(), beside: figures(&all) },
        why,
        sure: Sure::of(best.entrant.mean(), range, timed.latencies.len()),
        cautions: vec![learnt_anew(best)],
        next: "Run menu tasks with it, and go by what these say.".into(),
        ..blank
    }
}

/// The patterns that can be used, each arrangement once: the one in force first, where it is alike.
fn arranged(evidence: &Evidence, timed: &Timed) -> Vec<Arranged> {
    // Wrong groups were seen under the pattern in force alone, so that each stands at what its timings make of them.
    let timed = Timed { recovery: Recovery { wrong_group: None, ..timed.recovery }, ..timed.clone() };
    let now = Arrangement::new(&evidence.menu, &evidence.settings);
    let mut seen = Vec::new();
    let mut all = Vec::new();
    for candidate in &CANDIDATES {
        let arrangement = Arrangement::new(&evidence.menu, &evidence.settings.clone().with(Id::Pattern, candidate.raw));
        let in_force = arrangement.tree == now.tree;
        if seen.contains(&arrangement.tree) || (candidate.name == "column-row" && !in_force) {
            continue;
        }
        let ways = Ways::new(&arrangement.tree, &weights(&arrangement));
        let entrant = ways.and_then(|ways| Entrant::new(&timed, &ways, &pace(&evidence.settings)));
        all.extend(entrant.map(|entrant| Arranged { candidate, in_force, entrant }));
        seen.push(arrangement.tree);
    }
    all
}

fn figures(all: &[Arranged]) -> Vec<Named> {
    let chances = chances(&all.iter().map(|one| &one.entrant).collect::<Vec<_>>());
    let each = all.iter().zip(chances).map(|(one, chance)| {
        let [time, hits, rate, fastest] = one.candidate.figures;
        [
            Named { name: time, value: one.entrant.mean(), unit: "s", interval: one.entrant.range() },
            Named { name: hits, value: one.entrant.hits, unit: "hits", interval: None },
            Named { name: rate, value: one.entrant.interval, unit: "s", interval: None },
            Named { name: fastest, value: chance, unit: "share", interval: None },
        ]
    });
    each.flatten().collect()
}

fn learnt_anew(best: &Arranged) -> Remark {
    Remark {
        text: "Another pattern has to be learnt, and its scan rate is another one.".into(),
        remedy: format!(
            "Set the scan rate to {} with it, and allow for practice before it is judged.",
            seconds(best.entrant.interval)
        ),
    }
}

fn hopeless(blank: Recommendation) -> Recommendation {
    Recommendation {
        advice: Advice::Note,
        why: "With these presses more goes wrong on this menu than can be put right, at any scan rate.".into(),
        next: "Try another site or switch first.".into(),
        ..blank
    }
}

fn blank(trials: usize) -> Recommendation {
    Recommendation::keep("pattern", 4, SOURCE, trials)
}

#[cfg(test)]
mod tests {
    use super::super::expected_time::Pace;
    use super::super::presses::Pressing;
    use super::super::sample;
    use super::*;
    use crate::analysis::evidence::{Opportunity, Response};
    use crate::menu::{self, shipped};
    use crate::rng::Stream;
    use crate::stats::latency::ExGaussian;

    /// The household menu of the worked example: eight items by use.
    fn household() -> menu::Menu {
        let weights = [28, 22, 14, 12, 10, 7, 4, 3];
        let items: Vec<String> = weights
            .iter()
            .enumerate()
            .map(|(i, weight)| format!(r#"{{"id":"i{i}","label":"L{i}","icon":"lamp","weight":{weight}}}"#))
            .collect();
        let text = format!(
            r#"{{"format":"pacewright menu","version":1,"name":"n","home":[],"entries":[{}]}}"#,
            items.join(",")
        );
        menu::file::read("household", text).0.unwrap()
    }

    fn evidence(menu: menu::Menu, count: usize, scale: f64) -> Evidence {
        let mut stream = Stream::named(9, "pattern");
        let latency = |_| scale * (0.5 + 0.04 * stream.normal() + 0.08 * stream.exponential());
        let opportunities = (0..count).map(latency).map(sample::hit).collect();
        Evidence { menu, opportunities, ..sample::evidence() }
    }

    fn advise_on(evidence: &Evidence) -> Recommendation {
        advise(evidence, &Timed::of(evidence))
    }

    #[test]
    fn times_without_errors_are_those_of_the_worked_example() {
        // T = 1 s, latency 0.65 s, no errors: a list takes 2.71 s, or 3.07 s with a first-item time
        // of 0.5 s; two rows of four filled in order of use take 3.34 steps, which is 2.64 s. By hand.
        let seconds = |raw, first| {
            let settings = sample::evidence().settings.with(Id::Pattern, raw);
            let arrangement = Arrangement::new(&household(), &settings);
            let sharp = Pressing { latency: ExGaussian { mu: 0.65, sigma: 1e-6, tau: 1e-6 }, strays: 0.0, lapses: 0.0 };
            let pace = Pace { interval: 1.0, first_at_top: first, first_inside: first, pause: 0.0, loops_inside: 2 };
            Ways::new(&arrangement.tree, &weights(&arrangement)).unwrap().seconds(&sharp, &pace)
        };
        assert!((seconds(1, 0.0) - 2.71).abs() < 1e-4 && (seconds(1, 0.5) - 3.07).abs() < 1e-4);
        assert!((seconds(2, 0.0) - 2.64).abs() < 1e-4, "{}", seconds(2, 0.0));
    }

    #[test]
    fn times_with_errors_are_those_of_the_worked_example() {
        // At the published ratio 5.84481 % of presses of the ex-Gaussian (500, 60, 200) ms are late; each
        // wrong item costs an undo and a redo: (2.06 + 0.65) T / (1 − 2 · 0.0584481), T = 0.7/0.65 s.
        let arrangement = Arrangement::new(&household(), &sample::evidence().settings.with(Id::Pattern, 1));
        let guess = Pressing { latency: ExGaussian { mu: 0.5, sigma: 0.06, tau: 0.2 }, strays: 0.0, lapses: 0.0 };
        let interval = 0.7 / 0.65;
        let pace = Pace { interval, first_at_top: 0.0, first_inside: 0.0, pause: 0.0, loops_inside: 2 };
        let found = Ways::new(&arrangement.tree, &weights(&arrangement)).unwrap().seconds(&guess, &pace);
        assert!((found / interval - 2.71 / (1.0 - 2.0 * 0.058_448_1)).abs() < 1e-5, "{found}");
    }

    #[test]
    fn a_short_list_by_use_is_kept_and_its_figures_are_told() {
        let found = advise_on(&evidence(household(), 60, 1.0));
        assert_eq!(found.advice, Advice::Keep, "{found:?}");
        let fastest: f64 = found.figures.iter().filter(|one| one.unit == "share").map(|one| one.value).sum();
        assert!((fastest - 1.0).abs() < 1e-9 && found.figures.len() == 8, "{:?}", found.figures);
        assert!(found.figures[1].value < 1.2 && found.figures[5].value > 2.0, "{:?}", found.figures);
    }

    #[test]
    fn rows_are_proposed_for_a_long_list_and_their_scan_rate_is_said() {
        let mut long = evidence(shipped::find("flat").unwrap(), 60, 1.0);
        long.menu.top.entries = long.menu.items().into_iter().cloned().map(menu::Node::Item).collect();
        long.settings = long.settings.with(Id::Pattern, 1);
        let found = advise_on(&long);
        assert!(matches!(&found.advice, Advice::Choose { choice, .. } if choice == "row-column"), "{found:?}");
        assert!(found.cautions[0].remedy.starts_with("Set the scan rate to ") && found.sure > Sure::Guess);
    }

    #[test]
    fn a_menu_that_comes_out_the_same_each_way_is_left_alone() {
        let mut one = evidence(household(), 30, 1.0);
        one.menu.top.entries.truncate(1);
        one.settings = one.settings.with(Id::Pattern, 1);
        let found = advise_on(&one);
        assert!(found.advice == Advice::Keep && !found.why.contains("NaN"), "{found:?}");
    }

    #[test]
    fn data_that_bear_nothing_are_refused() {
        let omitted = Opportunity { response: Response::Omitted { window_s: 2.0 }, ..sample::hit(0.0) };
        let mut only_omissions = sample::evidence();
        only_omissions.opportunities = vec![omitted; 20];
        for evidence in [sample::evidence(), evidence(household(), 1, 1.0), only_omissions] {
            assert!(matches!(advise_on(&evidence).advice, Advice::NotEnough { more: 1.., .. }));
        }
    }

    #[test]
    fn hardly_different_latencies_bear_numbers() {
        let mut equal = sample::evidence();
        equal.opportunities = (0..30).map(|nth| sample::hit(0.7 + 0.002 * f64::from(nth % 2))).collect();
        let found = advise_on(&equal);
        assert!(!found.why.is_empty() && found.figures.iter().all(|one| one.value.is_finite()), "{found:?}");
    }
}
