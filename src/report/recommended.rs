//! What the rules of advice recommend: on the first page what to set, later the reasons.

use super::text::{escape, glued};
use super::{Told, sheet_table};
use crate::advice::confirm::Verdict;
use crate::advice::recommendation::{Advice, Recommendation};
use crate::advice::set_up::SetUpAdvice;
use crate::advice::text;

/// What to set; empty where there are no recommendations.
pub(super) fn first_page(told: &Told) -> String {
    let Some(advice) = told.advice else { return String::new() };
    let items: String = told.recommendations.iter().map(|one| line(one, &advice.verdict)).collect();
    format!(
        "<section class=\"suggestion\" aria-labelledby=\"set\">\n<h2 id=\"set\">What to set</h2>\n\
         <p>{} The reasons follow the pictures.</p>\n<ul>\n{items}</ul>\n{}</section>\n",
        self::told(&advice.status()),
        sheet_table::broken(advice)
    )
}

/// What has a value stands out; its cautions stand with it.
fn line(one: &Recommendation, verdict: &Verdict) -> String {
    let headline = glued(&escape(&text::headline(one, verdict)));
    let headline = match one.advice {
        Advice::Set { .. } | Advice::Choose { .. } => format!("<strong>{headline}</strong>"),
        Advice::Keep | Advice::Note | Advice::NotEnough { .. } => headline,
    };
    let cautions: String =
        one.cautions.iter().map(|caution| format!("<p>{}</p>", told(&text::caution(caution)))).collect();
    format!("<li>{headline}{cautions}</li>\n")
}

/// The reasons for all recommendations, with the figures that they stand on.
pub(super) fn reasons(advice: &SetUpAdvice) -> String {
    let items: String = advice.recommendations.iter().map(|one| reason(one, &advice.verdict)).collect();
    format!("<dl>\n{items}</dl>\n")
}

fn reason(one: &Recommendation, verdict: &Verdict) -> String {
    let lines: String = text::details(one).iter().map(|line| format!("<dd>{}</dd>\n", told(line))).collect();
    format!("<dt>{}</dt>\n{lines}", told(&text::headline(one, verdict)))
}

fn told(line: &str) -> String {
    glued(&escape(line))
}
