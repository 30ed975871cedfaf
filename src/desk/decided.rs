//! The settings sheet as the clinician decided it: accepted, adjusted, rejected, value by value.

use super::person::{Decision, Person, Verdict};
use crate::settings::{Id, Settings, find, parse_value};

/// The advised `sheet` of the session in `log`, with what was decided of it; what was rejected keeps the
/// value of `current`. Of several decisions on a setting the newest holds.
#[must_use]
pub fn sheet(person: &Person, log: &str, sheet: &Settings, current: &Settings) -> Settings {
    let decisions = person.decisions.iter().filter(|one| one.log == log);
    decisions.fold(sheet.clone(), |settings, one| decided(one, sheet, current, settings))
}

fn decided(one: &Decision, sheet: &Settings, current: &Settings, settings: Settings) -> Settings {
    let Ok(id) = find(&one.setting) else { return settings };
    match &one.verdict {
        Verdict::Accepted => settings.with(id, sheet.raw(id)),
        Verdict::Rejected => settings.with(id, current.raw(id)),
        Verdict::Adjusted(text) => value(id, text).map_or(settings.clone(), |raw| settings.with(id, raw)),
    }
}

/// A value as a clinician types it, with a point or a comma.
///
/// # Errors
/// A sentence that says what can be set.
pub fn value(id: Id, typed: &str) -> Result<i64, String> {
    parse_value(id, &typed.replace(',', ".")).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn person(decisions: &[(&str, Verdict)]) -> Person {
        let decision = |(setting, verdict): &(&str, Verdict)| Decision {
            on: "2026-11-29".into(),
            log: "a".into(),
            setting: (*setting).into(),
            advised: "1.1 s".into(),
            verdict: verdict.clone(),
            reason: "why".into(),
        };
        Person { decisions: decisions.iter().map(decision).collect(), ..Person::default() }
    }

    #[test]
    fn the_newest_decision_on_each_value_holds() {
        let advised = Settings::default().with(Id::ScanInterval, 1_100_000).with(Id::Hold, 200_000);
        let current = Settings::default();
        let told = |decisions: &[(&str, Verdict)]| sheet(&person(decisions), "a", &advised, &current);
        assert_eq!(told(&[]), advised);
        assert_eq!(told(&[("hold", Verdict::Rejected)]).raw(Id::Hold), current.raw(Id::Hold));
        let adjusted = Verdict::Adjusted("1,3 s".into());
        let both = told(&[("scan_interval", Verdict::Rejected), ("scan_interval", adjusted)]);
        assert_eq!(both.raw(Id::ScanInterval), 1_300_000);
        assert_eq!(sheet(&person(&[("hold", Verdict::Rejected)]), "another log", &advised, &current), advised);
    }

    #[test]
    fn what_cannot_be_set_is_told() {
        assert_eq!(value(Id::ScanInterval, " 1.3"), Ok(1_300_000));
        assert!(value(Id::ScanInterval, "soon").is_err() && value(Id::ScanInterval, "900").is_err());
    }
}
