//! The latencies that the rule on the trend compares, in order, with the line through them.

use super::super::recommendation::{Advice, Recommendation};
use super::super::trend::{RULE, compared};
use super::FEWEST;
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::session::event::BlockKind;
use crate::session::trial::Outcome;
use crate::stats::Level;
use crate::stats::slope::{Line, theil_sen};

/// More dots cannot be told apart, and the line looks at every pair.
const MOST: usize = 2000;

/// The course of one session.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// The kind of block that they come from.
    pub kind: BlockKind,
    /// The presses in order.
    pub presses: Vec<Press>,
    /// The line through them by their number, from 1, with the 90 % interval of its slope; only where
    /// the rule speaks.
    pub line: Option<Line>,
}

/// One right or late press.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Press {
    /// When its trial began, since the session began.
    pub at_s: f64,
    /// From highlight to acceptance.
    pub latency_s: f64,
    /// It came after the entry had gone.
    pub late: bool,
}

impl Trend {
    pub(super) fn of(evidence: &Evidence, recommendations: &[Recommendation]) -> Option<Trend> {
        let compared = compared(evidence);
        let kind = compared.first()?.kind;
        let presses: Vec<Press> = compared.into_iter().filter_map(press).collect();
        let speaks = recommendations.iter().any(|one| one.rule == RULE && one.advice == Advice::Note);
        if !(FEWEST..=MOST).contains(&presses.len()) {
            return None;
        }
        let line = if speaks { line(&presses) } else { None };
        Some(Trend { kind, presses, line })
    }
}

fn press(one: &Opportunity) -> Option<Press> {
    let late = one.pressed_as(Outcome::Late);
    one.accepted_s().map(|latency_s| Press { at_s: one.at_s, latency_s, late })
}

fn line(presses: &[Press]) -> Option<Line> {
    let numbers: Vec<f64> = (1..=presses.len()).map(|number| number as f64).collect();
    let latencies: Vec<f64> = presses.iter().map(|press| press.latency_s).collect();
    theil_sen(&numbers, &latencies, Level::NINETY)
}

#[cfg(test)]
mod tests {
    use super::super::super::sample::{evidence, hit};
    use super::super::super::trend::advise;
    use super::super::Pictures;
    use super::*;

    fn shown(count: u32) -> Option<Trend> {
        let mut evidence = evidence();
        evidence.opportunities = (0..count).map(|nth| hit(0.6 + 0.02 * f64::from(nth))).collect();
        let list = [advise(&evidence)];
        Pictures::of(&evidence, &list).trend
    }

    #[test]
    fn a_steady_rise_has_its_slope_and_few_or_too_many_presses_have_none() {
        let found = shown(30).unwrap();
        let line = found.line.unwrap();
        assert!((line.slope - 0.02).abs() < 1e-12 && (line.intercept - 0.58).abs() < 1e-12, "{line:?}");
        assert_eq!(found.presses.len(), 30);
        assert_eq!(shown(17).unwrap().line, None);
        assert_eq!((shown(4), shown(2001)), (None, None));
    }
}
