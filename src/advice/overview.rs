//! Several sessions of one client: advice and changes for each set-up, and the set-ups compared.

use super::asked::Asked;
use super::between::{Between, Side, between};
use super::change::{Change, changes};
use super::set_up::SetUpAdvice;
use crate::analysis::confirm::measuring;
use crate::analysis::gather::Unfit;
use crate::analysis::ratings;
use crate::analysis::set_ups::{Session, SetUp, set_ups};

/// What is said of several sessions.
#[derive(Clone, Debug, PartialEq)]
pub struct Overview {
    /// Each set-up, in order of its first session.
    pub set_ups: Vec<SetUpOverview>,
    /// Every pair of set-ups for which there is advice.
    pub comparisons: Vec<Between>,
}

/// What is said of one set-up.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUpOverview {
    /// Which sessions it has.
    pub set_up: SetUp,
    /// Those of its sessions that measured, by their place among all; changes and evidence count them.
    pub measured: Vec<usize>,
    /// What the client said in each of those: name of the question and value.
    pub said: Vec<Vec<(String, u8)>>,
    /// What to set, or why nothing can be advised.
    pub advice: Result<SetUpAdvice, Unfit>,
    /// From one session to the next.
    pub changes: Vec<Change>,
}

impl Overview {
    /// Looks at `sessions` of one client, in order of time, with what the clinician has added.
    ///
    /// # Errors
    /// When they are not of one client, or some are invented and some not.
    pub fn of(sessions: &[Session], asked: &Asked) -> Result<Overview, Unfit> {
        let set_ups: Vec<_> =
            set_ups(sessions)?.into_iter().map(|one| SetUpOverview::of(sessions, one, asked)).collect();
        let sides: Vec<Side> = set_ups.iter().enumerate().filter_map(|(place, one)| one.side(place)).collect();
        let pairs = (0..sides.len()).flat_map(|first| (first + 1..sides.len()).map(move |second| (first, second)));
        let comparisons = pairs.map(|(first, second)| between(sides[first], sides[second])).collect();
        Ok(Overview { set_ups, comparisons })
    }
}

impl SetUpOverview {
    fn of(all: &[Session], set_up: SetUp, asked: &Asked) -> SetUpOverview {
        let sessions: Vec<Session> = set_up.sessions.iter().map(|index| all[*index]).collect();
        let advice = SetUpAdvice::for_asked(&sessions, asked);
        let measured = measuring(&sessions);
        SetUpOverview {
            said: measured.iter().map(|index| ratings(sessions[*index].0, sessions[*index].1)).collect(),
            measured: measured.into_iter().map(|index| set_up.sessions[index]).collect(),
            changes: advice.as_ref().map_or_else(|_| Vec::new(), |advice| changes(&advice.evidence)),
            advice,
            set_up,
        }
    }

    /// What the client said in the last session with an answer.
    #[must_use]
    pub fn ratings(&self) -> &[(String, u8)] {
        self.said.iter().rev().find(|said| !said.is_empty()).map_or(&[], Vec::as_slice)
    }

    fn side(&self, place: usize) -> Option<Side<'_>> {
        let taken = [*self.measured.first()?, *self.measured.last()?];
        let evidence = &self.advice.as_ref().ok()?.evidence;
        Some(Side { place, evidence, ratings: self.ratings(), taken })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::header::Header;
    use crate::log::header::tests::header;

    fn at(site: &str) -> Header {
        let mut header = header();
        header.setup.site = site.into();
        header
    }

    #[test]
    fn every_pair_of_set_ups_is_compared_and_every_session_with_the_one_before() {
        let headers = [at("cheek"), at("hand"), at("cheek"), at("chin")];
        let sessions: Vec<Session> = headers.iter().map(|header| (header, &[][..])).collect();
        let found = Overview::of(&sessions, &Asked::default()).unwrap();
        let changes: Vec<usize> = found.set_ups.iter().map(|one| one.changes.len()).collect();
        assert_eq!((changes, found.comparisons.len()), (vec![1, 0, 0], 3));
        assert!(found.comparisons.iter().all(|one| one.compared.is_none() && !one.remarks.is_empty()));
        assert_eq!(found.set_ups[0].measured, [0, 2]);
    }
}
