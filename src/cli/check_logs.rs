//! `check` of logs: sequence, checksums and replay, of one or of a whole folder. It repairs nothing unless
//! asked, and then in a copy.

use std::path::Path;

use crate::analysis::words::count;
use crate::cli::{Trouble, files, replay, tell};
use crate::log::header::Header;
use crate::log::reader::LogFile;
use crate::log::repair::repaired;
use crate::problem::{Problem, Severity};
use crate::store;

/// What a log was found to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    /// Nothing is missing.
    Whole,
    /// It can be used; the session was broken off, or the log is a repaired copy.
    Usable,
    /// Something of it is lost, or does not replay.
    Damaged,
}

/// Checks every log in the folder, a line each; `true` when none is damaged.
pub(super) fn check_folder(folder: &Path, repair: Option<&Path>) -> Result<bool, Trouble> {
    let logs = store::logs_in(folder)?;
    let mut counts = [0_usize; 3];
    for (index, log) in logs.iter().enumerate() {
        let state = check_log(log, &format!("{} of {}: ", index + 1, logs.len()), repair)?;
        counts[state as usize] += 1;
    }
    let [whole, usable, damaged] = counts;
    let all = count(logs.len() as u32, "log", "logs");
    say!("{}: {all}: {whole} whole, {usable} broken off or repaired, {damaged} damaged", folder.display());
    Ok(damaged == 0)
}

/// Checks one log and prints what it is, behind `place`.
pub(super) fn check_log(path: &Path, place: &str, repair: Option<&Path>) -> Result<State, Trouble> {
    let name = path.display().to_string();
    let (log, mut problems) = match files::log(path) {
        Ok(read) => read,
        Err(Trouble::Input(problems)) => {
            tell(&problems);
            return Ok(State::Damaged);
        }
        Err(other) => return Err(other),
    };
    let read_with = problems.len();
    let replayed = log.header.as_ref().map(|header| match replay::outcome(&log, &name) {
        Ok(words) => words,
        Err(problem) => {
            problems.push(of_version(header, problem));
            "it does not replay".to_string()
        }
    });
    say!("{place}{name}: {}", words(&log, replayed.as_deref()));
    tell(&problems);
    if let Some(folder) = repair
        && read_with > 0
    {
        write_copy(&log, &problems[..read_with], path, folder);
    }
    Ok(state(&problems))
}

fn words(log: &LogFile, replayed: Option<&str>) -> String {
    let records = count(log.records.len() as u32, "record", "records");
    let Some(header) = &log.header else { return format!("no session log that can be judged: no header, {records}") };
    let replayed = replayed.map_or(String::new(), |words| format!("; {words}"));
    format!("a session log of {records}, client {}, begun {}{replayed}", header.client, header.began)
}

/// Another version of the program may do otherwise: that is no damage.
fn of_version(header: &Header, problem: Problem) -> Problem {
    if header.program == env!("CARGO_PKG_VERSION") {
        return problem;
    }
    let remedy = format!("version {} wrote this log: replay it with that one", header.program);
    Problem { severity: Severity::Warning, remedy, ..problem }
}

fn state(problems: &[Problem]) -> State {
    if problems.iter().any(|problem| problem.severity == Severity::Error) {
        State::Damaged
    } else if problems.is_empty() {
        State::Whole
    } else {
        State::Usable
    }
}

/// A copy that cannot be written is told; the next log is checked all the same.
fn write_copy(log: &LogFile, problems: &[Problem], path: &Path, folder: &Path) {
    let name = path.display().to_string();
    let written = match repaired(log, problems) {
        Some(bytes) => store::write_new(folder, path.file_name().unwrap_or_default(), &bytes),
        None => Err(Problem::error(&name, None, "cannot repair it: it has no header", "copy the file again")),
    };
    match written {
        Ok(copy) => say!("{name}: a whole copy, which says what was lost, is `{}`", copy.display()),
        Err(problem) => tell(&[problem]),
    }
}
