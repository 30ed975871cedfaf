//! Time between closures of the switch, as a repeat lockout counts it.

use crate::analysis::evidence::{Aim, Contact, Evidence};
use crate::settings::{Id, Kind, LockoutFrom};

/// Two closures of one session, one after the other.
#[derive(Clone, Copy, Debug)]
pub struct Pair<'a> {
    /// The earlier.
    pub first: &'a Contact,
    /// The later.
    pub second: &'a Contact,
}

impl Pair<'_> {
    /// From press to press, in seconds.
    #[must_use]
    pub fn period_s(&self) -> f64 {
        self.second.pressed_s - self.first.pressed_s
    }

    /// From where the lockout counts to the later press, in seconds.
    #[must_use]
    pub fn lockout_s(&self, from: LockoutFrom) -> Option<f64> {
        match from {
            LockoutFrom::Release => self.second.gap_s,
            LockoutFrom::Press => Some(self.period_s()),
        }
    }
}

/// All pairs of neighbouring closures.
pub fn pairs(evidence: &Evidence) -> impl Iterator<Item = Pair<'_>> {
    let neighbours = evidence.contacts.windows(2).map(|two| Pair { first: &two[0], second: &two[1] });
    neighbours.filter(|pair| pair.first.session == pair.second.session)
}

/// Gaps that the lockout can reach, before presses that were not asked for.
#[must_use]
pub fn repeats(evidence: &Evidence) -> Vec<f64> {
    let repeats = pairs(evidence).filter(|pair| pair.second.aim == Aim::Unwanted && pair.first.aim != Aim::Unknown);
    within_reach(repeats, evidence.settings.lockout_from())
}

/// Gaps that the lockout can reach, between two presses that were asked for.
#[must_use]
pub fn deliberate(evidence: &Evidence) -> Vec<f64> {
    let meant = pairs(evidence).filter(|pair| [pair.first.aim, pair.second.aim] == [Aim::Wanted; 2]);
    within_reach(meant, evidence.settings.lockout_from())
}

fn within_reach<'a>(pairs: impl Iterator<Item = Pair<'a>>, from: LockoutFrom) -> Vec<f64> {
    pairs.filter_map(|pair| pair.lockout_s(from)).filter(|gap| *gap <= reach_s()).collect()
}

/// The longest lockout there is.
fn reach_s() -> f64 {
    match Id::Lockout.setting().kind {
        Kind::Time { max, .. } => max as f64 / 1e6,
        _ => f64::INFINITY,
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, press};
    use super::*;

    #[test]
    fn gaps_count_from_where_the_lockout_does() {
        let mut evidence = evidence();
        let presses =
            [(Aim::Wanted, 0.0), (Aim::Unwanted, 0.2), (Aim::Wanted, 1.0), (Aim::Wanted, 0.8), (Aim::Wanted, 9.0)];
        presses.iter().for_each(|(aim, gap)| press(&mut evidence, *aim, *gap, 0.1));
        assert_eq!((repeats(&evidence), deliberate(&evidence)), (vec![0.2], vec![0.8]));
        evidence.settings = evidence.settings.with(Id::LockoutFrom, 1);
        assert!((repeats(&evidence)[0] - 0.3).abs() < 1e-9);
    }
}
