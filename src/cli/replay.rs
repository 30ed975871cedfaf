//! `replay`: the inputs of a log, run again.

use super::args::ReplayArgs;
use super::{Done, Trouble, files, tell};
use crate::log::replay::{Replayed, replay};
use crate::problem::Problem;

pub(super) fn run(args: &ReplayArgs) -> Done {
    let (log, problems) = files::log(&args.log)?;
    tell(&problems);
    let name = args.log.display().to_string();
    match replay(&log, &name)? {
        Replayed::Agrees { compared, until_gap: None } => {
            say!("all {compared} effects and events came out as logged");
            Ok(())
        }
        Replayed::Agrees { compared, until_gap: Some(line) } => {
            say!("{compared} effects and events came out as logged, up to the gap at line {line}");
            Ok(())
        }
        Replayed::Differs { line, logged, done, agreed } => {
            let shown = |record: Option<Box<crate::session::record::Record>>| {
                record
                    .map_or_else(|| "nothing".to_string(), |record| format!("{:?} at {} µs", record.what, record.at.0))
            };
            let what =
                format!("after {agreed} that agree, the log has {} and replay has {}", shown(logged), shown(done));
            let remedy = "check that the log is whole and was written by this version";
            Err(Trouble::Input(vec![Problem::error(&name, line, what, remedy)]))
        }
    }
}
