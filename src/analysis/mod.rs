//! Measures and cautions from the records of a session.
//!
//! [`findings()`] walks the records once (`reading`), and everything else follows from what it
//! read. Practice, helped, broken-off and excluded trials are counted and left out; presses in the
//! assessor's hands never count. Which numbers a clinician should set is not judged here beyond the
//! first [`suggestion`]; nothing here reads a clock or a file.

mod caution;
mod cautions;
pub mod confirm;
mod contacts;
pub mod effects;
pub mod evidence;
pub mod findings;
pub mod gather;
pub(crate) mod hands;
pub mod json;
mod latency;
mod lightings;
pub(crate) mod measures;
pub(crate) mod opportunities;
mod pointing;
mod quiet;
pub(crate) mod reading;
mod recovery;
pub mod refiltered;
pub mod set_ups;
pub mod suggestion;
pub mod text;
pub mod words;

use crate::log::header::Header;
use crate::session::event::BlockKind;
use crate::session::record::Record;

pub use cautions::ANTICIPATION_S;
use findings::{BlockFindings, Caution, Findings};
use reading::{BlockReading, Reading};

/// What was measured in a session, and what its reader has to know.
///
/// Any list of records will do, a damaged log's too: what is missing is missing from the findings.
#[must_use]
pub fn findings(header: &Header, records: &[Record]) -> (Findings, Vec<Caution>) {
    let reading = Reading::of(header, records);
    let all: Vec<_> = reading.blocks.iter().flat_map(|block| &block.trials).collect();
    let findings = Findings {
        blocks: reading.blocks.iter().map(|block| block_findings(&reading, block)).collect(),
        total: measures::measures(&all),
        seconds: reading.length.as_seconds(),
        suggestion: suggestion::suggestion(&all),
        rests: reading.rests.clone(),
        pauses: reading.pauses.clone(),
        complete: reading.complete,
    };
    let mut cautions = cautions::cautions(header, &findings);
    cautions.extend(cautions::of_sounds(records));
    (findings, cautions)
}

/// What the client said in a session: each question once, with the last answer.
#[must_use]
pub fn ratings(header: &Header, records: &[Record]) -> Vec<(String, u8)> {
    let mut last: Vec<(String, u8)> = Vec::new();
    for (question, value) in Reading::of(header, records).blocks.into_iter().flat_map(|block| block.ratings) {
        last.retain(|(known, _)| *known != question);
        last.push((question, value));
    }
    last
}

fn block_findings(reading: &Reading, block: &BlockReading) -> BlockFindings {
    let trials: Vec<_> = block.trials.iter().collect();
    let measured = !matches!(block.kind, BlockKind::FirstContact | BlockKind::QuietWatch | BlockKind::SwitchCheck);
    BlockFindings {
        block: block.block,
        kind: block.kind,
        seconds: block.length().as_seconds(),
        ended: block.why,
        scan_interval_s: block.scan_interval.as_seconds(),
        measures: measured.then(|| measures::measures(&trials)),
        involuntary: (block.kind == BlockKind::QuietWatch).then(|| quiet::involuntary(reading.header, block)).flatten(),
        pointing: pointing::pointing(reading, block),
        switches: block.switches.clone(),
        ratings: block.ratings.clone(),
    }
}
