//! What the rules of advice recommend: what to set first, the reason and the figures below it.

use super::Told;
use super::text::{escape, glued};
use crate::advice::recommendation::{Recommendation, Remark};
use crate::advice::text;

/// All recommendations; empty where there are none.
pub(super) fn section(told: &Told) -> String {
    if told.recommendations.is_empty() {
        return String::new();
    }
    let items: String = told.recommendations.iter().map(item).collect();
    format!(
        "<section class=\"suggestion\" aria-labelledby=\"set\">\n<h2 id=\"set\">What to set</h2>\n\
         <p>Proposed, until a confirm block bears it out.</p>\n<dl>\n{items}</dl>\n</section>\n"
    )
}

fn item(one: &Recommendation) -> String {
    let mut lines = vec![one.why.clone()];
    lines.extend(text::beside(&one.advice).iter().map(text::figure));
    lines.extend(one.cautions.iter().map(|Remark { text, remedy }| format!("{text} {remedy}")));
    lines.push(one.next.clone());
    lines.push(format!("Rule: {} version {}, {}.", one.rule, one.version, one.source));
    let details: String = lines.iter().filter(|line| !line.is_empty()).map(|line| definition(line)).collect();
    format!("<dt>{}</dt>\n{details}", glued(&escape(&text::headline(one))))
}

fn definition(line: &str) -> String {
    format!("<dd>{}</dd>\n", glued(&escape(line)))
}
