//! One set-up against another: site against site, switch against switch.
//!
//! Where one was always tried before the other, order and site cannot be told apart, and that is said
//! together with what would tell them.

use serde::Serialize;

use super::compare::{Comparison, FEWEST, compare};
use super::recommendation::Remark;
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::analysis::set_ups::{apart, differences};
use crate::analysis::words::capital;

/// A set-up as it is compared.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// Its place among the set-ups, from 0.
    pub place: usize,
    /// What was measured.
    pub evidence: &'a Evidence,
    /// What the client said: name of the question and value.
    pub ratings: &'a [(String, u8)],
    /// Its first and last session in the order of all sessions.
    pub taken: [usize; 2],
}

/// How two set-ups compare.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Between {
    /// Their places among the set-ups, from 0.
    pub set_ups: [usize; 2],
    /// What they are called, by that in which they differ.
    pub names: [String; 2],
    /// What the client said of each: name of the question and value.
    pub ratings: [Vec<(String, u8)>; 2],
    /// In what they differ: site, side, switch, mounting, position.
    pub differ: Vec<&'static str>,
    /// How they compare; `None` where they cannot be compared.
    pub compared: Option<Comparison>,
    /// All sessions of one lie before all of the other.
    pub one_order: bool,
    /// What its reader has to know.
    pub remarks: Vec<Remark>,
}

/// Compares two set-ups, the one that was begun first on the first side.
#[must_use]
pub fn between(first: Side, second: Side) -> Between {
    let names = apart(&first.evidence.setup, &second.evidence.setup);
    let differ = differences(&first.evidence.setup, &second.evidence.setup);
    let sides = [first, second].map(|side| side.evidence.opportunities.iter().collect::<Vec<&Opportunity>>());
    let compared = compare(&sides[0], &sides[1], first.evidence.menu == second.evidence.menu);
    let one_order = first.taken[1] < second.taken[0];
    let mut remarks: Vec<Remark> = compared.as_ref().err().cloned().into_iter().collect();
    if compared.is_ok() && one_order {
        remarks.push(order(&names, &differ));
    }
    if let Some(remark) = several(&differ).filter(|_| compared.is_ok()) {
        remarks.push(remark);
    }
    let ratings = [first.ratings, second.ratings].map(<[_]>::to_vec);
    Between {
        set_ups: [first.place, second.place],
        names,
        ratings,
        differ,
        compared: compared.ok(),
        one_order,
        remarks,
    }
}

fn order([first, second]: &[String; 2], differ: &[&'static str]) -> Remark {
    let what = causes(differ).join(" and ");
    Remark {
        text: format!("{} was only tried after {first}: order and {what} cannot be told apart.", capital(second)),
        remedy: format!("Run {FEWEST} more trials at the first ({first}) now, then compare again."),
    }
}

/// More than one thing was changed at once.
fn several(differ: &[&'static str]) -> Option<Remark> {
    let causes = causes(differ);
    (causes.len() > 1).then(|| Remark {
        text: format!(
            "{} differ together: which of them makes the difference cannot be told.",
            capital(&causes.join(" and "))
        ),
        remedy: "Change one at a time.".into(),
    })
}

/// Site and side are one cause: another place on the body.
fn causes(differ: &[&'static str]) -> Vec<&'static str> {
    let mut causes: Vec<&str> = differ.iter().map(|part| if *part == "side" { "site" } else { part }).collect();
    causes.dedup();
    causes
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, hit, lognormal};
    use super::*;

    fn at(site: &str, switch: &str, median: f64) -> Evidence {
        let mut found = evidence();
        let side = if site == "cheek" { "left" } else { "right" };
        (found.setup.site, found.setup.side, found.setup.switch) = (site.into(), side.into(), switch.into());
        found.opportunities = lognormal(median, 0.1, 12).map(hit).collect();
        found
    }

    fn against(first: &Evidence, second: &Evidence, taken: [[usize; 2]; 2]) -> Between {
        let side = |place: usize, evidence| Side { place, evidence, ratings: &[], taken: taken[place] };
        between(side(0, first), side(1, second))
    }

    #[test]
    fn one_order_only_is_said_with_six_more_trials_at_the_first() {
        let found = against(&at("cheek", "button", 0.7), &at("hand", "button", 0.9), [[0, 1], [2, 2]]);
        assert!(found.one_order && found.differ == ["site", "side"]);
        let [remark] = &found.remarks[..] else { panic!("{found:?}") };
        assert!(remark.text.contains("order and site cannot be told apart"), "{remark:?}");
        assert!(remark.remedy.starts_with("Run 6 more trials at the first (left cheek)"), "{remark:?}");
    }

    #[test]
    fn going_back_to_the_first_site_breaks_the_order() {
        let found = against(&at("cheek", "button", 0.7), &at("hand", "button", 0.9), [[0, 2], [1, 1]]);
        assert!(!found.one_order && found.remarks.is_empty() && found.compared.is_some(), "{found:?}");
    }

    #[test]
    fn two_changes_at_once_are_said() {
        let found = against(&at("cheek", "button", 0.7), &at("hand", "sip", 0.9), [[0, 2], [1, 1]]);
        assert!(found.remarks[0].text.starts_with("Site and switch differ together"), "{found:?}");
    }

    #[test]
    fn too_few_presses_compare_nothing() {
        let found = against(&at("cheek", "button", 0.7), &evidence(), [[0, 0], [1, 1]]);
        assert!(found.compared.is_none() && found.remarks.len() == 1, "{found:?}");
    }
}
