//! From evidence to recommendations: one rule a file, in a list.
//!
//! The rules never open a log and never draw from anything but a stream with a fixed seed: the same
//! evidence gives the same advice. A rule that the data cannot bear says what is missing.

pub mod between;
pub mod change;
pub mod compare;
pub mod compare_text;
pub mod confirm;
pub mod consistency;
pub mod debounce;
pub mod draws;
pub mod expected_time;
pub mod first_item;
pub mod gaps;
pub mod hold;
pub mod hold_feedback;
pub mod json;
pub mod lockout;
pub mod loops;
pub mod optimum;
pub mod overview;
pub mod overview_text;
pub mod presses;
pub mod recommendation;
#[cfg(test)]
mod sample;
pub mod scan_rate;
pub mod set_up;
pub mod sheet;
pub mod sheet_text;
pub mod text;
pub mod trains;
pub mod trend;
pub mod trend_omissions;

use crate::analysis::evidence::Evidence;
use crate::settings::Id;
use recommendation::Recommendation;

/// A rule of advice.
pub type Rule = fn(&Evidence) -> Recommendation;

/// The rules that stand by themselves, in the order in which a clinician reads them.
pub const RULES: &[Rule] = &[hold::advise, lockout::advise, debounce::advise, loops::advise, trend::advise];

/// What every rule makes of the evidence: the scan rate first, then what follows from it, then the rest.
#[must_use]
pub fn recommendations(evidence: &Evidence) -> Vec<Recommendation> {
    let scan_rate = scan_rate::advise(evidence);
    let in_force = evidence.settings.scan_interval().as_seconds();
    let interval_s = scan_rate.value_of(Id::ScanInterval).unwrap_or(in_force);
    let first = [first_item::after_start, first_item::in_group].map(|rule| rule(evidence, interval_s));
    let others = RULES.iter().map(|rule| rule(evidence));
    let mut list: Vec<_> = std::iter::once(scan_rate).chain(first).chain(others).collect();
    hold_feedback::feed_back(&mut list, evidence);
    list
}
