//! The technique: automatic, step and inverse scanning on the client's own figures.
//!
//! Automatic scanning takes the expected time at its comfortable interval, errors included. A scan
//! that runs while the switch is held takes that and one more press a level, which starts it, with
//! latencies measured from the releases. Steps take their presses times the time from press to
//! press in pairs, and with one switch the pause that takes the item, a level; these forms know no errors.
//! So a technique that asks for more presses has to save a good deal with each of them. What was not
//! measured is not compared.

use super::contest::{Entrant, Gain, chances};
use super::expected_time::{Presses as _, Ways};
use super::recommendation::{Advice, Named, Recommendation, Remark, Sure};
use super::routes::{Routes, weights};
use super::task::pace;
use super::timed::{Lack, Timed};
use crate::analysis::evidence::Evidence;
use crate::analysis::suggestion::WANTED;
use crate::analysis::words::decimals;
use crate::engine::pattern::Arrangement;
use crate::rng::Stream;
use crate::settings::{Id, Technique};
use crate::stats::Sample;

/// Where the rule comes from.
const SOURCE: &str = "closed forms of scanning time (after Rosen and Goodenough-Trepagnier 1981, Damper 1984); another \
                      technique has to save 10 % of it, with a chance of 90 % to save at all, and 2 s with each further \
                      press: common practice, no source";
/// Fewer pairs do not tell how fast one press follows another (common practice, no source).
const PAIRS: usize = 10;

/// A technique with what a selection takes in it.
struct Candidate {
    technique: Technique,
    /// Its name in files.
    name: &'static str,
    figures: [&'static str; 3],
    entrant: Entrant,
}

macro_rules! candidate {
    ($technique:ident, $name:literal, $entrant:expr) => {
        Candidate {
            technique: Technique::$technique,
            name: $name,
            figures: [
                concat!($name, ", time"),
                concat!($name, ", switch hits"),
                concat!($name, ", chance of being the fastest"),
            ],
            entrant: $entrant,
        }
    };
}

/// Advises a technique.
#[must_use]
pub fn advise(evidence: &Evidence, timed: &Result<Timed, Lack>) -> Recommendation {
    let timed = match timed {
        Ok(timed) => timed,
        Err(lack) => return lack.refuse(blank(0)),
    };
    let periods = evidence.contacts.iter().filter_map(|contact| contact.pair_s).collect::<Vec<f64>>();
    let blank = blank(timed.trials + periods.len());
    match Sample::new(periods) {
        Ok(periods) if periods.len() >= PAIRS => compare(blank, evidence, timed, &periods),
        Ok(periods) => few(blank, evidence, periods.len()),
        Err(_) => few(blank, evidence, 0),
    }
}

fn compare(blank: Recommendation, evidence: &Evidence, timed: &Timed, periods: &Sample) -> Recommendation {
    let in_force = evidence.settings.technique();
    let all = candidates(evidence, timed, periods).unwrap_or_default();
    let Some(now) = all.iter().find(|one| one.technique == in_force) else {
        return Recommendation {
            why: "What a selection takes in the technique in force cannot be told from these presses.".into(),
            next: missing(in_force),
            ..blank
        };
    };
    let others = all.iter().filter(|one| one.technique != in_force);
    let gains: Vec<(&Candidate, Gain)> =
        others.filter_map(|one| Some((one, Gain::of(&now.entrant, &one.entrant)?))).collect();
    let Some((best, gain)) = first_choice(&gains) else { return blank };
    let why = gain.told((now.name, &now.entrant), (best.name, &best.entrant));
    if !gain.worth_it() {
        return Recommendation { why, figures: figures(&all), next: missing(in_force), ..blank };
    }
    let range = best.entrant.range().unwrap_or([f64::NEG_INFINITY, f64::INFINITY]);
    Recommendation {
        advice: Advice::Choose { setting: Id::Technique, choice: best.name.into(), beside: figures(&all) },
        why,
        sure: Sure::of(best.entrant.mean(), range, timed.latencies.len().min(periods.len())),
        cautions: cautions(best),
        next: format!("Run menu tasks with it, and go by what these say. {}", missing(in_force)),
        ..blank
    }
}

/// Every technique that the figures bear; `None` where the menu has no item in use.
fn candidates(evidence: &Evidence, timed: &Timed, periods: &Sample) -> Option<Vec<Candidate>> {
    let settings = &evidence.settings;
    let arrangement = Arrangement::new(&evidence.menu, settings);
    let routes = Routes::of(&arrangement)?;
    let ways = Ways::new(&arrangement.tree, &weights(&arrangement))?;
    let scanned = Entrant::new(timed, &ways, &pace(settings));
    let mut all = Vec::new();
    all.extend(scanned.map(|scanned| match settings.technique() {
        Technique::Inverse => candidate!(Inverse, "inverse", held(scanned, timed)),
        _ => candidate!(Automatic, "automatic", scanned),
    }));
    let means = means(periods, timed.guesses.len());
    let accepted = routes.levels() * settings.auto_accept().as_seconds();
    all.push(candidate!(StepAutoAccept, "step-auto-accept", stepped(&means, routes.steps(), accepted)));
    all.push(candidate!(Step, "step", stepped(&means, routes.steps(), 0.0)));
    Some(all)
}

/// A scan that one more press a level starts, as slow as the release that ends it.
fn held(scanned: Entrant, timed: &Timed) -> Entrant {
    let starts = timed.guesses.iter().map(|guess| scanned.hits * guess.mean());
    let seconds = scanned.seconds.iter().zip(starts).map(|(seconds, starts)| seconds + starts).collect();
    Entrant { seconds, ..scanned }
}

/// `steps` presses, and what the pauses come to.
fn stepped(means: &[f64], steps: f64, pauses: f64) -> Entrant {
    let seconds = means.iter().map(|mean| steps * mean + pauses).collect();
    Entrant { interval: 0.0, seconds, hits: steps }
}

/// What the pairs leave open of their mean: means of samples drawn again.
fn means(periods: &Sample, count: usize) -> Vec<f64> {
    let mut stream = Stream::named(0, "press to press");
    let values = periods.sorted();
    let mean = |_| {
        let sum: f64 = (0..values.len()).map(|_| values[stream.below(values.len() as u64) as usize]).sum();
        sum / values.len() as f64
    };
    (0..count).map(mean).collect()
}

/// The most gain of those that are worth it, of those with one switch first; where none is, the most
/// gain.
fn first_choice<'a>(gains: &[(&'a Candidate, Gain)]) -> Option<(&'a Candidate, Gain)> {
    let most = |test: &dyn Fn(&Candidate, Gain) -> bool| {
        let those = gains.iter().filter(|(one, gain)| test(one, *gain));
        those.copied().max_by(|one, two| one.1.share.total_cmp(&two.1.share))
    };
    let with_one = |one: &Candidate| one.technique != Technique::Step;
    most(&|one, gain| with_one(one) && gain.worth_it())
        .or_else(|| most(&|_, gain| gain.worth_it()))
        .or_else(|| most(&|one, _| with_one(one)))
        .or_else(|| most(&|_, _| true))
}

