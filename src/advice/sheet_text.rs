//! The settings sheet as plain text: what to change first, what stays after it, what does not fit.

use super::confirm::{ASIDE, Verdict};
use super::sheet::Sheet;
use crate::analysis::words::capital;
use crate::settings::{Id, REGISTRY, Settings, show_value, value_to_json};

/// The sheet beside the settings in force; the lines carry no line feed.
#[must_use]
pub fn lines(sheet: &Sheet, in_force: &Settings) -> Vec<String> {
    let mut lines = vec!["Settings sheet".to_string()];
    lines.extend(marked(sheet).map(|id| {
        let name = capital(id.setting().label);
        format!("* {name:<38} {:<12} {}", show_value(id, sheet.settings.raw(id)), remark(sheet, in_force, id))
    }));
    let rest: Vec<String> = REGISTRY
        .iter()
        .filter(|setting| sheet.settings.has_effect(setting.id) && !marked(sheet).any(|id| id == setting.id))
        .map(|setting| {
            format!("{} {}", setting.label.to_lowercase(), show_value(setting.id, sheet.settings.raw(setting.id)))
        })
        .collect();
    lines.push(format!("  As in force: {}.", rest.join("; ")));
    lines.extend(broken(sheet).into_iter().map(|line| format!("! {line}")));
    lines
}

/// The settings that a recommendation speaks of or that change, in the order of the registry.
pub fn marked(sheet: &Sheet) -> impl Iterator<Item = Id> + '_ {
    let ids = REGISTRY.iter().map(|setting| setting.id);
    ids.filter(|id| sheet.advised.contains(id) || sheet.changed.contains(id))
}

/// Why a value stands on the sheet: "advised, in force 2 s".
#[must_use]
pub fn remark(sheet: &Sheet, in_force: &Settings, id: Id) -> String {
    let old = show_value(id, in_force.raw(id));
    match (sheet.advised.contains(&id), sheet.changed.contains(&id)) {
        (true, true) => format!("advised; in force {old}"),
        (true, false) => "advised, as in force".into(),
        (false, true) => format!("longer for the new hold time; in force {old}"),
        (false, false) => "as in force".into(),
    }
}

/// The rules that the values break together, each with its remedy.
#[must_use]
pub fn broken(sheet: &Sheet) -> Vec<String> {
    sheet.broken.iter().map(|rule| format!("{} {}", rule.text, rule.remedy)).collect()
}

/// The command that confirms the sheet, while it waits for that.
#[must_use]
pub fn how_to_confirm(sheet: &Sheet, verdict: &Verdict) -> Option<String> {
    let waits = matches!(verdict, Verdict::Proposed { .. } | Verdict::Begun { .. }) && !sheet.advised.is_empty();
    waits.then(|| {
        let settings = Settings::default();
        let changes: String = sheet
            .settings
            .differences(&settings)
            .filter(|id| !ASIDE.contains(id))
            .map(|id| format!(" --set {}={}", id.setting().name, plain(id, sheet.settings.raw(id))))
            .collect();
        format!("To confirm: pacewright trial --client CODE --data FOLDER --protocol confirm{changes}")
    })
}

/// A value as `--set` takes it.
fn plain(id: Id, raw: i64) -> String {
    let value = value_to_json(id, raw);
    value.as_str().map_or_else(|| value.to_string(), Into::into)
}

#[cfg(test)]
mod tests {
    use super::super::recommendation::{Advice, Recommendation};
    use super::super::sample::evidence;
    use super::*;
    use crate::settings::{find, parse_value};

    fn sheet() -> Sheet {
        let set = |setting, value| {
            let advice = Advice::Set { setting, value, unit: "s", interval: None, beside: Vec::new() };
            Recommendation { advice, ..Recommendation::keep("a rule", 1, "a test", 40) }
        };
        Sheet::new(&evidence(), &[set(Id::Hold, 0.1), set(Id::Debounce, 0.2), set(Id::FirstAfterStart, 0.0)])
    }

    #[test]
    fn what_changes_comes_first_and_every_setting_with_an_effect_is_told() {
        let told = lines(&sheet(), &Settings::default());
        assert!(told[1].starts_with("* Scan rate, seconds per item") && told[1].contains("2.1 s"), "{told:?}");
        assert!(told[1].ends_with("longer for the new hold time; in force 2 s"), "{told:?}");
        assert!(told.iter().any(|line| line.starts_with("* Hold time") && line.ends_with("advised; in force 0 s")));
        let all = told.join("\n").to_lowercase();
        let listed = |setting: &crate::settings::Setting| all.contains(&setting.label.to_lowercase());
        assert!(REGISTRY.iter().all(|setting| listed(setting) == sheet().settings.has_effect(setting.id)), "{all}");
        assert!(told.last().unwrap().starts_with("! The hold time (0.10 s) is shorter"), "{told:?}");
    }

    #[test]
    fn at_no_volume_the_sheet_lists_the_volume_and_none_of_the_sounds() {
        let mut silent = sheet();
        silent.settings = silent.settings.with(Id::Volume, 0);
        let told = lines(&silent, &Settings::default()).join("\n");
        assert!(told.contains("volume of all sounds 0 %") && !told.contains("cue sound"), "{told}");
    }

    #[test]
    fn the_command_that_confirms_leads_to_the_sheet() {
        let sheet = sheet();
        let told = how_to_confirm(&sheet, &Verdict::Begun { right: 1, selections: 1 }).unwrap();
        let mut settings = Settings::default();
        for change in told.split(" --set ").skip(1) {
            let (name, value) = change.split_once('=').unwrap();
            let id = find(name).unwrap();
            settings.set_raw(id, parse_value(id, value).unwrap()).unwrap();
        }
        assert_eq!(settings, sheet.settings);
        let done = Verdict::Confirmed { right: 10, selections: 10, interval: [0.7, 1.0] };
        assert_eq!(how_to_confirm(&sheet, &done), None);
    }
}
