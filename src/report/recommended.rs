//! What the rules of advice recommend: on the first page what to set, later the reasons.

use super::text::{escape, glued, listed, table};
use super::{Told, sheet_table};
use crate::advice::confirm::Verdict;
use crate::advice::recommendation::{Advice, Recommendation};
use crate::advice::set_up::SetUpAdvice;
use crate::advice::text::{self, number};
use crate::analysis::words::{capital, count};

/// What to set and how sure that is, then what can stay and what is not known yet.
pub(super) fn first_page(told: &Told) -> String {
    let content = match told.advice {
        Some(advice) if !advice.recommendations.is_empty() => {
            let list = &advice.recommendations;
            [values(advice), staying(list), notes(list), unknown(list), sheet_table::broken(advice)].concat()
        }
        _ => "<p>Nothing can be advised from this session.</p>\n".into(),
    };
    format!(
        "<section class=\"suggestion\" aria-labelledby=\"set\">\n<h2 id=\"set\">What to set</h2>\n{content}</section>\n"
    )
}

/// The values, a line each.
fn values(advice: &SetUpAdvice) -> String {
    let lines: Vec<_> = advice.recommendations.iter().filter_map(value).collect();
    if lines.is_empty() {
        return "<p>No value can be proposed yet.</p>\n".into();
    }
    let heads = ["Setting", "Set to", "How sure", "90\u{a0}%\u{a0}interval"];
    table("values", &escape(&advice.status()), &heads, &lines)
}

fn value(one: &Recommendation) -> Option<Vec<String>> {
    let (value, range) = match &one.advice {
        Advice::Set { value, unit, interval, .. } => (number(*value, unit), interval.map(|ends| range(ends, unit))),
        Advice::Choose { choice, .. } => (format!("try {choice}"), None),
        Advice::Keep | Advice::Note | Advice::NotEnough { .. } => return None,
    };
    Some(vec![
        escape(&capital(one.rule)),
        format!("<strong>{}</strong>", escape(&value)),
        format!("{} ({})", text::sure(one.sure), count(one.trials, "trial", "trials")),
        range.map_or_else(|| "–".into(), |range| escape(&range)),
    ])
}

/// "1.18 to 1.60 s".
fn range([low, high]: [f64; 2], unit: &str) -> String {
    let high = number(high, unit);
    let bare = number(low, unit);
    format!("{} to {high}", bare.strip_suffix(unit).map_or(bare.as_str(), str::trim_end))
}

fn staying(list: &[Recommendation]) -> String {
    let names: Vec<String> = list.iter().filter(|one| one.advice == Advice::Keep).map(|one| one.rule.into()).collect();
    if names.is_empty() {
        return String::new();
    }
    format!("<p><strong>Leave as it is:</strong> {}.</p>\n", escape(&listed(&names)))
}

fn notes(list: &[Recommendation]) -> String {
    let notes = list.iter().filter(|one| one.advice == Advice::Note);
    notes.map(|one| format!("<p><strong>{}:</strong> {}</p>\n", capital(one.rule), told(&one.why))).collect()
}

fn unknown(list: &[Recommendation]) -> String {
    let wanted = list.iter().filter_map(|one| match one.advice {
        Advice::NotEnough { more, of } => {
            Some(format!("<li>{}: {}</li>\n", capital(one.rule), told(&format!("{more} more {of}"))))
        }
        _ => None,
    });
    let items: String = wanted.collect();
    if items.is_empty() { items } else { format!("<p><strong>Not known yet; run:</strong></p>\n<ul>\n{items}</ul>\n") }
}

/// The reasons for all recommendations, with the figures that they stand on.
pub(super) fn reasons(advice: &SetUpAdvice) -> String {
    let items: String = advice.recommendations.iter().map(|one| reason(one, &advice.verdict)).collect();
    format!("<dl class=\"reasons\">\n{items}</dl>\n")
}

fn reason(one: &Recommendation, verdict: &Verdict) -> String {
    let mut lines = Vec::new();
    // A note has its reason in its headline.
    lines.extend((one.advice != Advice::Note).then(|| one.why.clone()));
    let figures = text::figures(one).join("; ");
    lines.extend((!figures.is_empty()).then(|| format!("{figures}.")));
    lines.extend((!one.next.is_empty()).then(|| format!("Next: {}", one.next)));
    let lines: String = lines.iter().map(|line| format!("<dd>{}</dd>\n", told(line))).collect();
    let source = told(&format!("Rule {} v{}: {}.", one.rule, one.version, one.source));
    let headline = told(&text::headline(one, verdict));
    format!("<div><dt>{headline}</dt>\n{lines}<dd class=\"source\">{source}</dd></div>\n")
}

fn told(line: &str) -> String {
    glued(&escape(line))
}
