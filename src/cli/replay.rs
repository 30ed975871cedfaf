//! `replay`: the inputs of a log, run again.

use super::args::ReplayArgs;
use super::{Done, files, tell};
use crate::log::reader::LogFile;
use crate::log::replay::{Replayed, replay};
use crate::problem::Problem;
use crate::session::record::Record;

pub(super) fn run(args: &ReplayArgs) -> Done {
    let (log, problems) = files::log(&args.log)?;
    tell(&problems);
    let name = args.log.display().to_string();
    say!("{}", outcome(&log, &name)?);
    Ok(())
}

/// Runs the log again: what agrees, or where it first differs.
pub(super) fn outcome(log: &LogFile, name: &str) -> Result<String, Problem> {
    match replay(log, name)? {
        Replayed::Agrees { compared, until_gap: None } => {
            Ok(format!("all {compared} effects and events came out as logged"))
        }
        Replayed::Agrees { compared, until_gap: Some(line) } => {
            Ok(format!("{compared} effects and events came out as logged, up to the gap at line {line}"))
        }
        Replayed::Differs { line, logged, done, agreed } => {
            let shown = |record: Option<Box<Record>>| {
                record
                    .map_or_else(|| "nothing".to_string(), |record| format!("{:?} at {} µs", record.what, record.at.0))
            };
            let what =
                format!("after {agreed} that agree, the log has {} and replay has {}", shown(logged), shown(done));
            Err(Problem::error(name, line, what, "check that the log is whole and was written by this version"))
        }
    }
}
