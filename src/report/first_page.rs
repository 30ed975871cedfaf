//! The first page: what to set and how sure that is, what to watch, what was found.

use super::text::{date, escape, glued, pairs};
use super::{Told, at_a_glance, cautions, code, recommended};
use crate::analysis::words::{capital, count, duration};

const DISCLAIMER: &str = "Not certified as a medical device. It measures and informs; a licensed clinician decides; \
                          local policy holds.";

pub(super) fn page(told: &Told) -> String {
    format!(
        "<header>\n{}{}</header>\n<div class=\"advice\">\n{}{}</div>\n{}<p class=\"disclaimer\">{DISCLAIMER}</p>\n",
        banner(told.header.invented),
        masthead(told),
        recommended::first_page(told),
        cautions::section(told),
        at_a_glance::section(told.findings),
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
        ("Length", length(told)),
    ];
    let facts = facts.iter().filter(|(_, value)| !value.is_empty());
    let list = pairs("facts", facts.map(|(name, value)| (name, escape(value))));
    let headline = glued(&escape(&at_a_glance::headline(told.findings, told.proposed())));
    format!("<p class=\"kind\">Session report · pacewright</p>\n<h1>{headline}</h1>\n{list}")
}

/// "Button, right cheek".
fn switch_and_site(told: &Told) -> String {
    let setup = &told.header.setup;
    let parts = [setup.switch.as_str(), setup.site.as_str()];
    let stated: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    capital(&stated.join(", "))
}

/// "5 min 52 s, 5 blocks, no rest".
fn length(told: &Told) -> String {
    let findings = told.findings;
    let blocks = count(findings.blocks.len() as u32, "block", "blocks");
    let rests = match findings.rests.iter().map(|(_, count)| count).sum() {
        0 => "no rest".into(),
        rests => count(rests, "rest", "rests"),
    };
    let broken = if findings.complete { "" } else { "; not all blocks were done" };
    format!("{}, {blocks}, {rests}{broken}", duration(findings.seconds))
}
