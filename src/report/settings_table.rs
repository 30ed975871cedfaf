//! The settings at the start, those that differ from the defaults marked.

use super::text::{escape, table as html_table};
use crate::analysis::words::capital;
use crate::settings::{Id, Kind, REGISTRY, Setting, Settings, show_value};

pub(super) fn table(settings: &Settings) -> String {
    let lines: Vec<_> = REGISTRY.iter().map(|setting| line(settings, setting)).collect();
    let caption = "All timing settings. “Changed” marks a value that differs from the default of the technique.";
    html_table("settings", caption, &["Setting", "Value", "Default", ""], &lines)
}

fn line(settings: &Settings, setting: &Setting) -> Vec<String> {
    let raw = settings.raw(setting.id);
    let default = setting.default_for(technique(settings));
    let value = shown(setting, raw);
    let changed = raw != default;
    vec![
        escape(&capital(setting.label)),
        if changed { format!("<strong>{value}</strong>") } else { value },
        shown(setting, default),
        if changed { "<strong class=\"changed\">Changed</strong>".into() } else { String::new() },
    ]
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
