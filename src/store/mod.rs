//! The data folder: who may look into it, who works in it, and what its files are called.
//!
//! Session logs are `CLIENT-YYYYMMDD-HHMMSS.jsonl`, or `…-2.jsonl` when that second has one already;
//! they are created new and never overwritten. Everything else is written whole: beside, synced,
//! renamed. Under Unix the folder is for its owner only (0700) and so is each file (0600); elsewhere
//! the rights of the user's own folders hold.
//!
//! Only this layer opens files. It decides nothing about a session.

mod belongings;
mod broken;
mod clock;
mod folder;
pub mod index;
mod labels;
mod levels;
mod names;
pub mod people;
mod sink;
mod taken;
mod usual;
mod whole;

pub use belongings::Belongings;
pub use broken::Broken;
pub use clock::{days_after, instant, later, rfc3339, since_1970_us, wall_clock};
pub use folder::{Store, logs_in, logs_of};
pub use labels::{recording, recordings};
pub use levels::KeptLevel;
pub use sink::{LogSink, rescue};
pub use taken::{Taken, in_use};
pub use usual::usual_folder;
pub use whole::{let_run, write_new, write_whole};

use std::fs::File;
use std::io::{self, BufRead as _, BufReader, Read as _, Write as _};
use std::num::NonZero;
use std::path::Path;

use crate::log;
use crate::log::header::Header;
use crate::log::reader::{self, LogFile};
use crate::log::writer::ByteSink;
use crate::problem::Problem;

impl ByteSink for File {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        io::Write::write(self, bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.flush()?;
        self.sync_data()
    }
}

/// Reads the session log at `path`, wherever it stands: see [`reader::read`].
///
/// # Errors
/// When there is no file that can be opened; a damaged log is no error but comes with problems.
pub fn read_log(path: &Path) -> Result<(LogFile, Vec<Problem>), Problem> {
    let file = open_plain(path)
        .map_err(|error| problem(path, format!("cannot open the log: {error}"), "check the path and your rights"))?;
    Ok(reader::read(BufReader::with_capacity(reader::BLOCK, file), &path.display().to_string()))
}

/// Reads only the header of the session log at `path`; `None` when its first line is none.
///
/// # Errors
/// When there is no file that can be opened or read.
pub fn read_header(path: &Path) -> Result<Option<Header>, Problem> {
    let failed = |error| problem(path, format!("cannot open the log: {error}"), "check the path and your rights");
    let mut line = Vec::new();
    let file = open_plain(path).map_err(failed)?.take(log::MOST_BYTES as u64 + 1);
    BufReader::new(file).read_until(b'\n', &mut line).map_err(failed)?;
    // One line is no work for several threads.
    Ok(reader::read_on(NonZero::<usize>::MIN, &line[..], &path.display().to_string()).0.header)
}

/// Reads the whole of the file at `path`, of at most [`LARGEST`] bytes.
///
/// # Errors
/// When there is no such file, or it is larger.
pub fn read_whole(path: &Path) -> Result<Vec<u8>, Problem> {
    read_at_most(path, LARGEST, "give a menu or a protocol")
}

/// Reads the whole of the file at `path`, of at most so many bytes; `else_give` says what to do about a larger one.
///
/// # Errors
/// When there is no such file, or it is larger.
pub fn read_at_most(path: &Path, most: u64, else_give: &str) -> Result<Vec<u8>, Problem> {
    let failed = |error| problem(path, format!("cannot read the file: {error}"), "check the path and your rights");
    let mut bytes = Vec::new();
    open_plain(path).and_then(|file| file.take(most + 1).read_to_end(&mut bytes)).map_err(failed)?;
    if bytes.len() as u64 > most {
        return Err(problem(path, format!("the file is larger than {} MiB", most >> 20), else_give));
    }
    Ok(bytes)
}

/// No menu or protocol is larger, in bytes.
pub const LARGEST: u64 = 4 << 20;

/// Opens a plain file; a folder, a pipe or a device is an error, for reading one may never end.
fn open_plain(path: &Path) -> io::Result<File> {
    if path.metadata()?.is_file() { File::open(path) } else { Err(io::Error::other("it is not a plain file")) }
}

fn problem(path: &Path, what: impl Into<String>, remedy: impl Into<String>) -> Problem {
    Problem::error(&path.display().to_string(), None, what, remedy)
}
