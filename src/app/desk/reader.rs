//! What takes long, on a thread of its own: reading logs, judging them, writing their reports.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender};

use super::state::{Found, News, Seen, Wish};
use super::viewer;
use super::worker::{Job, Tell, WriteReport};
use crate::advice::asked::Asked;
use crate::advice::overview::Overview;
use crate::analysis::set_ups::Session;
use crate::code::ClientCode;
use crate::log::header::Header;
use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::store::index::Index;
use crate::store::{self, read_log};
use crate::switch_check::Finding;

/// The thread's own.
pub(super) struct Reader {
    pub(super) folder: PathBuf,
    pub(super) write_report: WriteReport,
    pub(super) tell: Tell,
    /// What is left to the worker.
    pub(super) jobs: Sender<Job>,
}

impl Reader {
    /// Fulfils wishes until nobody wishes any more.
    pub(super) fn run(self, wishes: &Receiver<Wish>) {
        while let Ok(wish) = wishes.recv() {
            match wish {
                // The worker ends first only at the end of all.
                Wish::Index => _ = self.jobs.send(Job::Indexed(Index::of(&self.folder))),
                Wish::Judge(code) => (self.tell)(News::Found(code.clone(), judge(&self.folder, &code))),
                Wish::Report(log) => (self.tell)(self.report(&log).map_or_else(News::Failed, News::Done)),
                _ => {}
            }
        }
    }

    fn report(&self, log: &str) -> Result<String, String> {
        let report = (self.write_report)(&self.folder.join(log))?;
        viewer::open(&report)?;
        Ok(report.display().to_string())
    }
}

/// Reads all sessions of a client and judges them.
fn judge(folder: &Path, code: &ClientCode) -> Found {
    let (mut sessions, mut lost) = (read(folder, code), Vec::new());
    sessions.retain(|(path, session)| {
        if session.is_none() {
            lost.push(path.display().to_string());
        }
        session.is_some()
    });
    let read: Vec<(PathBuf, Held)> =
        sessions.into_iter().filter_map(|(path, session)| Some((path, session?))).collect();
    if read.is_empty() {
        return Found::Nothing(nothing(&lost));
    }
    let all: Vec<Session> = read.iter().map(|(_, (header, records))| (header, &records[..])).collect();
    match Overview::of(&all, &Asked::default()) {
        Ok(overview) => Found::Here(Arc::new(overview), read.iter().map(seen).collect()),
        Err(unfit) => Found::Nothing(unfit.to_string()),
    }
}

fn nothing(lost: &[String]) -> String {
    match lost {
        [] => "No session yet. Begin a trial first.".into(),
        lost => format!("No session can be read: {}. Check them with `pacewright check`.", lost.join(", ")),
    }
}

/// What a log holds.
type Held = (Header, Vec<Record>);

fn read(folder: &Path, code: &ClientCode) -> Vec<(PathBuf, Option<Held>)> {
    let logs = store::logs_of(folder, code).unwrap_or_default();
    let read = |path: PathBuf| {
        let session = read_log(&path).ok().and_then(|(mut log, _)| Some((log.header.take()?, log.into_known())));
        (path, session)
    };
    logs.into_iter().map(read).collect()
}

fn seen((path, (header, records)): &(PathBuf, Held)) -> Seen {
    Seen {
        log: path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        day: header.began.chars().take(10).collect(),
        checks: records.iter().filter_map(check).collect(),
    }
}

fn check(record: &Record) -> Option<Finding> {
    match &record.what {
        What::Event(Event::SwitchChecked(finding)) => Some((**finding).clone()),
        _ => None,
    }
}
