//! Logs that come from elsewhere into a client's record: each once, and nothing is lost.

use std::ffi::OsStr;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};

use super::folder::{LOCK, MOST_TURNS, Store};
use super::names::{name_at, place};
use super::{problem, read_at_most, write_new, write_whole};
use crate::code::ClientCode;
use crate::problem::Problem;

/// No log is larger, in bytes.
const LARGEST: u64 = 1 << 30;

/// What became of a log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Taken {
    /// It is in the record now.
    New(PathBuf),
    /// The record held its beginning, and now holds all of it.
    Completed(PathBuf),
    /// The record held all of it before.
    Known(PathBuf),
}

impl Store {
    /// Takes a copy of the log at `path` into the record of `client`. Logs are compared byte by byte, whatever they are
    /// called. Where the record holds a log that breaks off and this one goes on with, this one takes its place.
    ///
    /// # Errors
    /// When the log cannot be read, its name is none of a log of this client, or the record cannot be written.
    pub fn take(&self, client: &ClientCode, path: &Path) -> Result<Taken, Problem> {
        let bytes = bytes(path)?;
        for known in self.sessions(client)? {
            let held = self::bytes(&known)?;
            if held.starts_with(&bytes) {
                return Ok(Taken::Known(known));
            }
            if !held.is_empty() && bytes.starts_with(&held) {
                write_whole(&known, &bytes)?;
                return Ok(Taken::Completed(known));
            }
        }
        self.take_new(client, path, &bytes).map(Taken::New)
    }

    fn take_new(&self, client: &ClientCode, path: &Path, bytes: &[u8]) -> Result<PathBuf, Problem> {
        let placed = path.file_name().and_then(OsStr::to_str).and_then(|name| place(client, name));
        let (stamp, turn) = placed.ok_or_else(|| {
            let what = format!("this is no name of a log of {client}");
            problem(path, what, format!("give it back its name, such as {client}-20260102-030405.jsonl"))
        })?;
        let mut names = (turn..turn + MOST_TURNS).map(|turn| name_at(client, &stamp, turn));
        let free = names.find(|name| !self.folder().join(name).exists()).unwrap_or_default();
        write_new(self.folder(), OsStr::new(&free), bytes)
    }
}

/// Whether a program works in the folder just now; one on another computer cannot be seen. It may be read-only.
///
/// # Errors
/// When that cannot be told.
pub fn in_use(folder: &Path) -> Result<bool, Problem> {
    let path = folder.join(LOCK);
    match File::open(&path).map(|file| file.try_lock_shared()) {
        Ok(Err(std::fs::TryLockError::WouldBlock)) => Ok(true),
        // Where locks are not known nobody can hold one.
        Ok(_) => Ok(false),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(problem(&path, format!("cannot see whether it is in use: {error}"), "check your rights")),
    }
}

fn bytes(log: &Path) -> Result<Vec<u8>, Problem> {
    read_at_most(log, LARGEST, "give a session log")
}
