//! What the rules of advice recommend: on the first page what to set, later the reasons.

use super::Told;
use super::text::{escape, glued};
use crate::advice::confirm::Verdict;
use crate::advice::recommendation::{Advice, Recommendation};
use crate::advice::set_up::SetUpAdvice;
use crate::advice::sheet::Sheet;
use crate::advice::{sheet_text, text};

/// What to set; empty where nothing can be advised.
pub(super) fn first_page(told: &Told) -> String {
    let Some(advice) = told.advice else { return String::new() };
    let (unknown, known): (Vec<_>, Vec<_>) =
        advice.recommendations.iter().partition(|one| matches!(one.advice, Advice::NotEnough { .. }));
    let mut items: String = known.into_iter().map(|one| line(one, &advice.verdict)).collect();
    let watch = unknown.iter().flat_map(|one| &one.cautions).map(text::caution);
    items.extend(text::not_known(&unknown).into_iter().chain(watch).map(|line| format!("<li>{}</li>\n", plain(&line))));
    format!(
        "<section class=\"suggestion\" aria-labelledby=\"set\">\n<h2 id=\"set\">What to set</h2>\n\
         <p>{} The reasons follow the pictures.</p>\n<ul>\n{items}</ul>\n{}</section>\n",
        plain(&advice.status()),
        broken(&advice.sheet)
    )
}

/// What has a value stands out; its cautions stand with it.
fn line(one: &Recommendation, verdict: &Verdict) -> String {
    let headline = plain(&text::headline(one, verdict));
    let headline = match one.advice {
        Advice::Set { .. } | Advice::Choose { .. } => format!("<strong>{headline}</strong>"),
        Advice::Keep | Advice::Note | Advice::NotEnough { .. } => headline,
    };
    let cautions: String =
        one.cautions.iter().map(|caution| format!("<p>{}</p>", plain(&text::caution(caution)))).collect();
    format!("<li>{headline}{cautions}</li>\n")
}

/// What does not fit together on the sheet; empty where all of it does.
fn broken(sheet: &Sheet) -> String {
    let items: String = sheet_text::broken(sheet).iter().map(|line| format!("<li>{}</li>\n", plain(line))).collect();
    if items.is_empty() { items } else { format!("<p>Values that do not fit together:</p>\n<ul>\n{items}</ul>\n") }
}

/// The reasons for all recommendations, with the figures that they stand on.
pub(super) fn reasons(advice: &SetUpAdvice) -> String {
    let items: String = advice.recommendations.iter().map(|one| reason(one, &advice.verdict)).collect();
    format!("<dl>\n{items}</dl>\n")
}

fn reason(one: &Recommendation, verdict: &Verdict) -> String {
    let lines: String = text::details(one).iter().map(|line| format!("<dd>{}</dd>\n", plain(line))).collect();
    format!("<dt>{}</dt>\n{lines}", plain(&text::headline(one, verdict)))
}

fn plain(line: &str) -> String {
    glued(&escape(line))
}
