//! Whether a confirm block bears the settings sheet out.
//!
//! Only selections under the sheet's own values count, from however many blocks, all of them
//! together: trying again until one block goes well proves nothing.

use serde::Serialize;

use crate::analysis::confirm::Confirm;
use crate::analysis::words::{count, percent, seconds};
use crate::session::trial::Outcome;
use crate::settings::{Id, Settings, rounding};
use crate::stats::{Interval, Level, proportion};

/// Selections that bear a verdict.
pub const WANTED: u32 = 10;
/// Least share of right selections that confirms (nine of ten; common practice, no source).
const ENOUGH: f64 = 0.9;
/// How much slower the next scan rate to try is (common practice, no source).
const SLOWER: f64 = 1.1;
/// How much longer the next repeat lockout to try is, in seconds (common practice, no source).
const LOCKOUT_STEP_S: f64 = 0.2;
/// Settings that do not touch how a press is timed: a confirm block may have its own.
pub(super) const ASIDE: [Id; 2] = [Id::CueLead, Id::LateLimit];

/// What confirm blocks say of a settings sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "status", rename_all = "kebab-case")]
pub enum Verdict {
    /// No selection was confirmed under these values.
    Proposed {
        /// Selections in confirm blocks under other values, which say nothing of these.
        elsewhere: u32,
        /// The settings in which the last of those differ, by their labels.
        differing: Vec<&'static str>,
    },
    /// Too few selections for a verdict.
    Begun {
        /// Right ones.
        right: u32,
        /// All of them.
        selections: u32,
    },
    /// The values hold.
    Confirmed {
        /// Right selections.
        right: u32,
        /// All of them.
        selections: u32,
        /// 95 % interval of the share (Wilson).
        interval: [f64; 2],
    },
    /// They do not.
    NotConfirmed {
        /// Right selections.
        right: u32,
        /// All of them.
        selections: u32,
        /// 95 % interval of the share (Wilson).
        interval: [f64; 2],
        /// Errors by outcome, the most frequent first.
        errors: Vec<(String, u32)>,
        /// The setting to change next, where the errors point to one.
        #[serde(serialize_with = "name")]
        setting: Option<Id>,
        /// The value to try next, in seconds.
        value: Option<f64>,
        /// What to try next, in words.
        next: String,
    },
}

/// Judges the values of a sheet by all confirm selections of the set-up.
#[must_use]
pub fn judge(sheet: &Settings, confirms: &[Confirm]) -> Verdict {
    let (same, other): (Vec<&Confirm>, Vec<&Confirm>) =
        confirms.iter().partition(|confirm| confirm.settings.differences(sheet).all(|id| ASIDE.contains(&id)));
    let outcomes: Vec<Outcome> = same.iter().flat_map(|confirm| confirm.outcomes.iter().copied()).collect();
    let selections = outcomes.len() as u32;
    let right = outcomes.iter().filter(|outcome| **outcome == Outcome::Hit).count() as u32;
    let Some(interval) = proportion::wilson(right.into(), selections.into(), Level::NINETY_FIVE).map(Interval::ends)
    else {
        return proposed(sheet, &other);
    };
    match f64::from(right) / f64::from(selections) {
        _ if selections < WANTED && could_still_pass(right, selections) => Verdict::Begun { right, selections },
        share if share >= ENOUGH => Verdict::Confirmed { right, selections, interval },
        _ => not_confirmed(sheet, right, interval, &outcomes),
    }
}

fn proposed(sheet: &Settings, elsewhere: &[&Confirm]) -> Verdict {
    let differing = |last: &&Confirm| {
        let ids = last.settings.differences(sheet).filter(|id| !ASIDE.contains(id));
        ids.map(|id| id.setting().label).collect()
    };
    Verdict::Proposed {
        elsewhere: elsewhere.iter().map(|confirm| confirm.outcomes.len() as u32).sum(),
        differing: elsewhere.last().map(differing).unwrap_or_default(),
    }
}

/// Whether the selections that are missing could all go right and be enough.
fn could_still_pass(right: u32, selections: u32) -> bool {
    f64::from(right + WANTED - selections) >= ENOUGH * f64::from(WANTED)
}

