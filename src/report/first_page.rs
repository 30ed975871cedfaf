//! The first page: what was found, what to try, what to beware of.

use super::text::{date, escape, glued};
use super::{Told, cautions, code, recommended, sentences};
use crate::analysis::words::{capital, duration};

const DISCLAIMER: &str = "Not certified as a medical device. It measures and informs; a licensed clinician decides; \
                          local policy holds.";

pub(super) fn page(told: &Told) -> String {
    format!(
        "<header>\n{}{}</header>\n<div class=\"summary\">\n{}</div>\n{}{}<p class=\"disclaimer\">{DISCLAIMER}</p>\n",
        banner(told.header.invented),
        masthead(told),
        findings(told),
        recommended::first_page(told),
        cautions::section(told.cautions),
    )
}

fn banner(invented: bool) -> &'static str {
    if invented {
        "<p class=\"banner\" role=\"note\"><strong>Invented data: a virtual client pressed.</strong> \
         Nothing here tells of a person.</p>\n"
    } else {
        ""
    }
}

fn masthead(told: &Told) -> String {
    let header = told.header;
    let facts = [
        ("Client", code(header)),
        ("Date", date(&header.began)),
        ("Protocol", header.protocol.name.clone()),
        ("Switch", switch_and_site(told)),
        ("Length", duration(told.findings.seconds)),
    ];
    let facts = facts.iter().filter(|(_, value)| !value.is_empty());
    let list: String =
        facts.map(|(name, value)| format!("<div><dt>{name}</dt><dd>{}</dd></div>\n", escape(value))).collect();
    let headline = glued(&escape(&sentences::headline(told.findings, told.proposed())));
    format!(
        "<p class=\"kind\">Session report · pacewright</p>\n<h1>{headline}</h1>\n<dl class=\"facts\">\n{list}</dl>\n"
    )
}

/// "Button, right cheek".
fn switch_and_site(told: &Told) -> String {
    let setup = &told.header.setup;
    let parts = [setup.switch.as_str(), setup.site.as_str()];
    let stated: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    capital(&stated.join(", "))
}

fn findings(told: &Told) -> String {
    let sentences = sentences::findings(&code(told.header), told.findings);
    let lines: String = sentences.iter().map(|line| format!("<li>{}</li>\n", glued(&escape(line)))).collect();
    format!(
        "<section aria-labelledby=\"found\">\n<h2 id=\"found\">What was found</h2>\n<ul>\n{lines}</ul>\n</section>\n"
    )
}