fn figures(all: &[Candidate]) -> Vec<Named> {
    let chances = chances(&all.iter().map(|one| &one.entrant).collect::<Vec<_>>());
    let each = all.iter().zip(chances).map(|(one, chance)| {
        let [time, hits, fastest] = one.figures;
        [
            Named { name: time, value: one.entrant.mean(), unit: "s", interval: one.entrant.range() },
            Named { name: hits, value: one.entrant.hits, unit: "hits", interval: None },
            Named { name: fastest, value: chance, unit: "share", interval: None },
        ]
    });
    each.flatten().collect()
}

fn cautions(best: &Candidate) -> Vec<Remark> {
    let mut list = Vec::new();
    if matches!(best.technique, Technique::Step | Technique::StepAutoAccept) {
        list.push(Remark {
            text: format!(
                "Steps ask for {} presses a selection; errors and tiring are not in the figure.",
                decimals(best.entrant.hits, 1)
            ),
            remedy: "Ask for the effort after a block of menu tasks, and keep automatic scanning where it rises."
                .into(),
        });
    }
    if best.technique == Technique::Step {
        list.push(Remark {
            text: "It takes two switches: one moves on, the other takes the item.".into(),
            remedy: "Look for a second site; the time to change between the switches is not in the figure.".into(),
        });
    }
    list
}

/// What would have to be run to compare the technique that was not measured.
fn missing(in_force: Technique) -> String {
    match in_force {
        Technique::Inverse => format!("To compare automatic scanning, run {WANTED} timed presses with it."),
        _ => format!(
            "Inverse scanning is not compared: it needs a client who can hold and let go; to see, run {WANTED} timed \
             presses with technique `inverse`."
        ),
    }
}

fn few(blank: Recommendation, evidence: &Evidence, pairs: usize) -> Recommendation {
    let step = if pairs == 0 { "no".into() } else { format!("only {pairs}") };
    Recommendation {
        advice: Advice::more(PAIRS, pairs, "pairs of presses"),
        why: format!("Step scanning cannot be compared: {step} pairs of presses were timed; {PAIRS} are wanted."),
        next: format!(
            "Run a block of pairs of presses if steps are an option. {}",
            missing(evidence.settings.technique())
        ),
        ..blank
    }
}

