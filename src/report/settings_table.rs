//! The settings at the start, those that differ from the defaults first.

use super::text::{escape, glued, pairs, table as html_table};
use crate::analysis::words::capital;
use crate::settings::{Id, Kind, REGISTRY, Setting, Settings, show_value};

/// Those that differ as a table, the others as a list.
pub(super) fn table(settings: &Settings) -> String {
    let default = |setting: &Setting| setting.default_for(technique(settings));
    let (changed, usual): (Vec<_>, Vec<_>) =
        REGISTRY.iter().partition(|setting| settings.raw(setting.id) != default(setting));
    let lines: Vec<_> =
        changed.iter().map(|setting| line(setting, settings.raw(setting.id), default(setting))).collect();
    let table = if lines.is_empty() {
        "<p>All are as the technique has them by default.</p>\n".into()
    } else {
        html_table("settings", "Changed from the default of the technique.", &["Setting", "Value", "Default"], &lines)
    };
    let usual = usual.iter().map(|setting| pair(setting, settings.raw(setting.id)));
    format!("{table}<p>At their default:</p>\n{}", pairs("pairs", usual))
}

fn line(setting: &Setting, raw: i64, default: i64) -> Vec<String> {
    let name = escape(&capital(setting.label));
    vec![name, format!("<strong class=\"changed\">{}</strong>", shown(setting, raw)), shown(setting, default)]
}

fn pair(setting: &Setting, raw: i64) -> (String, String) {
    (escape(&capital(setting.label)), glued(&shown(setting, raw)))
}

/// A value with its unit; a choice by its label.
fn shown(setting: &Setting, raw: i64) -> String {
    let label = match setting.kind {
        Kind::Choice(options) => {
            usize::try_from(raw).ok().and_then(|index| options.get(index)).map(|(_, label)| *label)
        }
        _ => None,
    };
    escape(&label.map_or_else(|| show_value(setting.id, raw), Into::into))
}

/// The technique's name in the registry.
fn technique(settings: &Settings) -> &'static str {
    let Kind::Choice(options) = Id::Technique.setting().kind else { return "" };
    usize::try_from(settings.raw(Id::Technique)).ok().and_then(|index| options.get(index)).map_or("", |(name, _)| name)
}
