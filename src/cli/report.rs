//! `report`: the report of a session as one HTML file.

use std::path::Path;

use super::args::ReportArgs;
use super::{Done, Trouble, files, tell};
use crate::advice::recommendation::Recommendation;
use crate::analysis::findings::{Caution, Findings};
use crate::analysis::gather::Unfit;
use crate::log::header::Header;
use crate::session::record::Record;
use crate::store::write_whole;
use crate::{advice, analysis, report};

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
    /// What to set, or why nothing can be advised.
    recommendations: Result<Vec<Recommendation>, Unfit>,
}

impl Read {
    /// Reads a log; damage that can be read around is told.
    pub fn of(path: &Path) -> Result<Read, Trouble> {
        let (log, problems) = files::log(path)?;
        let records: Vec<Record> = log.known().cloned().collect();
        let Some(header) = log.header else { return Err(Trouble::Input(problems)) };
        tell(&problems);
        let (findings, cautions) = analysis::findings(&header, &records);
        let recommendations = advice::of_session(&header, &records);
        Ok(Read { header, records, findings, cautions, recommendations })
    }

    /// The findings as text.
    pub fn print(&self) {
        self.print_what_to_set();
        say!("{}", analysis::text::text(&self.header, &self.findings, &self.cautions).trim_end());
        self.print_reasons();
    }

    fn print_what_to_set(&self) {
        match &self.recommendations {
            Ok(list) => {
                say!("What to set (proposed, until a confirm block bears it out)");
                list.iter().for_each(|one| say!("- {}", advice::text::headline(one)));
            }
            Err(unfit) => say!("Nothing can be advised: {unfit}"),
        }
        say!("");
    }

    fn print_reasons(&self) {
        let Ok(list) = &self.recommendations else { return };
        say!("\nReasons");
        advice::text::lines(list).iter().for_each(|line| say!("{line}"));
    }

    /// The findings as JSON.
    pub fn json(&self) -> serde_json::Value {
        let mut object = analysis::json::json(&self.header, &self.findings, &self.cautions);
        object["recommendations"] = serde_json::json!(self.recommendations.as_deref().unwrap_or_default());
        object["no_recommendations"] = serde_json::json!(self.recommendations.as_ref().err().map(Unfit::to_string));
        object
    }

    fn write(&self, out: &Path) -> Done {
        let list = self.recommendations.as_deref().unwrap_or_default();
        let html = report::html(&self.header, &self.findings, &self.cautions, &self.records, list);
        Ok(write_whole(out, html.as_bytes())?)
    }
}
