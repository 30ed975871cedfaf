//! Mastered, repeated, too hard, or stuck: what comes after a session of one step.
//!
//! The rule is the sequential probability ratio test ([`crate::stats::sequential`]) between a share of
//! hits that is poor and one that is good. Sixteen hits in a row are enough, three misses in a row too
//! many. It is asked after every attempt and stops at its first answer.

use crate::stats::sequential::{Gate, Verdict};

/// When a step is mastered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mastery {
    /// After this many presses, whatever they hit.
    Presses(u32),
    /// When a share of hits is shown to be good rather than poor.
    Share {
        /// A share that is no mastery.
        poor: f64,
        /// A share that is.
        good: f64,
    },
}

/// Risk to call a poor share good.
const FALSE_GOOD: f64 = 0.05;
/// Risk to call a good share poor.
const FALSE_POOR: f64 = 0.10;
/// Sessions of one step without an answer or a faster interval: practice alone does not help on.
pub const PLATEAU: usize = 3;
/// A faster interval is one by at least this share.
const MOVED: f64 = 0.05;

impl Mastery {
    /// 90 % rather than 75 % of attempts.
    pub const MOST: Mastery = Mastery::Share { poor: 0.75, good: 0.90 };

    /// What the attempts and presses of one session say.
    #[must_use]
    pub fn after(self, hits: u32, misses: u32, presses: u32) -> Verdict {
        match self {
            Mastery::Presses(wanted) if presses >= wanted => Verdict::Good,
            Mastery::Presses(_) => Verdict::GoOn,
            Mastery::Share { poor, good } => Gate::new(poor, good, FALSE_GOOD, FALSE_POOR)
                .map_or(Verdict::GoOn, |gate| gate.after(hits.into(), misses.into())),
        }
    }

    /// The rule in words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Mastery::Presses(wanted) => format!("mastered after {wanted} presses"),
            Mastery::Share { poor, good } => format!(
                "mastered when a sequential test finds {:.0} % of attempts right rather than {:.0} %; 16 right in a row are enough",
                100.0 * good,
                100.0 * poor
            ),
        }
    }
}

/// What comes after a session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// The next step.
    Up,
    /// The same step again.
    Again,
    /// The step before.
    Down,
    /// Nothing moves: somebody has to look at it.
    AskTherapist,
}

impl Next {
    /// For the client and whoever is with them.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Next::Up => "Next time: the next step.",
            Next::Again => "Next time: the same step again.",
            Next::Down => "Next time: an easier step.",
            Next::AskTherapist => "Please ask your therapist before the next practice.",
        }
    }
}

/// A session of one step, as far as the next one is decided by it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Session {
    /// What the test said.
    pub verdict: Verdict,
    /// The interval that it ended with, in seconds, where the data bear one.
    pub interval_s: Option<f64>,
}

/// What comes after these sessions of the same step, the last one being the newest. `lowest` is a step
/// that has none before it.
#[must_use]
pub fn next(sessions: &[Session], lowest: bool) -> Next {
    match sessions.last().map(|session| session.verdict) {
        Some(Verdict::Good) => Next::Up,
        Some(Verdict::Poor) if lowest => Next::AskTherapist,
        Some(Verdict::Poor) => Next::Down,
        _ if nothing_moves(sessions) => Next::AskTherapist,
        _ => Next::Again,
    }
}

fn nothing_moves(sessions: &[Session]) -> bool {
    let Some(from) = sessions.len().checked_sub(PLATEAU) else { return false };
    let latest = &sessions[from..];
    let undecided = latest.iter().all(|session| session.verdict == Verdict::GoOn);
    let faster = match (latest[0].interval_s, latest[PLATEAU - 1].interval_s) {
        (Some(first), Some(last)) => last < first * (1.0 - MOVED),
        _ => false,
    };
    undecided && !faster
}

#[cfg(test)]
mod tests {
    use super::*;

    fn session(verdict: Verdict, interval_s: f64) -> Session {
        Session { verdict, interval_s: Some(interval_s) }
    }

    #[test]
    fn sixteen_right_in_a_row_master_a_step_and_three_wrong_ones_are_too_many() {
        // Wald's test of 0.75 against 0.90 at risks 0.05 and 0.10: bounds 2.890372 and -2.251292.
        assert_eq!(Mastery::MOST.after(15, 0, 15), Verdict::GoOn);
        assert_eq!(Mastery::MOST.after(16, 0, 16), Verdict::Good);
        assert_eq!(Mastery::MOST.after(0, 2, 2), Verdict::GoOn);
        assert_eq!(Mastery::MOST.after(0, 3, 3), Verdict::Poor);
        assert_eq!(Mastery::Presses(8).after(0, 7, 8), Verdict::Good);
    }

    #[test]
    fn a_verdict_leads_up_or_down() {
        assert_eq!(next(&[session(Verdict::Good, 1.0)], false), Next::Up);
        assert_eq!(next(&[session(Verdict::Poor, 1.0)], false), Next::Down);
        assert_eq!(next(&[session(Verdict::Poor, 1.0)], true), Next::AskTherapist);
        assert_eq!(next(&[], true), Next::Again);
    }

    #[test]
    fn three_sessions_without_movement_ask_the_therapist() {
        let same = [session(Verdict::GoOn, 1.0); 3];
        assert_eq!((next(&same[..2], false), next(&same, false)), (Next::Again, Next::AskTherapist));
        let faster = [1.0, 0.97, 0.9].map(|interval| session(Verdict::GoOn, interval));
        assert_eq!(next(&faster, false), Next::Again);
    }
}