fn not_confirmed(sheet: &Settings, right: u32, interval: [f64; 2], outcomes: &[Outcome]) -> Verdict {
    let of = |outcome: Outcome| outcomes.iter().filter(|found| **found == outcome).count() as u32;
    let mut errors: Vec<(Outcome, u32)> =
        Outcome::ALL.into_iter().filter(|one| *one != Outcome::Hit).map(|one| (one, of(one))).collect();
    errors.retain(|(_, count)| *count > 0);
    errors.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    let (setting, value, next) = next(sheet, of);
    Verdict::NotConfirmed {
        right,
        selections: outcomes.len() as u32,
        interval,
        errors: errors.into_iter().map(|(outcome, count)| (outcome.word().to_string(), count)).collect(),
        setting,
        value,
        next,
    }
}

/// What the most frequent kind of error points to.
fn next(sheet: &Settings, of: impl Fn(Outcome) -> u32) -> (Option<Id>, Option<f64>, String) {
    let slow = of(Outcome::Late) + of(Outcome::Omission);
    let (early, extra, wrong) = (of(Outcome::Early), of(Outcome::Extra), of(Outcome::Wrong));
    let most = slow.max(early).max(extra).max(wrong);
    if slow == most {
        let interval = sheet.scan_interval().as_seconds();
        let value = rounding::up(Id::ScanInterval, interval * SLOWER);
        return if value > interval {
            let next = format!("Presses came late or not at all: try a scan rate of {}.", seconds(value));
            (Some(Id::ScanInterval), Some(value), next)
        } else {
            (None, None, "Presses came late or not at all at the slowest scan rate: try another site or switch.".into())
        };
    }
    if extra == most {
        let value = rounding::up(Id::Lockout, sheet.lockout().as_seconds() + LOCKOUT_STEP_S);
        let next = format!("Presses came twice: try a repeat lockout of {}.", seconds(value));
        return (Some(Id::Lockout), Some(value), next);
    }
    let next = if early == most {
        "Presses came before the highlight: a slower scan does not mend that. Ask for waiting until it lights, and \
         watch whether presses follow a rhythm."
    } else {
        "Other items were taken than the one asked for: practise the menu, then confirm again before a timing is changed."
    };
    (None, None, next.into())
}

impl Verdict {
    /// The name of the status, as in JSON.
    #[must_use]
    pub const fn status(&self) -> &'static str {
        match self {
            Verdict::Proposed { .. } => "proposed",
            Verdict::Begun { .. } => "begun",
            Verdict::Confirmed { .. } => "confirmed",
            Verdict::NotConfirmed { .. } => "not-confirmed",
        }
    }

    /// The verdict in a sentence or two.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Verdict::Proposed { elsewhere: 0, .. } => {
                format!("Proposed, until a confirm block of {WANTED} selections bears it out.")
            }
            Verdict::Proposed { elsewhere, differing } => format!(
                "Proposed: {} tried in confirm blocks under other settings ({}), which says nothing of these.",
                count(*elsewhere, "selection was", "selections were"),
                differing.join(", ").to_lowercase()
            ),
            Verdict::Begun { right, selections } => format!(
                "Proposed: {right} of {selections} right so far; run {} before it is judged.",
                count(WANTED - selections, "more confirm selection", "more confirm selections")
            ),
            Verdict::Confirmed { right, selections, interval } => {
                format!("Confirmed: {right} of {selections} selections right ({}).", range(*interval))
            }
            Verdict::NotConfirmed { right, selections, interval, errors, next, .. } => {
                let errors: Vec<String> = errors.iter().map(|(word, count)| format!("{count} {word}")).collect();
                format!(
                    "Not confirmed: {right} of {selections} selections right ({}); {}. {next}",
                    range(*interval),
                    errors.join(", ")
                )
            }
        }
    }
}

/// "95 %: 72 to 100 %".
fn range([low, high]: [f64; 2]) -> String {
    format!("95 %: {} to {}", percent(low), percent(high))
}

