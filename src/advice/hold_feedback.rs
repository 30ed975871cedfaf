//! The hold time, fed back into the scan rate.
//!
//! Where the item lit at acceptance is taken while the scan runs on, a press counts when its hold
//! time is over. The presses speak for a scan rate at the hold time they were measured with; a longer
//! one is added to it. A shorter one takes nothing away: that asks for a new measurement.

use super::recommendation::{Advice, Recommendation, Remark};
use crate::analysis::evidence::Evidence;
use crate::analysis::words::seconds;
use crate::settings::{Id, ItemTaken, ScanWhileHeld, Settings, rounding};

/// How much later a press counts under `settings` than it did with a hold time of `measured_s`, in
/// seconds; 0 where that does not delay the choice.
#[must_use]
pub fn added_s(settings: &Settings, measured_s: f64) -> f64 {
    let counts = settings.item_taken() == ItemTaken::Acceptance && settings.scan_while_held() == ScanWhileHeld::RunsOn;
    if counts { (settings.hold().as_seconds() - measured_s).max(0.0) } else { 0.0 }
}

/// What the advised hold time adds to the advised scan rate, in seconds.
pub(super) fn advised_s(recommendations: &[Recommendation], evidence: &Evidence) -> f64 {
    let Some(hold) = recommendations.iter().find_map(|one| one.value_of(Id::Hold)) else { return 0.0 };
    let mut settings = evidence.settings.clone();
    // Out of range: the hold time stays as it is, and nothing is added.
    let _ = settings.set_raw(Id::Hold, libm::round(hold * 1e6) as i64);
    added_s(&settings, evidence.settings.hold().as_seconds())
}

/// Lengthens the advised scan rate by what the advised hold time adds.
pub fn feed_back(recommendations: &mut [Recommendation], evidence: &Evidence) {
    let added = advised_s(recommendations, evidence);
    if added > 0.0 {
        recommendations.iter_mut().for_each(|one| lengthen(one, added));
    }
}

fn lengthen(one: &mut Recommendation, added: f64) {
    let Advice::Set { setting: Id::ScanInterval, value, interval, beside, .. } = &mut one.advice else { return };
    let measured = *value;
    *value = rounding::up(Id::ScanInterval, measured + added);
    *interval = interval.map(|ends| ends.map(|end| end + added));
    for fastest in beside.iter_mut().filter(|named| named.name == "fastest safe") {
        fastest.value = rounding::up(Id::ScanInterval, fastest.value + added);
        fastest.interval = fastest.interval.map(|ends| ends.map(|end| end + added));
    }
    one.cautions.push(Remark {
        text: format!(
            "The presses speak for {}; {} more is for the advised hold time, for a press counts when that is over.",
            seconds(measured),
            seconds(added)
        ),
        remedy: "Without the hold time set the shorter one.".into(),
    });
}

#[cfg(test)]
mod tests {
    use super::super::recommendation::Named;
    use super::super::sample::evidence;
    use super::*;

    fn set(setting: Id, value: f64) -> Recommendation {
        let fastest = Named { name: "fastest safe", value: 1.0, unit: "s", interval: None };
        let advice = Advice::Set { setting, value, unit: "s", interval: Some([0.9, 1.3]), beside: vec![fastest] };
        Recommendation { advice, ..Recommendation::keep("a rule", 1, "a test", 40) }
    }

    fn interval_with(hold: f64, evidence: &Evidence) -> Recommendation {
        let mut list = [set(Id::ScanInterval, 1.15), set(Id::Hold, hold)];
        feed_back(&mut list, evidence);
        list[0].clone()
    }

    #[test]
    fn a_longer_hold_time_lengthens_the_scan_rate_and_says_so() {
        let found = interval_with(0.2, &evidence());
        let Advice::Set { value, interval: Some([low, high]), ref beside, .. } = found.advice else { panic!() };
        assert!((value, beside[0].value) == (1.35, 1.2) && (low - 1.1).abs() < 1e-9 && (high - 1.5).abs() < 1e-9);
        assert!(found.cautions[0].text.starts_with("The presses speak for 1.15 s; 0.20 s more"));
    }

    #[test]
    fn where_it_does_not_delay_the_choice_nothing_is_added() {
        let mut held = evidence();
        held.settings = held.settings.with(Id::Hold, 200_000);
        assert_eq!(interval_with(0.2, &held), set(Id::ScanInterval, 1.15));
        assert_eq!(interval_with(0.1, &held), set(Id::ScanInterval, 1.15));
        let mut at_press = evidence();
        at_press.settings = at_press.settings.with(Id::ItemTaken, 1);
        assert_eq!(interval_with(0.2, &at_press), set(Id::ScanInterval, 1.15));
        assert_eq!(interval_with(99.0, &evidence()), set(Id::ScanInterval, 1.15));
    }
}
