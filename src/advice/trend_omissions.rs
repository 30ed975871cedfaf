//! Whether more was let go by towards the end of the last session: the other face of fatigue, which
//! latencies do not show, since a press that never came has none.

use super::recommendation::Remark;
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::stats::Level;
use crate::stats::difference::{Share, newcombe};

/// Lightings in each third; fewer bear no comparison (common practice, no source).
const THIRD: usize = 6;

/// A caution where the share of lightings without a press rose from the first third of the last
/// session to its last (90 % interval by Newcombe above 0).
#[must_use]
pub fn rising(evidence: &Evidence) -> Option<Remark> {
    let last = evidence.opportunities.last()?.session;
    let lit: Vec<&Opportunity> =
        evidence.opportunities.iter().filter(|one| one.session == last && one.moving()).collect();
    let third = lit.len() / 3;
    let omitted = |part: &[&Opportunity]| part.iter().filter(|one| one.omitted()).count();
    let (early, late) = (omitted(&lit[..third]), omitted(&lit[lit.len() - third..]));
    let share = |count: usize| Share::new(count as u64, third as u64);
    let rise = newcombe(share(late)?, share(early)?, Level::NINETY);
    (third >= THIRD && rise.low > 0.0).then(|| Remark {
        text: format!(
            "More went by without a press towards the end: {late} of the last {third} lightings of the wanted item, \
             {early} of the first {third}."
        ),
        remedy: "Rest or stop, and do not make the scan faster.".into(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, hit};
    use super::*;
    use crate::analysis::evidence::Response;

    /// A session in which a lighting goes by where `omitted` says so.
    fn with(count: usize, omitted: impl Fn(usize) -> bool) -> Option<Remark> {
        let mut evidence = evidence();
        evidence.opportunities = vec![hit(0.7); count];
        let gone = evidence.opportunities.iter_mut().enumerate().filter(|(index, _)| omitted(*index));
        gone.for_each(|(_, one)| one.response = Response::Omitted { window_s: 2.0 });
        rising(&evidence)
    }

    #[test]
    fn omissions_that_rise_ask_for_rest_and_others_do_not() {
        let found = with(45, |index| index >= 30 && index % 2 == 0).unwrap();
        assert!(found.text.contains("8 of the last 15") && found.text.contains("0 of the first 15"), "{found:?}");
        assert!(found.remedy.starts_with("Rest or stop"));
        assert_eq!(with(45, |index| index % 4 == 0), None);
        assert_eq!(with(45, |index| index < 10), None);
    }

    #[test]
    fn few_lightings_bear_no_comparison() {
        assert_eq!((with(17, |index| index > 8), with(0, |_| true)), (None, None));
    }
}
