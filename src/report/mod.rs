//! The report of one session: one HTML file that opens anywhere, asks for nothing from outside and
//! runs no script.
//!
//! Pure functions from findings to text. The report computes no statistic, reads no clock and opens
//! no file; the same input gives the same bytes. Every text from a file or a person is escaped.
//!
//! Page one is for whoever has a minute: what to set, how sure, what to watch. After it come pictures,
//! reasons, tables, circumstances, safety, method and sources.

mod at_a_glance;
mod at_home;
mod cautions;
mod circumstances;
mod colour;
mod first_page;
mod method;
mod practice;
mod recommended;
mod remarks;
mod safety;
mod settings_table;
mod sheet_table;
mod suggestion;
mod svg;
mod tables;
mod text;
mod words;

#[cfg(test)]
mod sample;
#[cfg(test)]
mod tests;

use crate::advice::pictures::Pictures;
use crate::advice::recommendation::Recommendation;
use crate::advice::set_up::SetUpAdvice;
use crate::analysis::findings::{Caution, Findings};
use crate::forecast::home::AtHome;
use crate::log::header::Header;
use crate::session::record::Record;
use crate::settings::Id;
use svg::Drawn;
pub(crate) use svg::{Curve, Curves, Place, sweep};
pub(crate) use text::escape;

/// What the report is made from.
struct Told<'a> {
    header: &'a Header,
    findings: &'a Findings,
    cautions: &'a [Caution],
    records: &'a [Record],
    recommendations: &'a [Recommendation],
    advice: Option<&'a SetUpAdvice>,
    pictures: &'a Pictures,
    more: &'a More<'a>,
}

/// What is told where there is something to tell.
#[derive(Clone, Copy, Debug, Default)]
pub struct More<'a> {
    /// What practice has changed, line by line.
    pub practice: &'a [String],
    /// What household tasks take.
    pub at_home: Option<&'a AtHome>,
}

impl Told<'_> {
    /// The scan interval that is proposed, in seconds.
    fn proposed(&self) -> Option<f64> {
        self.recommendations.iter().find_map(|one| one.value_of(Id::ScanInterval))
    }
}

/// The report as one HTML file, UTF-8.
///
/// `findings` and `cautions` state what was measured, `advice` what to set, where anything can be, `pictures`
/// what the plots draw, `more` what practice has changed and what tasks take at home; `records` only tell the plots and
/// the remarks when something happened.
#[must_use]
pub fn html(
    header: &Header,
    findings: &Findings,
    cautions: &[Caution],
    records: &[Record],
    advice: Option<&SetUpAdvice>,
    pictures: &Pictures,
    more: &More,
) -> String {
    let recommendations = advice.map_or(&[][..], |advice| &advice.recommendations);
    let told = Told { header, findings, cautions, records, recommendations, advice, pictures, more };
    let title = escape(&format!("Session report {}, {}", code(header), text::date(&header.began)));
    let style = colour::declarations() + include_str!("style.css");
    format!(
        "<!DOCTYPE html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{title}</title>\n<style>\n{style}</style>\n</head>\n<body>\n<main>\n{}{}</main>\n</body>\n</html>\n",
        first_page::page(&told),
        details(&told)
    )
}

/// Everything after the first page.
fn details(told: &Told) -> String {
    let plots = svg::all(&Drawn::new(told.findings, told.records, told.pictures, told.recommendations));
    let advised = told.advice.map_or_else(String::new, |advice| {
        section("reasons", "Reasons", &recommended::reasons(advice))
            + &section("sheet", "Settings sheet", &sheet_table::table_of(advice))
    });
    let practised = match told.more.practice {
        [] => String::new(),
        lines => section("practice", "Practice", &practice::list(lines)),
    };
    let at_home =
        told.more.at_home.map_or_else(String::new, |found| section("home", "At home", &at_home::table_of(found)));
    let parts = [
        practised,
        at_home,
        section("pictures", "In pictures", &plots),
        advised,
        section("figures", "In figures", &tables::all(told.findings)),
        section("circumstances", "Circumstances", &circumstances::list(told.header)),
        section("settings", "Settings at the start", &settings_table::table(&told.header.settings)),
        section("remarks", "Remarks during the session", &remarks::list(told.records)),
        section("safety", "Safety", safety::TEXT),
        section("method", "Method and sources", &method::text(told)),
    ];
    format!("<div class=\"details\">\n{}</div>\n", parts.concat())
}

fn section(name: &str, heading: &str, content: &str) -> String {
    format!("<section aria-labelledby=\"{name}\">\n<h2 id=\"{name}\">{heading}</h2>\n{content}</section>\n")
}

/// The client's code, or what stands for it.
fn code(header: &Header) -> String {
    if header.client.is_empty() { "without a code".into() } else { header.client.clone() }
}
