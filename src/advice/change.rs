//! Change from one session to the next, within one set-up.
//!
//! How much a client wavers from session to session by itself is told from three sessions at least;
//! before that no change is called real or not. A decline is told without blame.

use serde::Serialize;

use super::compare::{Comparison, Told, compare, latencies, of_kind};
use super::recommendation::Remark;
use crate::analysis::evidence::{Evidence, Opportunity};
use crate::session::event::BlockKind;
use crate::stats::{Sample, reliability};

/// Sessions from which a client's own wavering is told.
const BASELINE: usize = 3;

/// What changed between two sessions that follow one another.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// The later session, by its place among those of the set-up, from 1; the earlier is the one before.
    pub session: u32,
    /// How the two compare; `None` where they cannot be compared.
    pub compared: Option<Comparison>,
    /// The change beside the client's own wavering; `None` below three sessions.
    pub reliable: Option<Reliable>,
    /// What its reader has to know.
    pub remarks: Vec<Remark>,
}

/// A change of the median latency beside what the client wavers by itself.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Reliable {
    /// Change of the median, in seconds.
    pub change_s: f64,
    /// The least change that chance alone seldom makes, in seconds (95 %).
    pub detectable_s: f64,
    /// The reliable change index: beyond 1.96 either way it is seldom chance.
    pub index: f64,
    /// Sessions that tell the wavering.
    pub sessions: u32,
}

/// The changes between the `sessions` sessions of the evidence, in order.
#[must_use]
pub fn changes(evidence: &Evidence) -> Vec<Change> {
    (1..evidence.sessions).map(|session| change(evidence, session)).collect()
}

fn change(evidence: &Evidence, session: u32) -> Change {
    let (before, after) = (of_session(evidence, session - 1), of_session(evidence, session));
    match compare(&before, &after, true) {
        Ok(compared) => {
            let remarks = decline(&compared).into_iter().collect();
            let reliable = reliable(evidence, session, compared.kind);
            Change { session: session + 1, reliable, remarks, compared: Some(compared) }
        }
        Err(lack) => Change { session: session + 1, compared: None, reliable: None, remarks: vec![lack] },
    }
}

fn of_session(evidence: &Evidence, session: u32) -> Vec<&Opportunity> {
    evidence.opportunities.iter().filter(|one| one.session == session).collect()
}

/// The wavering comes from the sessions before the change; with three in all, from those three.
fn reliable(evidence: &Evidence, session: u32, kind: BlockKind) -> Option<Reliable> {
    let median = |session| Some(latencies(&of_kind(&of_session(evidence, session), kind))?.median());
    let medians: Vec<f64> = (0..=session).filter_map(median).collect();
    let baseline = if medians.len() > BASELINE { &medians[..medians.len() - 1] } else { &medians[..] };
    let baseline = Sample::new(baseline.to_vec()).ok()?;
    let detectable_s = reliability::own_detectable_change(&baseline)?;
    let change_s = median(session)? - median(session - 1)?;
    let index = reliability::change_index(change_s, baseline.sd()?)?;
    Some(Reliable { change_s, detectable_s, index, sessions: baseline.len() as u32 })
}

/// Slower presses or more misses, and what to look at first.
fn decline(compared: &Comparison) -> Option<Remark> {
    let worse = [compared.slower(), compared.missed_more()].contains(&Told::More);
    worse.then(|| Remark {
        text: "Pressing was harder this time. That has many causes, and most can be mended.".into(),
        remedy: "Look at the site, at the switch and its mounting, and at fatigue and health, before you lengthen the \
                 scan interval."
            .into(),
    })
}

impl Reliable {
    /// Whether the change is greater than what chance alone seldom makes.
    #[must_use]
    pub fn beyond(&self) -> bool {
        self.change_s.abs() > self.detectable_s
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, hit, lognormal};
    use super::*;

    /// A session for each median latency, twelve presses each.
    fn with(medians: &[f64]) -> Vec<Change> {
        let mut evidence = evidence();
        evidence.sessions = medians.len() as u32;
        for (session, median) in (0..).zip(medians) {
            evidence.opportunities.extend(lognormal(*median, 0.1, 12).map(|at| Opportunity { session, ..hit(at) }));
        }
        changes(&evidence)
    }

    #[test]
    fn two_sessions_have_no_detectable_change() {
        let found = with(&[0.7, 0.9]);
        let [change] = &found[..] else { panic!("{found:?}") };
        assert_eq!((change.session, change.reliable), (2, None));
        assert_eq!(change.compared.as_ref().map(Comparison::slower), Some(Told::More));
    }

    #[test]
    fn a_decline_asks_for_site_switch_and_fatigue_before_the_interval() {
        let found = with(&[0.7, 0.9]);
        let remedy = &found[0].remarks[0].remedy;
        let places = ["site", "switch", "fatigue", "interval"].map(|word| remedy.find(word).unwrap());
        assert!(places.is_sorted(), "{remedy}");
        assert_eq!(with(&[0.9, 0.7])[0].remarks, []);
    }

    #[test]
    fn the_wavering_of_three_sessions_before_tells_a_real_change() {
        // Medians 0.70, 0.72, 0.74: SD 0.02, detectable 1.959964 * sqrt(2) * 0.02 = 0.05544; the change
        // of 0.2 has the index 0.2 / (sqrt(2) * 0.02) = 7.071.
        let found = with(&[0.70, 0.72, 0.74, 0.94]);
        assert_eq!((found[0].reliable, found.len()), (None, 3));
        assert_eq!(found[1].reliable.map(|one| one.sessions), Some(3));
        let last = found[2].reliable.unwrap();
        assert!((last.detectable_s - 0.055_436).abs() < 1e-5 && (last.index - 7.071).abs() < 1e-2, "{last:?}");
        assert!(last.beyond() && last.sessions == 3 && !found[1].reliable.unwrap().beyond());
    }

    #[test]
    fn sessions_that_never_waver_give_no_infinite_index() {
        assert!(with(&[0.7, 0.7, 0.7])[1].reliable.is_none());
    }

    #[test]
    fn a_session_without_presses_is_not_compared() {
        let mut none = evidence();
        none.sessions = 2;
        let found = changes(&none);
        assert!(found[0].compared.is_none() && found[0].remarks[0].text.starts_with("Too few"), "{found:?}");
        assert_eq!(changes(&evidence()), []);
    }
}
