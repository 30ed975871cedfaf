//! The file of a running session, which notices when its folder is taken away.

use std::fs::File;
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use super::folder::{create_private, private};
use super::problem;
use super::whole::{sync_folder, write_whole};
use crate::log::writer::ByteSink;
use crate::problem::Problem;

/// How the first line of a log begins, and no other.
const HEADER_BEGINS: &[u8] = b"{\"seq\":0,";

/// Writes a log. When the file is no longer where it was, it is made again with all that it held.
#[derive(Debug)]
pub struct LogSink {
    path: PathBuf,
    file: File,
}

impl LogSink {
    /// Over the file that stands at `path`, open for reading and writing.
    #[must_use]
    pub fn new(path: PathBuf, file: File) -> LogSink {
        LogSink { path, file }
    }

    fn all(&mut self) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        self.file.seek(SeekFrom::Start(0))?;
        self.file.read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    /// Only the last folder of the path is made: where more is gone, a disk or a share is.
    fn make_again(&mut self) -> io::Result<()> {
        let gone = |error: io::Error| io::Error::new(error.kind(), format!("it is no longer in its folder: {error}"));
        let bytes = self.all()?;
        let folder = self.path.parent().unwrap_or(Path::new("."));
        create_private(folder, false).map_err(gone)?;
        let mut file = private().read(true).create_new(true).open(&self.path).map_err(gone)?;
        if let Err(error) = file.write_all(&bytes).and_then(|()| sync_folder(folder)) {
            // A half log must not stand where the whole one is wanted.
            drop(std::fs::remove_file(&self.path));
            return Err(error);
        }
        self.file = file;
        Ok(())
    }
}

impl ByteSink for LogSink {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        io::Write::write(&mut self.file, bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        if is_astray(&self.file, &self.path) {
            self.make_again()?;
        }
        self.file.sync_data()
    }

    fn astray(&mut self) -> Vec<u8> {
        if is_astray(&self.file, &self.path) { self.all().unwrap_or_default() } else { Vec::new() }
    }
}

/// The file is not the one that stands at `path`.
#[cfg(unix)]
fn is_astray(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    let place = |found: io::Result<std::fs::Metadata>| found.map(|found| (found.dev(), found.ino()));
    match (place(file.metadata()), place(path.symlink_metadata())) {
        (Ok(own), Ok(there)) => own != there,
        (Ok(_), Err(error)) => error.kind() == io::ErrorKind::NotFound,
        (Err(_), _) => false,
    }
}

/// Other systems keep an open file where it is.
#[cfg(not(unix))]
fn is_astray(_file: &File, _path: &Path) -> bool {
    false
}

/// Saves a log that could not be finished at `path` as a whole in the folder `elsewhere`: what stands at
/// `path`, then `unwritten`. Where `unwritten` begins with the header it is the whole log: all went astray,
/// and what stands at `path` is another file.
///
/// # Errors
/// When it cannot be written there either.
pub fn rescue(path: &Path, unwritten: &[u8], elsewhere: &Path) -> Result<PathBuf, Problem> {
    let mut bytes = if unwritten.starts_with(HEADER_BEGINS) { Vec::new() } else { standing(path)? };
    bytes.extend_from_slice(unwritten);
    let saved = elsewhere.join(path.file_name().unwrap_or_default());
    write_whole(&saved, &bytes)?;
    Ok(saved)
}

/// What stands at `path`; nothing where no file does.
fn standing(path: &Path) -> Result<Vec<u8>, Problem> {
    match std::fs::read(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        read => read.map_err(|error| problem(path, format!("cannot read the log again: {error}"), "check the disk")),
    }
}
