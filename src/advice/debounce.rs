//! The debounce: contact bounce only. Tremor is the business of hold time and lockout.
//!
//! Bounce lasts a few milliseconds (engineering texts; waits of 10 to 30 ms are usual), so 20 to
//! 30 ms are ample. The debounce in force hides bounce shorter than itself, so only a short one can
//! show that there is any.

use super::recommendation::{Advice, Named, Recommendation};
use crate::analysis::evidence::Evidence;
use crate::analysis::words::count;
use crate::settings::Id;

/// Where the rule comes from.
const SOURCE: &str = "20 to 30 ms against contact bounce of a few milliseconds; common practice, no source";
/// An opening or a closure shorter than this is bounce: nobody presses so fast.
const BOUNCE_S: f64 = 0.010;
/// The values that are ample.
const AMPLE_S: [f64; 2] = [0.020, 0.030];
/// Fewer closures do not show that there is no bounce.
const FEWEST: usize = 20;

/// Advises a debounce.
#[must_use]
pub fn advise(evidence: &Evidence) -> Recommendation {
    let bounces = bounces(evidence);
    let now = evidence.settings.debounce().as_seconds();
    let blank = blank(evidence.contacts.len());
    match (now, bounces) {
        (now, _) if now > AMPLE_S[1] => {
            set(blank, bounces, "30 ms is ample for contact bounce; tremor is for hold time and lockout.")
        }
        (now, 1..) if now < AMPLE_S[1] => set(blank, bounces, "Contact bounce came through; 30 ms is ample for it."),
        (_, 1..) => worn(blank, bounces),
        (now, 0) if now >= AMPLE_S[0] && evidence.contacts.is_empty() => keep(blank, "It is ample for contact bounce."),
        (now, 0) if now >= AMPLE_S[0] => keep(blank, "It is ample for contact bounce, and none came through."),
        _ if evidence.contacts.len() >= FEWEST => keep(blank, "No contact bounce was seen."),
        _ => few(blank, evidence.contacts.len()),
    }
}

/// Closures and openings too short for a person.
fn bounces(evidence: &Evidence) -> u32 {
    let brief = |seconds: Option<f64>| u32::from(seconds.is_some_and(|seconds| seconds < BOUNCE_S));
    evidence.contacts.iter().map(|contact| brief(contact.held_s) + brief(contact.gap_s)).sum()
}

fn set(blank: Recommendation, bounces: u32, why: &str) -> Recommendation {
    let name = "openings and closures under 10 ms";
    let beside = vec![Named { name, value: f64::from(bounces), unit: "", interval: None }];
    let advice = Advice::Set { setting: Id::Debounce, value: AMPLE_S[1], unit: "s", interval: None, beside };
    Recommendation { advice, why: why.into(), ..blank }
}

fn keep(blank: Recommendation, why: &str) -> Recommendation {
    Recommendation { why: why.into(), ..blank }
}

/// Bounce that an ample debounce lets through is a fault of the switch or its lead.
fn worn(blank: Recommendation, bounces: u32) -> Recommendation {
    let seen = count(bounces, "opening or closure", "openings or closures");
    Recommendation {
        why: format!("{seen} under 10 ms came through a debounce that is ample."),
        next: "Look at the switch, its plug and its lead.".into(),
        ..blank
    }
}

fn few(blank: Recommendation, closures: usize) -> Recommendation {
    Recommendation {
        advice: Advice::more(FEWEST, closures, "presses of any kind"),
        why: format!("Only {closures} presses were seen; {FEWEST} are wanted to tell whether the contact bounces."),
        ..blank
    }
}

fn blank(closures: usize) -> Recommendation {
    Recommendation::keep("debounce", 1, SOURCE, closures)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, press};
    use super::*;
    use crate::analysis::evidence::Aim;

    fn with(debounce_us: i64, closures: u32, held_s: f64) -> Recommendation {
        let mut evidence = evidence();
        evidence.settings = evidence.settings.with(Id::Debounce, debounce_us);
        (0..closures).for_each(|_| press(&mut evidence, Aim::Unwanted, 0.1, held_s));
        advise(&evidence)
    }

    fn is_set(found: &Recommendation) -> bool {
        matches!(found.advice, Advice::Set { value: 0.03, .. })
    }

    #[test]
    fn bounce_asks_for_an_ample_debounce() {
        assert!(is_set(&with(0, 30, 0.004)));
    }

    #[test]
    fn tremor_asks_for_none() {
        // 10 Hz, the fast end of parkinsonian and essential tremor, closes for some 50 ms.
        assert_eq!(with(0, 30, 0.05).advice, Advice::Keep);
        assert!(is_set(&with(150_000, 30, 0.05)));
    }

    #[test]
    fn bounce_through_an_ample_debounce_is_a_fault() {
        let found = with(30_000, 1, 0.004);
        assert!(found.advice == Advice::Keep && found.next.contains("lead"));
    }

    #[test]
    fn few_presses_do_not_show_that_there_is_none() {
        assert!(matches!(with(0, 3, 0.2).advice, Advice::NotEnough { more: 17, .. }));
        assert_eq!(with(30_000, 0, 0.2).advice, Advice::Keep);
    }
}
