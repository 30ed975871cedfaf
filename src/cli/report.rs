//! `report`: the report of a session as one HTML file.

use std::path::Path;

use super::args::ReportArgs;
use super::files::Log;
use super::{Done, Trouble, files, practised};
use crate::advice::asked::Asked;
use crate::advice::pictures::Pictures;
use crate::advice::set_up::SetUpAdvice;
use crate::advice::sheet_text::how_to_confirm;
use crate::analysis::findings::{Caution, Findings};
use crate::analysis::gather::Unfit;
use crate::forecast::fit::fit;
use crate::forecast::home::{AtHome, RUNS, at_home};
use crate::forecast::home_text;
use crate::log::header::Header;
use crate::practice::progress::{Progress, progress};
use crate::practice::progress_json;
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
    advice: Result<SetUpAdvice, Unfit>,
    practice: Vec<Progress>,
}

impl Read {
    /// Reads a log; damage that can be read around is told.
    pub fn of(path: &Path) -> Result<Read, Trouble> {
        files::session(path).map(|log| Read::from(log, &Asked::default()))
    }

    /// Analyses a session, with what the clinician has added.
    pub fn from(log: Log, asked: &Asked) -> Read {
        let Log { header, records, damaged, .. } = log;
        let (findings, mut cautions) = analysis::findings(&header, &records);
        cautions.splice(..0, damaged.map(|line| Caution::Damaged { line }));
        let advice = SetUpAdvice::for_asked(&[(&header, &records)], asked);
        let practice = progress(&[(&header, &records)]);
        Read { header, records, findings, cautions, advice, practice }
    }

    /// The findings as text.
    pub fn print(&self) {
        practised::print(&self.practice);
        print_what_to_set(&self.advice);
        if let Some(found) = self.at_home() {
            say!("At home, at these settings");
            home_text::lines(&found).iter().for_each(|line| say!("{line}"));
            say!("");
        }
        say!("{}", analysis::text::text(&self.header, &self.findings, &self.cautions).trim_end());
        if let Ok(advice) = &self.advice {
            say!("\nReasons");
            advice::text::lines(&advice.recommendations, &advice.verdict).iter().for_each(|line| say!("{line}"));
        }
    }

    /// The findings as JSON.
    pub fn json(&self) -> serde_json::Value {
        let mut object = analysis::json::json(&self.header, &self.findings, &self.cautions);
        let told = advice::json::told(&self.advice);
        told.as_object().into_iter().flatten().for_each(|(name, value)| object[name] = value.clone());
        object["practice"] = progress_json::json(&self.practice);
        object
    }

    /// What household tasks take at the values of the sheet, where the log bears a client who does them.
    pub fn at_home(&self) -> Option<AtHome> {
        let advice = self.advice.as_ref().ok().filter(|advice| !advice.evidence.menu.tasks.is_empty())?;
        let profile = fit(&[(&self.header, &self.records)]).ok()?;
        Some(at_home(&profile, &advice.evidence.menu, &advice.sheet.settings, RUNS / 5, 1))
    }

    /// Writes the report.
    pub fn write(&self, out: &Path) -> Done {
        let advice = self.advice.as_ref().ok();
        let pictures = Pictures::beside(advice);
        let html = report::html(
            &self.header,
            &self.findings,
            &self.cautions,
            &self.records,
            advice,
            &pictures,
            &report::More { practice: &practised::lines(&self.practice), at_home: self.at_home().as_ref() },
        );
        Ok(write_whole(out, html.as_bytes())?)
    }
}

/// What to set, the sheet and whether it holds.
pub(super) fn print_what_to_set(advice: &Result<SetUpAdvice, Unfit>) {
    match advice {
        Ok(advice) => {
            say!("What to set. {}", advice.status());
            let lines = advice::text::what_to_set(&advice.recommendations, &advice.verdict);
            lines.iter().for_each(|line| say!("- {line}"));
            say!("");
            let sheet = advice::sheet_text::lines(&advice.sheet, &advice.evidence.settings);
            sheet.iter().chain(&how_to_confirm(&advice.sheet, &advice.verdict)).for_each(|line| say!("{line}"));
        }
        Err(unfit) => say!("Nothing can be advised: {unfit}"),
    }
    say!("");
}
