//! Whether presses grew slower or quicker within the last session.
//!
//! A trend is the net of fatigue, learning and all else that changes in an hour: one session never
//! tells the cause. It advises no value. Slower presses ask for rest or an end, never for speed.
//! Only presses of one kind of block are compared, for the kinds differ by themselves.

use super::recommendation::{Advice, Named, Recommendation, Remark, Sure};
use super::trend_omissions;
use crate::analysis::effects;
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::analysis::words::seconds;
use crate::session::event::BlockKind;
use crate::stats::shift::{Shift, hodges_lehmann};
use crate::stats::{Interval, Level, Sample};

/// Name of the rule.
pub(super) const RULE: &str = "trend over the session";
/// Where the rule comes from.
const SOURCE: &str =
    "first against last third (Hodges and Lehmann 1963); rest rather than speed up: common practice, no source";
/// Presses in each third; fewer bear no comparison (common practice, no source).
const THIRD: usize = 6;

/// Advises on the course of the last session.
#[must_use]
pub fn advise(evidence: &Evidence) -> Recommendation {
    let latencies: Vec<f64> = compared(evidence).iter().filter_map(|one| one.accepted_s()).collect();
    let blank = blank(latencies.len());
    let third = latencies.len() / 3;
    let thirds = [&latencies[..third], &latencies[latencies.len() - third..]].map(|third| Sample::new(third.to_vec()));
    let mut found = match thirds {
        [Ok(first), Ok(last)] if third >= THIRD => {
            Recommendation { figures: within_blocks(evidence), ..compare(blank, &first, &last) }
        }
        _ => few(blank, latencies.len()),
    };
    found.cautions.extend(trend_omissions::rising(evidence));
    found
}

/// The answered opportunities of the last session's most frequent kind of block, in order.
pub(super) fn compared(evidence: &Evidence) -> Vec<&Opportunity> {
    let Some(last) = evidence.opportunities.last().map(|one| one.session) else { return Vec::new() };
    let of_kind = |kind: BlockKind| {
        let these = evidence.opportunities.iter().filter(|one| one.session == last && one.kind == kind);
        these.filter(|one| one.accepted_s().is_some()).collect::<Vec<_>>()
    };
    let kinds = [BlockKind::Confirm, BlockKind::MenuTasks, BlockKind::Reaction, BlockKind::TimedPress];
    kinds.map(of_kind).into_iter().max_by_key(Vec::len).unwrap_or_default()
}

fn compare(blank: Recommendation, first: &Sample, last: &Sample) -> Recommendation {
    let Shift { estimate, interval } = hodges_lehmann(first, last, Level::NINETY);
    let range = interval.map_or_else(String::new, |Interval { low, high }| {
        format!(" (shift {}, 90 %: {} to {})", seconds(estimate), seconds(low), seconds(high))
    });
    let medians =
        format!("{} in the first third, {} in the last{range}", seconds(first.median()), seconds(last.median()));
    let (why, cautions) = match interval {
        Some(Interval { low, .. }) if low > 0.0 => ("Presses grew slower", vec![slower()]),
        Some(Interval { high, .. }) if high < 0.0 => ("Presses grew quicker", vec![quicker()]),
        _ => ("No trend can be told", Vec::new()),
    };
    Recommendation {
        advice: Advice::Note,
        why: format!("{why}: median {medians}."),
        cautions,
        sure: Sure::Fair,
        ..blank
    }
}

/// The same within each block, over all sessions: a rest between two blocks does not hide it.
fn within_blocks(evidence: &Evidence) -> Vec<Named> {
    let moving: Vec<Opportunity> = evidence.opportunities.iter().filter(|one| one.moving()).copied().collect();
    let named = |found: effects::Difference| Named {
        name: "second half of each block slower than the first by",
        value: found.seconds,
        unit: "s",
        interval: found.interval.map(Interval::ends),
    };
    effects::order(&moving).map(named).into_iter().collect()
}

fn slower() -> Remark {
    Remark {
        text: "Fatigue, learning and circumstance are mixed in this; one session does not tell the cause.".into(),
        remedy: "Rest or stop, and do not make the scan faster; compare with the start of the next session.".into(),
    }
}

fn quicker() -> Remark {
    Remark {
        text: "Practice, fatigue and circumstance are mixed in this; one session does not tell the cause.".into(),
        remedy: "Measure again another day before the scan is made faster.".into(),
    }
}

fn few(blank: Recommendation, presses: usize) -> Recommendation {
    let wanted = 3 * THIRD;
    Recommendation {
        advice: Advice::more(wanted, presses, "timed presses in one session"),
        why: format!("Presses of one kind that were timed in the last session: {presses}; {wanted} bear a comparison."),
        ..blank
    }
}

fn blank(presses: usize) -> Recommendation {
    Recommendation::keep(RULE, 2, SOURCE, presses)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, hit};
    use super::*;

    fn with(latencies: impl Iterator<Item = f64>) -> Recommendation {
        let mut evidence = evidence();
        evidence.opportunities = latencies.map(hit).collect();
        advise(&evidence)
    }

    #[test]
    fn slower_presses_ask_for_rest_and_name_no_cause() {
        let found = with((0..30).map(|i| 0.6 + 0.02 * f64::from(i)));
        assert!(found.why.starts_with("Presses grew slower: median 0.69 s in the first third, 1.09 s"), "{found:?}");
        let [caution] = &found.cautions[..] else { panic!("{found:?}") };
        assert!(found.advice == Advice::Note && caution.remedy.contains("Rest or stop"));
        // One block of thirty, each press 0.02 s slower: its halves differ by 0.30 s.
        assert!((found.figures[0].value - 0.3).abs() < 1e-9, "{:?}", found.figures);
        assert!(caution.text.contains("does not tell the cause"));
    }

    #[test]
    fn quicker_presses_do_not_make_the_scan_faster() {
        let found = with((0..30).map(|i| 1.6 - 0.02 * f64::from(i)));
        assert!(found.advice == Advice::Note && found.cautions[0].remedy.contains("another day"));
    }

    #[test]
    fn scatter_is_no_trend() {
        let found = with((0..30).map(|i| 0.6 + 0.1 * f64::from(i * 7 % 5)));
        assert!(found.why.starts_with("No trend") && found.cautions.is_empty(), "{found:?}");
    }

    #[test]
    fn few_presses_and_other_sessions_bear_no_comparison() {
        assert!(matches!(with((0..17).map(f64::from)).advice, Advice::NotEnough { more: 1, .. }));
        assert!(matches!(with([].into_iter()).advice, Advice::NotEnough { more: 18, .. }));
        let mut two = evidence();
        two.opportunities = (0..30).map(|i| Opportunity { session: i / 29, ..hit(0.7) }).collect();
        assert_eq!(advise(&two).trials, 1);
    }
}