fn name<S: serde::Serializer>(id: &Option<Id>, serializer: S) -> Result<S::Ok, S::Error> {
    id.map(|id| id.setting().name).serialize(serializer)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn confirm(outcomes: &[(Outcome, usize)]) -> Confirm {
        let outcomes = outcomes.iter().flat_map(|(outcome, count)| std::iter::repeat_n(*outcome, *count)).collect();
        Confirm { settings: Settings::default().with(Id::CueLead, 2_000_000), outcomes }
    }

    fn judged(outcomes: &[(Outcome, usize)]) -> Verdict {
        judge(&Settings::default(), &[confirm(outcomes)])
    }

    #[test]
    fn ten_of_ten_confirm_with_their_interval() {
        // Wilson 95 % of 10/10: 0.7225 to 1 (n / (n + z²), z = 1.959964).
        let found = judged(&[(Outcome::Hit, 10)]);
        assert_eq!(found.text(), "Confirmed: 10 of 10 selections right (95 %: 72 % to 100 %).");
        assert_eq!(
            (found.status(), judged(&[(Outcome::Hit, 9), (Outcome::Late, 1)]).status()),
            ("confirmed", "confirmed")
        );
    }

    #[test]
    fn late_presses_ask_for_a_slower_scan() {
        let found = judged(&[(Outcome::Hit, 6), (Outcome::Late, 3), (Outcome::Early, 1)]);
        let Verdict::NotConfirmed { setting, value, ref errors, .. } = found else { panic!("{found:?}") };
        assert_eq!((setting, value), (Some(Id::ScanInterval), Some(2.2)));
        assert_eq!(errors[..], [("late".to_string(), 3), ("early".to_string(), 1)]);
        assert!(
            found.text().starts_with("Not confirmed: 6 of 10 selections right (95 %: 31 % to 83 %); 3 late, 1 early.")
        );
    }

    #[test]
    fn errors_that_a_slower_scan_does_not_mend_point_elsewhere() {
        let next = |outcome| match judged(&[(Outcome::Hit, 5), (outcome, 5)]) {
            Verdict::NotConfirmed { setting, .. } => setting,
            other => panic!("{other:?}"),
        };
        assert_eq!(next(Outcome::Extra), Some(Id::Lockout));
        assert_eq!((next(Outcome::Early), next(Outcome::Wrong)), (None, None));
        assert_eq!(next(Outcome::Omission), Some(Id::ScanInterval));
    }

    #[test]
    fn few_selections_bear_no_verdict_unless_they_have_failed_already() {
        assert_eq!(judged(&[(Outcome::Hit, 6)]), Verdict::Begun { right: 6, selections: 6 });
        assert_eq!(judged(&[(Outcome::Hit, 1), (Outcome::Late, 2)]).status(), "not-confirmed");
    }

    #[test]
    fn blocks_under_these_values_stand_together_and_others_say_nothing() {
        let other = Confirm {
            settings: Settings::default().with(Id::ScanInterval, 1_500_000),
            ..confirm(&[(Outcome::Hit, 10)])
        };
        let sheet = Settings::default();
        assert_eq!(
            judge(&sheet, std::slice::from_ref(&other)),
            Verdict::Proposed { elsewhere: 10, differing: vec![Id::ScanInterval.setting().label] }
        );
        assert_eq!(judge(&sheet, &[]), Verdict::Proposed { elsewhere: 0, differing: vec![] });
        let twice = [confirm(&[(Outcome::Hit, 6), (Outcome::Late, 4)]), other, confirm(&[(Outcome::Hit, 10)])];
        assert!(matches!(judge(&sheet, &twice), Verdict::NotConfirmed { right: 16, selections: 20, .. }));
    }

    #[test]
    fn at_the_slowest_scan_rate_there_is_no_slower_one_to_try() {
        let slowest = Settings::default().with(Id::ScanInterval, 20_000_000);
        let tried = Confirm { settings: slowest.clone(), ..confirm(&[(Outcome::Late, 10)]) };
        assert!(judge(&slowest, &[tried]).text().contains("another site or switch"));
    }
}
