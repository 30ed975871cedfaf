//! Fulfils what the desk wishes for, on a thread of its own: files, findings, trials.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{self, JoinHandle};

use super::board::{Board, menu_file};
use super::running::Over;
use super::state::{Found, News, Seen, Trial, Wish};
use super::viewer;
use crate::advice::asked::Asked;
use crate::advice::overview::Overview;
use crate::analysis::set_ups::Session;
use crate::code::ClientCode;
use crate::desk::person::Person;
use crate::log::header::Header;
use crate::problem::Problem;
use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::store::index::Index;
use crate::store::{self, Store, people, read_log, write_whole};
use crate::switch_check::Finding;

/// How news reach the desk.
pub type Tell = Arc<dyn Fn(News) + Send + Sync>;
/// Writes the report of a log; what it needs stands above this layer.
pub type WriteReport = fn(&Path) -> Result<PathBuf, String>;

/// What the worker does next.
enum Job {
    Wish(Wish),
    /// The board is closed.
    Over(Result<(), String>),
    Quit,
}

/// The near end of the worker. Dropping it waits until all that was wished for is done; a trial goes on.
#[derive(Debug)]
pub struct Wishes {
    jobs: Sender<Job>,
    thread: Option<JoinHandle<()>>,
}

impl Wishes {
    /// Wishes for something.
    pub fn send(&self, wish: Wish) {
        // The worker ends only when this is dropped.
        let _ = self.jobs.send(Job::Wish(wish));
    }
}

impl Drop for Wishes {
    fn drop(&mut self) {
        let _ = self.jobs.send(Job::Quit);
        if let Some(thread) = self.thread.take() {
            // A panic in there was printed.
            let _ = thread.join();
        }
    }
}

/// Starts the worker over `folder`, which `store` holds where nobody else does; `program` opens the board.
pub fn start(folder: PathBuf, store: Option<Store>, program: PathBuf, write_report: WriteReport, tell: Tell) -> Wishes {
    let (jobs, waiting) = channel();
    let again = jobs.clone();
    let thread = thread::spawn(move || {
        Worker { folder, store, program, board: None, client: None, write_report, tell, jobs: again }.run(&waiting);
    });
    Wishes { jobs, thread: Some(thread) }
}

struct Worker {
    folder: PathBuf,
    /// Holds the folder's lock; the board has it while it is open.
    store: Option<Store>,
    program: PathBuf,
    board: Option<Board>,
    /// Who sits at the board.
    client: Option<ClientCode>,
    write_report: WriteReport,
    tell: Tell,
    jobs: Sender<Job>,
}

impl Worker {
    fn run(mut self, waiting: &Receiver<Job>) {
        while let Ok(job) = waiting.recv() {
            let done = match job {
                Job::Wish(wish) => self.fulfil(wish),
                Job::Over(ended) => {
                    let over = self.over(ended);
                    (self.tell)(News::Over(over));
                    Ok(())
                }
                Job::Quit => return,
            };
            if let Err(why) = done {
                (self.tell)(News::Failed(why));
            }
        }
    }

    fn fulfil(&mut self, wish: Wish) -> Result<(), String> {
        let news = match wish {
            Wish::Index => self.index().map_err(words)?,
            Wish::Save(code, person) => match self.save(&code, &person) {
                Ok(()) => return Ok(()),
                Err(why) => News::Unsaved(code, why),
            },
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
            Wish::Trial(trial) => match self.trial(&trial) {
                Ok(()) => return Ok(()),
                Err(why) => News::Over(Over { failed: Some(why), broken_off: None }),
            },
            Wish::Ask(input) => return self.board.as_mut().map_or(Ok(()), |board| board.ask(&input)),
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

    /// While the board is open it is the one that locks the folder, for this desk.
    fn save(&mut self, code: &ClientCode, person: &Person) -> Result<(), String> {
        if self.board.is_none() {
            self.store()?;
        }
        people::write(&self.folder, code, person).map(drop).map_err(words)
    }

    fn trial(&mut self, trial: &Trial) -> Result<(), String> {
        // Whoever else works in the folder is told of here, not on the client's screen.
        self.store()?;
        if let Some(menu) = &trial.menu {
            write_whole(&menu_file(trial, &self.folder), menu.as_bytes()).map_err(words)?;
        }
        self.store = None;
        let (tell, jobs) = (Arc::clone(&self.tell), self.jobs.clone());
        let told = move |batch| tell(News::Heard(batch));
        let over = move |ended| _ = jobs.send(Job::Over(ended));
        self.board = Some(Board::open(&self.program, trial, &self.folder, told, over)?);
        self.client = Some(trial.client.clone());
        Ok(())
    }

    fn over(&mut self, ended: Result<(), String>) -> Over {
        self.board = None;
        let client = self.client.take();
        let broken =
            self.store().and_then(|store| client.map_or(Ok(None), |client| store.broken_off(&client).map_err(words)));
        let failed = [ended.err(), broken.as_ref().err().cloned()].into_iter().flatten().next();
        Over { failed, broken_off: broken.ok().flatten().map(|broken| broken.trials()) }
    }

    fn store(&mut self) -> Result<&Store, String> {
        if self.board.is_some() {
            return Err("a trial runs: wait until it is over".into());
        }
        if self.store.is_none() {
            self.store = Some(Store::open(&self.folder).map_err(words)?);
        }
        self.store.as_ref().ok_or_else(|| "the data folder is not open".to_string())
    }
}

fn words(problem: Problem) -> String {
    problem.to_string()
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
