//! Fulfils what the desk wishes for, on two threads: files that are written, and the board, on one; what is long, as
//! reading logs and judging them, on the other (`reader.rs`), so that no word to the board waits for it.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{self, JoinHandle};

use super::board::{Board, menu_file};
use super::reader::Reader;
use super::running::Over;
use super::state::{News, Trial, Wish};
use super::viewer;
use crate::code::ClientCode;
use crate::desk::person::Person;
use crate::problem::Problem;
use crate::store::index::Indexed;
use crate::store::{Store, people, write_whole};

/// How news reach the desk.
pub type Tell = Arc<dyn Fn(News) + Send + Sync>;
/// Writes the report of a log; what it needs stands above this layer.
pub type WriteReport = fn(&Path) -> Result<PathBuf, String>;

/// What the worker does next.
pub(super) enum Job {
    Wish(Wish),
    /// The logs were read; the clients' files are not.
    Indexed(Result<Indexed, Problem>),
    /// The board is closed.
    Over(Result<(), String>),
    Quit,
}

/// The near end of the worker. Dropping it waits until all that was wished for is done; a trial goes on.
#[derive(Debug)]
pub struct Wishes {
    jobs: Sender<Job>,
    threads: Vec<JoinHandle<()>>,
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
        for thread in self.threads.drain(..) {
            // A panic in there was printed.
            let _ = thread.join();
        }
    }
}

/// Starts the worker over `folder`, which `store` holds where nobody else does; `program` opens the board.
pub fn start(folder: PathBuf, store: Option<Store>, program: PathBuf, write_report: WriteReport, tell: Tell) -> Wishes {
    let (jobs, waiting) = channel();
    let (long, inbox) = channel();
    let reader = Reader { folder: folder.clone(), write_report, tell: Arc::clone(&tell), jobs: jobs.clone() };
    let again = jobs.clone();
    let reader = thread::spawn(move || reader.run(&inbox));
    let worker = thread::spawn(move || {
        Worker { folder, store, program, board: None, client: None, long, tell, jobs: again }.run(&waiting);
    });
    Wishes { jobs, threads: vec![worker, reader] }
}

struct Worker {
    folder: PathBuf,
    /// Holds the folder's lock; the board has it while it is open.
    store: Option<Store>,
    program: PathBuf,
    board: Option<Board>,
    /// Who sits at the board.
    client: Option<ClientCode>,
    /// What takes long is handed on.
    long: Sender<Wish>,
    tell: Tell,
    jobs: Sender<Job>,
}

impl Worker {
    fn run(mut self, waiting: &Receiver<Job>) {
        while let Ok(job) = waiting.recv() {
            let done = match job {
                Job::Wish(wish) => self.fulfil(wish),
                Job::Indexed(indexed) => {
                    (self.tell)(self.index(indexed));
                    Ok(())
                }
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
            wish @ (Wish::Index | Wish::Judge(_) | Wish::Report(_)) => {
                // The reader ends only after this.
                let _ = self.long.send(wish);
                return Ok(());
            }
            Wish::Save(code, person) => {
                let saved = self.save(&code, &person);
                News::Saved(code, saved)
            }
            Wish::SaveElsewhere(folder, people) => {
                let saved = people.iter().try_for_each(|(code, person)| people::write_new(&folder, code, person));
                News::SavedElsewhere(saved.map_err(words))
            }
            Wish::Delete(code) => {
                let store = self.store()?;
                let (gone, left) = store.remove(&store.belongings(&code).map_err(words)?);
                (self.tell)(News::Done(format!("{code}: {} files were removed.", gone.len())));
                left.into_iter().for_each(|problem| (self.tell)(News::Failed(words(problem))));
                News::Changed
            }
            // Answered by a thread of its own.
            Wish::Predict(_) => return Ok(()),
            Wish::Paper { name, html } => {
                let path = self.folder.join(name);
                write(&path, &html)?;
                viewer::open(&path)?;
                News::Done(path.display().to_string())
            }
            Wish::Plan { name, text } => {
                let path = self.folder.join(name);
                write(&path, &text)?;
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

    /// The clients' files are read where they are written, so that none is read that is older than what was written.
    fn index(&self, indexed: Result<Indexed, Problem>) -> News {
        match indexed {
            Err(problem) => News::NoFolder(words(problem)),
            Ok(Indexed { index, problems, .. }) => {
                News::Index(index, people::people(&self.folder), problems.into_iter().map(words).collect())
            }
        }
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

/// Writes what is made from what stands at the desk: nothing is lost where it cannot be written.
fn write(path: &Path, text: &str) -> Result<(), String> {
    write_whole(path, text.as_bytes())
        .map_err(|problem| format!("{}. Nothing is lost: then write it again.", words(problem)))
}

pub(super) fn words(problem: Problem) -> String {
    problem.to_string()
}
