//! The settings sheet: all values beside those in force, and what does not fit together.

use super::text::{escape, glued, table};
use crate::advice::set_up::SetUpAdvice;
use crate::advice::sheet_text;
use crate::analysis::words::capital;
use crate::settings::{REGISTRY, Setting, show_value};

/// All values together.
pub(super) fn table_of(advice: &SetUpAdvice) -> String {
    let lines: Vec<_> = REGISTRY.iter().map(|setting| line(advice, setting)).collect();
    let caption = "All values together: advised where there is advice, else as in force at the end of the session.";
    table("settings", caption, &["Setting", "Value", ""], &lines)
}

fn line(advice: &SetUpAdvice, setting: &Setting) -> Vec<String> {
    let sheet = &advice.sheet;
    let value = escape(&show_value(setting.id, sheet.settings.raw(setting.id)));
    let remark = escape(&sheet_text::remark(sheet, &advice.evidence.settings, setting.id));
    let name = escape(&capital(setting.label));
    if sheet_text::marked(sheet).any(|id| id == setting.id) {
        vec![name, format!("<strong>{value}</strong>"), format!("<strong class=\"changed\">{remark}</strong>")]
    } else {
        vec![name, value, remark]
    }
}

/// What does not fit together, for the first page; empty where all of it does.
pub(super) fn broken(advice: &SetUpAdvice) -> String {
    let lines = sheet_text::broken(&advice.sheet);
    let items: String = lines.iter().map(|line| format!("<li>{}</li>\n", glued(&escape(line)))).collect();
    if items.is_empty() { items } else { format!("<p>Values that do not fit together:</p>\n<ul>\n{items}</ul>\n") }
}
