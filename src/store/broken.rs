//! What is to be said before a client's next session: the last one was broken off, or the clock went back.

use std::path::PathBuf;

use jiff::Zoned;

use super::folder::Store;
use super::names::{log_name, place};
use super::{problem, read_log};
use crate::code::ClientCode;
use crate::log::reader::LogFile;
use crate::problem::Problem;
use crate::session::event::Event;
use crate::session::record::What;

/// A session without its end.
#[derive(Clone, Debug, PartialEq)]
pub struct Broken {
    /// Its log.
    pub path: PathBuf,
    /// All that could be read of it.
    pub log: LogFile,
}

impl Broken {
    /// The trials that were saved.
    #[must_use]
    pub fn trials(&self) -> usize {
        self.log.known().filter(|record| matches!(record.what, What::Event(Event::Trial(_)))).count()
    }

    /// The warning, and what can be done.
    #[must_use]
    pub fn warning(&self) -> Problem {
        let what = format!("this session was broken off; {} trials were saved", self.trials());
        let remedy = "they count as they are: go on behind it with `--continue`, or write a closed copy with \
                      `pacewright check --repair DIR` and this log";
        Problem::warning(&self.path.display().to_string(), None, what, remedy)
    }
}

impl Store {
    /// The client's last session, if it was broken off. No other program works in this folder, so it
    /// cannot be one that still runs.
    ///
    /// # Errors
    /// When the folder or the log cannot be read.
    pub fn broken_off(&self, client: &ClientCode) -> Result<Option<Broken>, Problem> {
        let Some(path) = self.sessions(client)?.pop() else { return Ok(None) };
        let (log, _) = read_log(&path)?;
        Ok(log.end.is_none().then_some(Broken { path, log }))
    }

    /// A warning when the wall clock stands before the beginning of the client's last session. No time in
    /// a log is measured with that clock, but the order of the sessions hangs on it.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn clock_set_back(&self, client: &ClientCode, now: &Zoned) -> Result<Option<Problem>, Problem> {
        let Some(path) = self.sessions(client)?.pop() else { return Ok(None) };
        let stamp = |name: &str| place(client, name).map(|(stamp, _)| stamp);
        let last = path.file_name().and_then(|name| stamp(name.to_str()?));
        let earlier = stamp(&log_name(client, now, 1)) < last;
        Ok(earlier.then(|| Problem {
            severity: crate::problem::Severity::Warning,
            ..problem(
                &path,
                "this session is dated later than now: a clock was set back",
                "check the date and the time of this computer, or the order of the sessions will be wrong",
            )
        }))
    }
}
