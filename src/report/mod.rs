//! The report of a session: one HTML file that stands alone.
//!
//! [`html`] is a pure function of what was found. It computes no statistic, reads no clock, and asks
//! for nothing from outside: no script, no font, no picture from elsewhere. Text from logs goes in
//! through `markup::Html::text` alone, so markup in a label or a code is only ever text.

mod blocks;
mod care;
mod first_page;
mod markup;
mod method;
mod page;
mod set_up;
mod svg;
mod timeline;

use crate::analysis::findings::{Caution, Findings};
use crate::log::header::Header;
use crate::session::record::Record;

use markup::Html;
use timeline::Timeline;

/// What the report is not.
const LIMITS: &str =
    "Pacewright is not certified as a medical device. It measures and informs; a licensed clinician decides.";

/// All that a part of the report is made from.
struct Material<'a> {
    header: &'a Header,
    findings: &'a Findings,
    cautions: &'a [Caution],
    timeline: Timeline,
}

/// The parts, in order.
const PARTS: &[fn(&Material) -> Html] = &[
    first_page::first_page,
    svg::figures,
    blocks::blocks,
    set_up::settings,
    set_up::circumstances,
    care::care,
    method::method,
];

/// The whole report. The same findings and records give the same bytes.
#[must_use]
pub fn html(header: &Header, findings: &Findings, cautions: &[Caution], records: &[Record]) -> String {
    let material = Material { header, findings, cautions, timeline: Timeline::of(records) };
    page::page(&material, PARTS.iter().map(|part| part(&material)))
}