fn blank(trials: usize) -> Recommendation {
    Recommendation::keep("technique", 4, SOURCE, trials)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, hit, press};
    use super::*;
    use crate::analysis::evidence::Aim;

    /// Presses of about `latency` under the scan and `pairs` pairs of `period`.
    fn with(latency: f64, pairs: u32, period: f64) -> Evidence {
        let mut evidence = evidence();
        let mut stream = Stream::named(3, "technique");
        let latencies = (0..60).map(|_| latency * (0.8 + 0.05 * stream.normal() + 0.15 * stream.exponential()));
        evidence.opportunities = latencies.map(hit).collect();
        for pair in 0..pairs {
            press(&mut evidence, Aim::Wanted, 4.0, 0.1);
            press(&mut evidence, Aim::Wanted, period - 0.1, 0.1);
            evidence.contacts.last_mut().unwrap().pair_s = Some(period * (0.95 + 0.01 * f64::from(pair % 11)));
        }
        evidence
    }

    fn advise_on(evidence: &Evidence) -> Recommendation {
        advise(evidence, &Timed::of(evidence))
    }

    fn choice(found: &Recommendation) -> &str {
        let Advice::Choose { choice, .. } = &found.advice else { panic!("{found:?}") };
        choice
    }

    #[test]
    fn steps_take_their_presses() {
        // Third item of a list: three presses of 0.4 s, 1.2 s; with one switch 2 s more. By hand.
        let seconds = |pauses| stepped(&[0.4], 3.0, pauses).seconds[0];
        assert!((seconds(0.0) - 1.2).abs() < 1e-12 && (seconds(2.0) - 3.2).abs() < 1e-12);
    }

    #[test]
    fn slow_reactions_and_quick_pairs_lead_to_steps_with_one_switch_first() {
        let found = advise_on(&with(2.5, 20, 0.4));
        assert_eq!(choice(&found), "step-auto-accept");
        assert!(
            found.cautions[0].text.contains("presses a selection") && found.next.contains("`inverse`"),
            "{found:?}"
        );
    }

    #[test]
    fn a_second_switch_is_asked_for_where_only_it_saves() {
        let mut slow = with(2.0, 20, 0.5);
        slow.settings = slow.settings.with(Id::AutoAccept, 10_000_000);
        let found = advise_on(&slow);
        assert_eq!(choice(&found), "step");
        assert_eq!(found.cautions.len(), 2);
    }

    #[test]
    fn what_saves_little_with_each_press_is_told_but_not_proposed() {
        let found = advise_on(&with(0.7, 20, 0.4));
        assert!(found.advice == Advice::Keep && found.why.contains("Each further press saves"), "{found:?}");
    }

    #[test]
    fn quick_reactions_and_slow_pairs_keep_it_automatic() {
        let found = advise_on(&with(0.5, 20, 2.5));
        assert!(found.advice == Advice::Keep && found.why.contains("more time"), "{found:?}");
        assert_eq!(found.figures.len(), 9);
    }

    #[test]
    fn releases_under_inverse_scanning_are_not_taken_for_presses_under_automatic() {
        let mut inverse = with(0.5, 20, 2.5);
        inverse.settings = inverse.settings.with(Id::Technique, 3);
        let found = advise_on(&inverse);
        assert!(found.figures[0].name.starts_with("inverse") && found.next.contains("automatic"), "{found:?}");
        let scanned = advise_on(&with(0.5, 20, 2.5)).figures[0].value;
        assert!(found.figures[0].value > scanned + 0.4, "one more press a level");
    }

    #[test]
    fn what_was_not_measured_is_asked_for() {
        for pairs in [0, 1, 9] {
            let found = advise_on(&with(0.6, pairs, 0.5));
            assert_eq!(found.advice, Advice::NotEnough { more: 10 - pairs, of: "pairs of presses" });
        }
        assert!(matches!(advise_on(&evidence()).advice, Advice::NotEnough { of: "timed presses", .. }));
    }

    #[test]
    fn a_technique_without_a_scan_asks_for_timed_presses_under_one() {
        let mut step = with(0.6, 20, 0.5);
        step.settings = step.settings.with(Id::Technique, 1);
        step.opportunities.iter_mut().for_each(|one| one.paced = false);
        assert!(matches!(advise_on(&step).advice, Advice::NotEnough { of: "timed presses", .. }));
    }
}
