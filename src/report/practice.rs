//! What practice has changed, a line each.

use super::text::escape;

pub(super) fn list(lines: &[String]) -> String {
    let items: String = lines.iter().map(|line| format!("<li>{}</li>\n", escape(line))).collect();
    format!("<ul>\n{items}</ul>\n")
}
