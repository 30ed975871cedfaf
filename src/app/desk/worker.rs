//! Fulfils what the desk wishes for, on a thread of its own: files, findings, trials.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

use super::state::{Found, News, Seen, Trial, Wish};
use super::viewer;
use crate::advice::asked::Asked;
use crate::advice::overview::Overview;
use crate::analysis::set_ups::Session;
use crate::code::ClientCode;
use crate::log::header::Header;
use crate::problem::Problem;
use crate::session::record::Record;
use crate::store::index::Index;
use crate::store::{self, Store, people, read_log, write_whole};

/// How news reach the desk.
pub type Tell = Box<dyn Fn(News) + Send>;
/// Writes the report of a log; what it needs stands above this layer.
pub type WriteReport = fn(&Path) -> Result<PathBuf, String>;

/// Starts the worker over `folder`, opened or still to be; it ends when the sender is dropped.
pub fn start(folder: PathBuf, store: Option<Store>, write_report: WriteReport, tell: Tell) -> Sender<Wish> {
    let (sender, wishes) = channel();
    thread::spawn(move || Worker { folder, store, write_report, tell }.run(&wishes));
    sender
}

struct Worker {
    folder: PathBuf,
    /// Holds the folder's lock; a trial has it while it runs.
    store: Option<Store>,
    write_report: WriteReport,
    tell: Tell,
}

impl Worker {
    fn run(mut self, wishes: &Receiver<Wish>) {
        while let Ok(wish) = wishes.recv() {
            if let Err(why) = self.fulfil(wish) {
                (self.tell)(News::Failed(why));
            }
        }
    }

    fn fulfil(&mut self, wish: Wish) -> Result<(), String> {
        let news = match wish {
            Wish::Index => self.index().map_err(words)?,
            Wish::Save(code, person) => return self.store()?.write_person(&code, &person).map(|_| ()).map_err(words),
            Wish::Delete(code) => {
                let (gone, left) = self.store()?.belongings(&code).map_err(words)?.remove();
                (self.tell)(News::Done(format!("{code}: {} files were removed.", gone.len())));
                left.into_iter().for_each(|problem| (self.tell)(News::Failed(words(problem))));
                News::Changed
            }
            Wish::Judge(code) => News::Found(code.clone(), judge(&self.folder, &code)),
            // Answered by a thread of its own.
            Wish::Predict(_) => return Ok(()),
            Wish::Report(log) => {
                let report = (self.write_report)(&self.folder.join(log))?;
                viewer::open(&report)?;
                News::Done(report.display().to_string())
            }
            Wish::Paper { name, html } => {
                let path = self.folder.join(name);
                write_whole(&path, html.as_bytes()).map_err(words)?;
                viewer::open(&path)?;
                News::Done(path.display().to_string())
            }
            Wish::Trial(trial) => {
                self.trial(&trial)?;
                News::Changed
            }
        };
        (self.tell)(news);
        Ok(())
    }

    fn index(&self) -> Result<News, Problem> {
        let indexed = Index::of(&self.folder)?;
        let (people, problems) = people::people(&self.folder);
        let problems = indexed.problems.into_iter().chain(problems).map(words).collect();
        Ok(News::Index(indexed.index, people, problems))
    }

    fn store(&mut self) -> Result<&Store, String> {
        if self.store.is_none() {
            self.store = Some(Store::open(&self.folder).map_err(words)?);
        }
        self.store.as_ref().ok_or_else(|| "the data folder is not open".to_string())
    }

    /// Runs the trial as a process of its own: nothing that the desk does can delay a stamp.
    fn trial(&mut self, trial: &Trial) -> Result<(), String> {
        let program = std::env::current_exe().map_err(|error| format!("cannot find this program: {error}"))?;
        self.store = None;
        let ended = Command::new(program).args(arguments(trial, &self.folder)).output();
        let again = self.store().map(|_| ());
        let ended = ended.map_err(|error| format!("cannot begin the trial: {error}"))?;
        again?;
        match ended.status.success() {
            true => Ok(()),
            false => Err(String::from_utf8_lossy(&ended.stderr).trim().to_string()),
        }
    }
}

fn words(problem: Problem) -> String {
    problem.to_string()
}

/// The command line of a trial.
fn arguments(trial: &Trial, folder: &Path) -> Vec<std::ffi::OsString> {
    let setup = &trial.setup;
    let mut all: Vec<std::ffi::OsString> =
        ["trial", "--protocol", &trial.protocol, "--client", trial.client.as_str(), "--data"].map(Into::into).to_vec();
    all.push(folder.into());
    let stated = [
        ("--site", &setup.site),
        ("--side", &setup.side),
        ("--switch-kind", &setup.switch),
        ("--mounting", &setup.mounting),
        ("--position", &setup.position),
        ("--breathing", &setup.breathing),
        ("--since-rest", &setup.since_rest),
        ("--since-medication", &setup.since_medication),
    ];
    for (name, value) in stated.into_iter().filter(|(_, value)| !value.is_empty()) {
        // Joined, so that a text with a hyphen in front is no option.
        all.push(format!("{name}={value}").into());
    }
    for value in &trial.set {
        all.push(format!("--set={value}").into());
    }
    all
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

fn seen((path, (header, _)): &(PathBuf, Held)) -> Seen {
    Seen {
        log: path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        day: header.began.chars().take(10).collect(),
    }
}
