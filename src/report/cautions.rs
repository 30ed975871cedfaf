//! What the reader has to beware of, with the remedy: in the session, and in what is advised.

use super::Told;
use super::text::{escape, glued};
use crate::analysis::findings::Caution;
use crate::analysis::words::capital;

/// That data are invented stands at the top already.
pub(super) fn section(told: &Told) -> String {
    let of_session = told.cautions.iter().filter(|caution| **caution != Caution::Invented);
    let of_session = of_session.map(|caution| item(&caution.to_string(), caution.remedy()));
    let of_advice = told.recommendations.iter().flat_map(|one| {
        one.cautions.iter().map(|caution| item(&format!("{}: {}", capital(one.rule), caution.text), &caution.remedy))
    });
    let items: String = of_session.chain(of_advice).collect();
    let content = if items.is_empty() { NONE.into() } else { format!("<ul>\n{items}</ul>\n") };
    format!(
        "<section class=\"cautions\" aria-labelledby=\"watch\">\n<h2 id=\"watch\">What to watch</h2>\n{content}</section>\n"
    )
}

const NONE: &str = "<p>Nothing in these data calls for special care. The safety notes further down always hold.</p>\n";

fn item(what: &str, remedy: &str) -> String {
    format!("<li><strong>{}</strong> {}</li>\n", glued(&escape(what)), glued(&escape(remedy)))
}
