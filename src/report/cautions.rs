//! What the reader has to beware of, with the remedy: in the session, and in what is advised.

use super::Told;
use super::text::{escape, glued};
use crate::analysis::findings::Caution;
use crate::analysis::words::capital;

/// That data are invented stands at the top already; what concerns the published ratio alone stands beside it.
pub(super) fn section(told: &Told) -> String {
    let of_session = told.cautions.iter().filter(|caution| **caution != Caution::Invented && !of_ratio(caution));
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

/// Whether a caution concerns the published ratio alone: the advice has its own, for it weighs scatter, omissions
/// and the number of presses by itself.
fn of_ratio(caution: &Caution) -> bool {
    matches!(caution, Caution::FewLatencies { .. } | Caution::WideScatter { .. } | Caution::Omissions { .. })
}

/// What to beware of in the published ratio, in one line.
pub(super) fn beside_ratio(cautions: &[Caution]) -> String {
    let told =
        cautions.iter().filter(|caution| of_ratio(caution)).map(|caution| format!(" {caution} {}", caution.remedy()));
    told.collect()
}

const NONE: &str = "<p>Nothing in these data calls for special care. The safety notes further down always hold.</p>\n";

fn item(what: &str, remedy: &str) -> String {
    format!("<li><strong>{}</strong> {}</li>\n", glued(&escape(what)), glued(&escape(remedy)))
}
