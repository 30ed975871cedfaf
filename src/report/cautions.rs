//! What the reader has to beware of, with the remedy.

use super::text::escape;
use crate::analysis::findings::Caution;

/// Nothing when there is nothing to beware of. That data are invented stands at the top already.
pub(super) fn section(cautions: &[Caution]) -> String {
    let items: String = cautions.iter().filter(|caution| **caution != Caution::Invented).map(item).collect();
    if items.is_empty() {
        return String::new();
    }
    format!(
        "<section class=\"cautions\" aria-labelledby=\"beware\">\n<h2 id=\"beware\">Read before use</h2>\n\
         <ul>\n{items}</ul>\n</section>\n"
    )
}

fn item(caution: &Caution) -> String {
    format!("<li><strong>{}</strong> {}</li>\n", escape(&caution.to_string()), escape(caution.remedy()))
}
