//! `report`: the report of a session as one HTML file.

use std::path::Path;

use super::args::ReportArgs;
use super::{Done, Trouble, files, tell};
use crate::analysis::findings::{Caution, Findings};
use crate::log::header::Header;
use crate::session::record::Record;
use crate::store::write_whole;
use crate::{analysis, report};

pub(super) fn run(args: &ReportArgs) -> Done {
    let read = Read::of(&args.log)?;
    read.write(&args.out)?;
    say!("{}", args.out.display());
    Ok(())
}

/// Prints the findings of the log at `path` and writes its report to `out`.
pub(super) fn print_and_write(path: &Path, out: &Path) -> Done {
    let read = Read::of(path)?;
    read.print();
    read.write(out)?;
    say!("\nlog     {}\nreport  {}", path.display(), out.display());
    Ok(())
}

/// A log and what was found in it.
pub(super) struct Read {
    header: Header,
    records: Vec<Record>,
    findings: Findings,
    cautions: Vec<Caution>,
}

impl Read {
    /// Reads a log; damage that can be read around is told.
    pub fn of(path: &Path) -> Result<Read, Trouble> {
        let (log, problems) = files::log(path)?;
        let records: Vec<Record> = log.known().cloned().collect();
        let Some(header) = log.header else { return Err(Trouble::Input(problems)) };
        tell(&problems);
        let (findings, cautions) = analysis::findings(&header, &records);
        Ok(Read { header, records, findings, cautions })
    }

    /// The findings as text.
    pub fn print(&self) {
        say!("{}", analysis::text::text(&self.header, &self.findings, &self.cautions).trim_end());
    }

    /// The findings as JSON.
    pub fn json(&self) -> serde_json::Value {
        analysis::json::json(&self.header, &self.findings, &self.cautions)
    }

    fn write(&self, out: &Path) -> Done {
        let html = report::html(&self.header, &self.findings, &self.cautions, &self.records);
        Ok(write_whole(out, html.as_bytes())?)
    }
}
