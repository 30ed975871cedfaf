//! The pause after a selection: long enough that a second press is not taken for the next item.
//!
//! What speaks for a longer pause are presses soon after its end: they were on their way for the
//! item that had gone, unless as many come by themselves. Presses within it show what it keeps out.
//! Nothing that is logged tells how long a client wants to look at the consequence, so nothing here
//! speaks for a shorter one.

use super::gaps;
use super::recommendation::{Advice, BEAR_A_TAIL, Named, Recommendation, Remark, Sure};
use crate::analysis::evidence::{Evidence, Opportunity, Response};
use crate::analysis::words::{count, seconds};
use crate::settings::{Id, rounding};
use crate::stats::quantile_interval::quantile_interval;
use crate::stats::{Interval, Level, Sample, poisson, proportion};

/// Where the rule comes from.
const SOURCE: &str = "second presses soon after the pause; common practice, no source";
/// A press this soon after the pause was still meant for the item before (common practice, no source).
const SOON_S: f64 = 1.0;
/// Fewer selections show too little of what follows them.
const FEWEST: usize = 20;
/// Second presses after more selections than this call for a longer pause (common practice, no source).
const MANY: f64 = 0.05;

/// What followed the selections.
struct Followed {
    selections: usize,
    /// Second presses that nothing else stops, in seconds after the selection: within the pause and
    /// soon after it.
    delays: Vec<f64>,
    /// How many of them came after the pause.
    soon: usize,
    /// How many would have come after it by themselves, as in the quiet watch.
    by_themselves: f64,
}

/// Advises a pause after selection.
#[must_use]
pub fn advise(evidence: &Evidence) -> Recommendation {
    let pause = evidence.settings.pause_after_selection().as_seconds();
    let followed = Followed::of(evidence, pause);
    let blank = Recommendation::keep("pause after selection", 1, SOURCE, followed.selections);
    let share = followed.soon as f64 / followed.selections.max(1) as f64;
    if followed.selections < FEWEST {
        few(blank, followed.selections)
    } else if followed.soon > 1 && share > MANY && followed.beyond_chance() {
        longer(blank, &followed, pause)
    } else {
        keep(blank, &followed)
    }
}

impl Followed {
    fn of(evidence: &Evidence, pause: f64) -> Followed {
        let (from, lockout) = (evidence.settings.lockout_from(), evidence.settings.lockout().as_seconds());
        let unstopped = gaps::pairs(evidence).filter(|pair| pair.lockout_s(from).is_none_or(|gap| gap > lockout));
        let after = unstopped.filter_map(|pair| pair.second.after_choice_s);
        let delays: Vec<f64> = after.filter(|delay| *delay < pause + SOON_S).collect();
        let soon = delays.iter().filter(|delay| **delay >= pause).count();
        let selections = selections(&evidence.opportunities);
        let rate = if evidence.quiet_s > 0.0 { f64::from(evidence.involuntary) / evidence.quiet_s } else { 0.0 };
        Followed { selections, delays, soon, by_themselves: rate * SOON_S * selections as f64 }
    }

    /// Even the lower limit of their mean (exact, one-sided 95 %) is more than comes by itself.
    fn beyond_chance(&self) -> bool {
        poisson::interval(self.soon as u64, Level::NINETY).low > self.by_themselves
    }
}

/// Trials that ended with a press.
fn selections(opportunities: &[Opportunity]) -> usize {
    let trials =
        opportunities.chunk_by(|one, two| (one.session, one.block, one.trial) == (two.session, two.block, two.trial));
    trials.filter(|trial| matches!(trial.last(), Some(Opportunity { response: Response::Pressed { .. }, .. }))).count()
}

fn longer(blank: Recommendation, followed: &Followed, pause: f64) -> Recommendation {
    let Ok(delays) = Sample::new(followed.delays.clone()) else { return blank };
    let bears = delays.len() >= BEAR_A_TAIL;
    let last = if bears { delays.quantile(0.95) } else { delays.greatest() };
    let interval = if bears { quantile_interval(&delays, 0.95, Level::NINETY) } else { None };
    let interval = interval.map(|found| found.interval.ends());
    let value = rounding::up(Id::PauseAfterSelection, last.max(pause));
    Recommendation {
        why: format!(
            "{} of {} selections were followed by a second press within {} after the pause, which takes the wrong item \
             once the scan runs on; a pause of {} outlasts {}.",
            followed.soon,
            followed.selections,
            seconds(SOON_S),
            seconds(value),
            if bears { "19 of 20 of them" } else { "all that were seen" }
        ),
        advice: Advice::Set {
            setting: Id::PauseAfterSelection,
            value,
            unit: "s",
            interval,
            beside: vec![share("selections with a second press after the pause", followed.soon, followed.selections)],
        },
        sure: interval.map_or(Sure::Guess, |interval| Sure::of(last, interval, delays.len())),
        cautions: vec![Remark {
            text: format!("It adds {} to every selection.", seconds(value - pause)),
            remedy:
                "Ask first whether the second press was meant; if not, try a longer repeat lockout, which costs less."
                    .into(),
        }],
        next: "Run the menu tasks again with it.".into(),
        ..blank
    }
}

