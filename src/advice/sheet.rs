//! The settings sheet: the recommended values laid over those in force, judged together.

use super::consistency::Judged;
use super::hold_feedback;
use super::recommendation::{Advice, Recommendation, Remark};
use crate::analysis::evidence::Evidence;
use crate::settings::{Id, Kind, Settings, rounding};

/// All values together.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// The values.
    pub settings: Settings,
    /// Those that a recommendation speaks of; the others stay as they are in force.
    pub advised: Vec<Id>,
    /// Those that differ from what is in force.
    pub changed: Vec<Id>,
    /// Rules that the values break together, each with what to change.
    pub broken: Vec<Remark>,
}

impl Sheet {
    /// Lays `recommendations` over the settings of `evidence`. A value out of its setting's range
    /// leaves that setting as it is.
    ///
    /// An advised scan rate allows for the advised hold time already ([`hold_feedback`]); one in force
    /// is lengthened here.
    #[must_use]
    pub fn new(evidence: &Evidence, recommendations: &[Recommendation]) -> Sheet {
        let mut settings = evidence.settings.clone();
        for (id, raw) in recommendations.iter().filter_map(value) {
            // Out of range: the setting keeps its value, as promised above.
            let _ = settings.set_raw(id, raw);
        }
        let added = hold_feedback::added_s(&settings, evidence.settings.hold().as_seconds());
        if added > 0.0 && recommendations.iter().all(|one| one.value_of(Id::ScanInterval).is_none()) {
            let longer = rounding::up(Id::ScanInterval, settings.scan_interval().as_seconds() + added);
            settings = settings.with(Id::ScanInterval, libm::round(longer * 1e6) as i64);
        }
        let interval_s = settings.scan_interval().as_seconds() - added;
        let broken = Judged::new(&settings, interval_s, evidence).broken();
        let advised = recommendations.iter().filter_map(value).map(|(id, _)| id).collect();
        let changed = settings.differences(&evidence.settings).collect();
        Sheet { settings, advised, changed, broken }
    }
}

/// The setting and the raw value that a recommendation asks for. Another pattern or technique is for a
/// trial of its own: the values were measured under the one in force, so it is never on their sheet.
fn value(recommendation: &Recommendation) -> Option<(Id, i64)> {
    match &recommendation.advice {
        Advice::Set { setting, value, .. } => Some((*setting, raw(*setting, *value)?)),
        Advice::Choose { .. } | Advice::Keep | Advice::Note | Advice::NotEnough { .. } => None,
    }
}

/// Times are whole microseconds; other kinds stand in the units of files.
fn raw(id: Id, value: f64) -> Option<i64> {
    let scale = match id.setting().kind {
        Kind::Time { .. } | Kind::OptionalTime { .. } => 1e6,
        Kind::Count { .. } => 1.0,
        Kind::Share { .. } | Kind::Angle { .. } => 1e3,
        Kind::Choice(_) => return None,
    };
    value.is_finite().then(|| libm::round(value * scale) as i64)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{evidence, press};
    use super::*;
    use crate::advice::recommendation::Sure;
    use crate::advice::recommendations;
    use crate::analysis::evidence::Aim;

    fn recommend(advice: Advice) -> Recommendation {
        Recommendation {
            rule: "a rule",
            version: 1,
            source: "a test",
            advice,
            why: String::new(),
            figures: Vec::new(),
            trials: 0,
            sure: Sure::Guess,
            cautions: Vec::new(),
            next: String::new(),
        }
    }

    fn set(setting: Id, value: f64) -> Recommendation {
        recommend(Advice::Set { setting, value, unit: "s", interval: None, beside: Vec::new() })
    }

    #[test]
    fn values_are_laid_over_those_in_force() {
        let choice = Advice::Choose { setting: Id::Pattern, choice: "row-column".into(), beside: Vec::new() };
        let advice =
            [set(Id::ScanInterval, 1.15), set(Id::LoopsInside, 3.0), recommend(choice), recommend(Advice::Keep)];
        let sheet = Sheet::new(&evidence(), &advice);
        assert_eq!(sheet.changed, [Id::ScanInterval, Id::LoopsInside]);
        assert_eq!((sheet.settings.raw(Id::ScanInterval), sheet.settings.raw(Id::LoopsInside)), (1_150_000, 3));
        let in_force = evidence().settings.raw(Id::Pattern);
        assert_eq!((sheet.settings.raw(Id::Pattern), sheet.broken), (in_force, vec![]));
    }

    #[test]
    fn what_no_setting_can_take_changes_nothing() {
        let sheet = Sheet::new(&evidence(), &[set(Id::Hold, 99.0), set(Id::Lockout, f64::NAN)]);
        assert_eq!(sheet.changed, []);
    }

    #[test]
    fn a_new_hold_time_lengthens_the_scan_rate_in_force() {
        let sheet = Sheet::new(&evidence(), &[set(Id::Hold, 0.2)]);
        assert_eq!(sheet.settings.raw(Id::ScanInterval), 2_200_000);
        assert_eq!((sheet.advised, sheet.broken), (vec![Id::Hold], vec![]));
    }

    #[test]
    fn rules_that_the_values_break_together_stand_on_the_sheet() {
        let sheet = Sheet::new(&evidence(), &[set(Id::Hold, 0.05), set(Id::Debounce, 0.1)]);
        assert_eq!(sheet.broken.len(), 1, "{:?}", sheet.broken);
    }

    #[test]
    fn every_rule_has_a_name_of_its_own_and_a_value_that_its_setting_takes() {
        let mut evidence = evidence();
        (0..40).for_each(|_| press(&mut evidence, Aim::Wanted, 0.9, 0.4));
        (0..40).for_each(|_| press(&mut evidence, Aim::Unwanted, 0.2, 0.08));
        let found = recommendations(&evidence);
        let names: std::collections::BTreeSet<_> = found.iter().map(|one| one.rule).collect();
        assert_eq!(names.len(), found.len());
        for (id, raw) in found.iter().filter_map(value) {
            assert!(id.setting().allows(raw), "{} {raw}", id.setting().name);
        }
    }
}
