//! Hand-made evidence for the tests of the rules.

use crate::analysis::evidence::{Aim, Contact, Evidence, Opportunity, Response};
use crate::menu::shipped;
use crate::session::event::BlockKind;
use crate::session::setup::Setup;
use crate::session::trial::Outcome;
use crate::settings::Settings;
use crate::stats::latency::Paced;
use crate::stats::normal;

/// Evidence without a press.
pub fn evidence() -> Evidence {
    Evidence {
        setup: Setup::default(),
        menu: shipped::find("six").unwrap(),
        settings: Settings::default(),
        sessions: 1,
        invented: true,
        opportunities: Vec::new(),
        contacts: Vec::new(),
        quiet_s: 120.0,
        involuntary: 0,
        ahead_s: 0.0,
        ahead: 0,
        wanted_stays_s: Vec::new(),
        unwanted_stays_s: Vec::new(),
        wrong_groups: Vec::new(),
        lag_s: None,
    }
}

/// A lighting of an entry that was hit after `latency_s`.
pub fn hit(latency_s: f64) -> Opportunity {
    Opportunity {
        session: 0,
        block: 3,
        kind: BlockKind::TimedPress,
        trial: 1,
        at_s: 0.0,
        position: 2,
        count: 6,
        level: 0,
        interval_s: 2.0,
        window_s: 2.0,
        paced: true,
        response: Response::Pressed { latency_s, held_s: 0.0, outcome: Outcome::Hit },
    }
}

/// Adds a closure `gap_s` after the last release.
pub fn press(evidence: &mut Evidence, aim: Aim, gap_s: f64, held_s: f64) {
    let before = evidence.contacts.last().map_or(0.0, |last| last.pressed_s + last.held_s.unwrap_or(0.0));
    let since_release_s = (!evidence.contacts.is_empty()).then_some(gap_s);
    let contact = Contact {
        session: 0,
        pressed_s: before + gap_s,
        held_s: Some(held_s),
        gap_s: since_release_s,
        pair_s: None,
        after_choice_s: None,
        aim,
    };
    evidence.contacts.push(contact);
}

/// `count` values that lie as a lognormal law does, by its median and the SD of its logarithm.
pub fn lognormal(median: f64, sd: f64, count: u32) -> impl Iterator<Item = f64> {
    (0..count).map(move |i| {
        let p = (f64::from(i) + 0.5) / f64::from(count);
        median * libm::exp(sd * normal::quantile(p))
    })
}

/// A press under an interval, at a moment that says nothing.
pub fn paced(interval: f64, latency: f64) -> Paced {
    Paced { session: 0, minutes: 0.0, interval, latency }
}