fn keep(blank: Recommendation, followed: &Followed) -> Recommendation {
    let within = count((followed.delays.len() - followed.soon) as u32, "such press", "such presses");
    let kept_out = if followed.delays.len() == followed.soon {
        String::new()
    } else {
        format!(" It keeps {within} out, so do not shorten it.")
    };
    let soon = match followed.soon {
        0 => format!("No second press came soon after it in {} selections.", followed.selections),
        soon => format!(
            "Second presses soon after it: {soon} in {} selections, {}.",
            followed.selections,
            if followed.beyond_chance() { "few" } else { "no more than come by themselves" }
        ),
    };
    Recommendation {
        why: format!("{soon} Nothing speaks for a change.{kept_out}"),
        figures: vec![share("selections with a second press after the pause", followed.soon, followed.selections)],
        ..blank
    }
}

fn share(name: &'static str, hits: usize, of: usize) -> Named {
    let interval = proportion::wilson(hits.min(of) as u64, of as u64, Level::NINETY).map(Interval::ends);
    Named { name, value: hits as f64 / of.max(1) as f64, unit: "share", interval }
}

fn few(blank: Recommendation, selections: usize) -> Recommendation {
    Recommendation {
        advice: Advice::more(FEWEST, selections, "selections"),
        why: format!("Selections that were watched: {selections}; {FEWEST} are wanted to see what follows them."),
        ..blank
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, hit, press};
    use super::*;
    use crate::analysis::evidence::Aim;

    /// `selections` hits, and a second press after each of the first ones by `delays`; the pause in
    /// force is 1 s, the lockout 0.5 s from the release.
    fn with(selections: u32, delays: &[f64]) -> Evidence {
        let mut evidence = evidence();
        evidence.opportunities = (1..=selections).map(|trial| Opportunity { trial, ..hit(0.6) }).collect();
        for trial in 0..selections as usize {
            press(&mut evidence, Aim::Wanted, 5.0, 0.1);
            if let Some(delay) = delays.get(trial) {
                press(&mut evidence, Aim::Unwanted, delay - 0.1, 0.1);
                evidence.contacts.last_mut().unwrap().after_choice_s = Some(*delay);
            }
        }
        evidence
    }

    #[test]
    fn nothing_after_the_pause_leaves_it_as_it_is() {
        let found = advise(&with(30, &[]));
        assert!(found.advice == Advice::Keep && found.why.contains("Nothing speaks for a change"), "{found:?}");
        assert!(found.cautions.is_empty() && !found.why.contains("shorten"));
    }

    #[test]
    fn presses_that_it_keeps_out_speak_against_a_shorter_one() {
        let found = advise(&with(30, &[0.8, 0.9]));
        assert!(found.advice == Advice::Keep && found.why.contains("keeps 2 such presses out"), "{found:?}");
    }

    #[test]
    fn presses_soon_after_it_ask_for_a_longer_one() {
        let found = advise(&with(30, &[1.2, 1.33, 1.1, 0.8]));
        assert!(matches!(found.advice, Advice::Set { value: 1.35, interval: None, .. }), "{found:?}");
        assert!(found.sure == Sure::Guess && found.why.starts_with("3 of 30"));
        let many: Vec<f64> = (0..70).map(|i| 0.9 + 0.005 * f64::from(i)).collect();
        let found = advise(&with(80, &many));
        assert!(matches!(found.advice, Advice::Set { interval: Some(_), .. }), "{found:?}");
    }

    #[test]
    fn presses_that_come_by_themselves_do_not_ask_for_a_longer_one() {
        let mut evidence = with(30, &[1.2, 1.33, 1.1]);
        // Six in two minutes are 1.5 in 30 seconds; three are not beyond that: the exact lower limit
        // of their mean is 0.818 (half the 5 % quantile of chi-square with 6 degrees of freedom).
        evidence.involuntary = 6;
        let found = advise(&evidence);
        assert!(found.advice == Advice::Keep && found.why.contains("come by themselves"), "{found:?}");
    }

    #[test]
    fn one_press_and_what_the_lockout_stops_or_what_comes_much_later_count_for_nothing() {
        for delays in [vec![1.2], vec![0.3; 30], vec![2.1; 30]] {
            assert_eq!(advise(&with(30, &delays)).advice, Advice::Keep, "{delays:?}");
        }
    }

    #[test]
    fn few_selections_bear_nothing() {
        for (selections, wanted) in [(0, 20), (1, 19), (19, 1)] {
            assert_eq!(advise(&with(selections, &[])).advice, Advice::NotEnough { more: wanted, of: "selections" });
        }
    }
}
