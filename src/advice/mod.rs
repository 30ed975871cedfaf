//! From evidence to recommendations: one rule a file, in a list.
//!
//! The rules never open a log and never draw from anything but a stream with a fixed seed: the same
//! evidence gives the same advice. A rule that the data cannot bear says what is missing.

mod alike;
pub mod asked;
pub mod between;
pub mod by_traits;
pub mod change;
pub mod compare;
pub mod compare_text;
pub mod confirm;
pub mod consistency;
pub mod contest;
pub mod contradiction;
mod curve;
pub mod debounce;
mod doubt;
pub mod draws;
pub mod dwell;
pub mod expected_time;
pub mod first_item;
pub mod gaps;
pub mod headroom;
pub mod hold;
pub mod hold_feedback;
pub(crate) mod humps;
pub mod json;
pub mod lockout;
pub mod loops;
mod omissions;
pub mod optimum;
pub mod overview;
pub mod overview_text;
pub(crate) mod parallel;
pub mod pattern;
pub mod pause;
pub mod pictures;
pub mod presses;
mod rate_curve;
pub mod recommendation;
mod resampling;
pub(crate) mod rhythm;
mod rhythm_advice;
pub mod routes;
#[cfg(test)]
mod sample;
pub mod scan_rate;
mod seen;
pub mod set_up;
pub mod sheet;
pub mod sheet_text;
pub(crate) mod task;
pub mod technique;
pub mod text;
pub mod timed;
pub mod trains;
pub mod trend;
pub mod trend_omissions;
mod visit;
mod walk;

use crate::analysis::evidence::Evidence;
use crate::engine::pattern::Arrangement;
use crate::settings::{Id, Technique};
use asked::Asked;
use recommendation::Recommendation;
use routes::Routes;
use sheet::Sheet;
use timed::Timed;

/// A rule of advice.
pub type Rule = fn(&Evidence) -> Recommendation;

/// The rules that stand by themselves, in the order in which a clinician reads them.
pub const RULES: &[Rule] = &[pause::advise, hold::advise, lockout::advise, debounce::advise];

/// What every rule makes of the evidence: the scan rate first, then what follows from it, then the
/// rest; last, how far all of it carries. Rules for groups are silent where the menu has none.
#[must_use]
pub fn recommendations(evidence: &Evidence) -> Vec<Recommendation> {
    recommendations_for(evidence, &Asked::default())
}

/// The same with what the clinician has added.
#[must_use]
pub fn recommendations_for(evidence: &Evidence, asked: &Asked) -> Vec<Recommendation> {
    let pointed = evidence.settings.technique() == Technique::Dwell;
    let mut list = if pointed { under_a_pointer(evidence) } else { under_a_switch(evidence, asked) };
    list.iter_mut().for_each(Recommendation::take_in_value);
    list
}

fn under_a_switch(evidence: &Evidence, asked: &Asked) -> Vec<Recommendation> {
    let scan_rate = scan_rate::advise_for(evidence, asked);
    let in_force = evidence.settings.scan_interval().as_seconds();
    let interval_s = scan_rate.value_of(Id::ScanInterval).unwrap_or(in_force);
    let routes = Routes::of(&Arrangement::new(&evidence.menu, &evidence.settings));
    let any = |test: fn(&Routes) -> bool| routes.as_ref().is_some_and(test);
    let timed = Timed::of(evidence);
    let mut list = vec![scan_rate, first_item::after_start(evidence, interval_s)];
    list.extend(any(Routes::has_first_in_group).then(|| first_item::in_group(evidence, interval_s)));
    list.extend(RULES.iter().map(|rule| rule(evidence)));
    list.extend(any(Routes::has_groups).then(|| loops::advise(evidence)));
    list.extend(dwell::advise(&dwell::Stays::of(evidence)));
    hold_feedback::feed_back(&mut list, evidence);
    // Another pattern or technique has to be tried first: headroom is that of the one in force.
    let sheet = Sheet::new(evidence, &list);
    list.extend([pattern::advise(evidence, &timed), technique::advise(evidence, &timed), trend::advise(evidence)]);
    list.push(headroom::advise(evidence, &timed, &sheet.settings));
    list
}

/// Under a pointer nothing is scanned and no switch is pressed: the rules for those have nothing to say.
fn under_a_pointer(evidence: &Evidence) -> Vec<Recommendation> {
    let mut list: Vec<Recommendation> = dwell::advise(&dwell::Stays::of(evidence)).into_iter().collect();
    list.push(pause::advise(evidence));
    list
}

#[cfg(test)]
mod tests {
    use super::recommendation::Advice;
    use super::sample::{evidence, hit, lognormal, press};
    use super::*;
    use crate::analysis::evidence::Aim;

    #[test]
    fn every_value_lies_in_its_own_interval() {
        let mut evidence = Evidence { opportunities: lognormal(0.7, 0.3, 60).map(hit).collect(), ..evidence() };
        // Unwanted presses that last up to a little more than the shortest of the wanted ones.
        for nth in 0..80 {
            press(&mut evidence, Aim::Wanted, 2.0, 0.21 + 0.005 * f64::from(nth));
            press(&mut evidence, Aim::Unwanted, 2.0, 0.05 + 0.0025 * f64::from(nth));
        }
        let list = recommendations(&evidence);
        let hold = list.iter().find(|one| one.value_of(Id::Hold).is_some()).expect("a hold time");
        let Advice::Set { value, interval: Some([low, high]), .. } = hold.advice else { panic!("{hold:?}") };
        assert!(low <= value && value <= high, "{hold:?}");
        let alone = hold::advise(&evidence);
        let Advice::Set { interval: Some([low, _]), .. } = alone.advice else { panic!("{alone:?}") };
        assert!(value < low, "the rule by itself leaves it out: {alone:?}");
    }
}
