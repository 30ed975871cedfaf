//! `replay`: the inputs of a log, run again; with `--set`, what other settings would have made of them.

use serde_json::{Value, json};

use super::args::ReplayArgs;
use super::{Done, Trouble, files, plan, tell};
use crate::forecast::tried::{Tried, tried};
use crate::forecast::tried_text;
use crate::log::reader::LogFile;
use crate::log::replay::{Replayed, replay};
use crate::problem::Problem;
use crate::session::record::Record;
use crate::settings::Id;

pub(super) fn run(args: &ReplayArgs) -> Done {
    if !args.set.is_empty() {
        return try_settings(args);
    }
    let (log, problems) = files::log(&args.log)?;
    if log.header.is_none() {
        return Err(Trouble::Input(problems));
    }
    tell(&problems);
    let name = args.log.display().to_string();
    say!("{}", outcome(&log, &name)?);
    Ok(())
}

fn try_settings(args: &ReplayArgs) -> Done {
    let mut changes: Vec<(Id, i64)> = Vec::new();
    for text in &args.set {
        let (id, raw) = plan::change(text)?;
        // Of a setting that is given twice the last value counts.
        changes.retain(|(known, _)| *known != id);
        changes.push((id, raw));
    }
    let log = files::session(&args.log)?;
    let name = args.log.display().to_string();
    let found = tried(&log.header, &log.records, &changes)
        .map_err(|unfit| Problem::error(&name, None, unfit.what, unfit.remedy))?;
    if args.json {
        say!("{}", object(&found, &log));
        return Ok(());
    }
    if log.header.invented {
        say!("Invented data: a virtual client pressed.");
    }
    tried_text::lines(&found).iter().for_each(|line| say!("{line}"));
    say!("It measures and informs, a licensed clinician decides: try it before it goes home.");
    Ok(())
}

fn object(found: &Tried, log: &files::Log) -> Value {
    let (selections, no_selections) = match &found.selections {
        Ok(selections) => (json!(selections), Value::Null),
        Err(unfit) => (Value::Null, json!(format!("{}; {}", unfit.what, unfit.remedy))),
    };
    json!({
        "format": "pacewright tried",
        "version": 1,
        "program": env!("CARGO_PKG_VERSION"),
        "client": log.header.client,
        "began": log.header.began,
        "invented": log.header.invented,
        "changes": found.changes,
        "presses": found.presses,
        "logged": found.logged,
        "selections": selections,
        "no_selections": no_selections,
        "broken": found.broken,
    })
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
