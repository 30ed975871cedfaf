//! The data folder and the lock on it.

use std::fs::{self, DirBuilder, File, OpenOptions, TryLockError};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use jiff::Zoned;

use super::names::{log_name, place};
use super::problem;
use super::whole::sync_folder;
use crate::code::ClientCode;
use crate::problem::Problem;

/// Its presence marks a folder as ours; the lock is held on it.
pub(super) const LOCK: &str = "pacewright.lock";

/// More logs of one client in one second than this are refused.
pub(super) const MOST_TURNS: u32 = 1_000;

/// A data folder in which this process alone works, until it is dropped.
#[derive(Debug)]
pub struct Store {
    folder: PathBuf,
    /// The lock goes with it; the system lets go of it even when the process is killed.
    lock: File,
}

impl Drop for Store {
    /// The number of this process goes with it, so that what is left of two runs is the same.
    fn drop(&mut self) {
        let _ = self.lock.set_len(0);
    }
}

impl Store {
    /// Opens the data folder, creating it where it is missing, and takes its lock.
    ///
    /// # Errors
    /// When another process works in it, when others may look into it and it is not ours to close,
    /// or when the system refuses.
    pub fn open(folder: &Path) -> Result<Store, Problem> {
        let refused = |error: io::Error| {
            problem(folder, format!("cannot open the data folder: {error}"), "check the path and your rights")
        };
        create_private(folder, true).map_err(refused)?;
        if !folder.is_dir() {
            return Err(problem(folder, "cannot use it as data folder: it is no folder", "give another path"));
        }
        keep_private(folder)?;
        Ok(Store { folder: folder.into(), lock: take_lock(folder)? })
    }

    /// The folder.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Creates the log of a session that begins at `began`. It never touches a file that is there.
    ///
    /// # Errors
    /// When the system refuses.
    pub fn create_log(&self, client: &ClientCode, began: &Zoned) -> Result<(PathBuf, File), Problem> {
        for turn in 1..=MOST_TURNS {
            let path = self.folder.join(log_name(client, began, turn));
            match private().read(true).create_new(true).open(&path) {
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
                Err(error) => return Err(no_log(&path, &error)),
                Ok(file) => {
                    sync_folder(&self.folder).map_err(|error| no_log(&path, &error))?;
                    return Ok((path, file));
                }
            }
        }
        let what = format!("cannot create a log: {MOST_TURNS} began in this second");
        Err(problem(&self.folder, what, "wait a second and try again"))
    }

    /// The logs of a client, oldest first.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn sessions(&self, client: &ClientCode) -> Result<Vec<PathBuf>, Problem> {
        logs_of(&self.folder, client)
    }
}

/// The logs of a client in a data folder, oldest first.
///
/// # Errors
/// When the folder cannot be read.
pub fn logs_of(folder: &Path, client: &ClientCode) -> Result<Vec<PathBuf>, Problem> {
    let placed = |path: PathBuf| Some((place(client, path.file_name()?.to_str()?)?, path));
    // A link is no log of ours: it leads out of the folder that is kept private.
    let own = logs_in(folder)?.into_iter().filter(|path| !path.is_symlink());
    let mut found: Vec<_> = own.filter_map(placed).collect();
    found.sort();
    Ok(found.into_iter().map(|(_, path)| path).collect())
}

/// All logs in a folder, by name.
///
/// # Errors
/// When the folder cannot be read.
pub fn logs_in(folder: &Path) -> Result<Vec<PathBuf>, Problem> {
    Ok(entries(folder)?.into_iter().filter(|path| is_log(path)).collect())
}

pub(super) fn is_log(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension == "jsonl") && path.is_file()
}

/// All that stands in a folder, by name.
pub(super) fn entries(folder: &Path) -> Result<Vec<PathBuf>, Problem> {
    let entries = fs::read_dir(folder).and_then(Iterator::collect::<io::Result<Vec<_>>>);
    let entries = entries.map_err(|error| {
        problem(folder, format!("cannot list the folder: {error}"), "check the path and your rights")
    })?;
    let mut found: Vec<PathBuf> = entries.into_iter().map(|entry| entry.path()).collect();
    found.sort();
    Ok(found)
}

fn no_log(path: &Path, error: &io::Error) -> Problem {
    problem(path, format!("cannot create the log: {error}"), "check your rights and the free space")
}

fn take_lock(folder: &Path) -> Result<File, Problem> {
    let path = folder.join(LOCK);
    let refused = |error: io::Error| {
        problem(
            &path,
            format!("cannot lock the data folder: {error}"),
            "check your rights and the free space, or give a folder on a local disk",
        )
    };
    // Followed, a link would put the lock, and the number below, into somebody else's file.
    if path.symlink_metadata().is_ok_and(|found| !found.is_file()) {
        return Err(problem(&path, "cannot lock the data folder: this is no plain file", "remove it and try again"));
    }
    let mut file = private().create(true).truncate(false).open(&path).map_err(refused)?;
    match file.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => return Err(held(folder, &path)),
        Err(TryLockError::Error(error)) => return Err(refused(error)),
    }
    file.set_len(0).and_then(|()| writeln!(file, "{}", std::process::id())).map_err(refused)?;
    Ok(file)
}

fn held(folder: &Path, lock: &Path) -> Problem {
    // Where a lock also keeps readers out, the number stays unknown.
    let holder: Option<u32> = fs::read_to_string(lock).ok().and_then(|text| text.trim().parse().ok());
    let holder = holder.map_or(String::new(), |number| format!(" (process {number})"));
    let what = format!("cannot lock the data folder: another pacewright{holder} works in it");
    problem(folder, what, "close that one first, or give another folder with --data")
}

#[cfg(unix)]
pub(super) fn private() -> OpenOptions {
    use std::os::unix::fs::OpenOptionsExt as _;
    let mut options = OpenOptions::new();
    options.write(true).mode(0o600);
    options
}

#[cfg(not(unix))]
pub(super) fn private() -> OpenOptions {
    let mut options = OpenOptions::new();
    options.write(true);
    options
}

/// Makes a folder for its owner only; with `deep` also those above it.
pub(super) fn create_private(folder: &Path, deep: bool) -> io::Result<()> {
    if folder.exists() {
        return Ok(());
    }
    let mut builder = DirBuilder::new();
    builder.recursive(deep);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

/// Closes a folder of ours, or an empty one, to others. One that holds other things is left alone:
/// closing it could shut others out of what is theirs.
#[cfg(unix)]
fn keep_private(folder: &Path) -> Result<(), Problem> {
    use std::os::unix::fs::PermissionsExt as _;
    let refused = |error: io::Error| {
        problem(folder, format!("cannot close the data folder to others: {error}"), "give a folder of your own")
    };
    let mode = folder.metadata().map_err(refused)?.permissions().mode();
    if mode & 0o077 == 0 {
        return Ok(());
    }
    if fs::read_dir(folder).map_err(refused)?.next().is_some() && !folder.join(LOCK).exists() {
        let what = "cannot use it as data folder: others may look into it and it holds other files";
        return Err(problem(folder, what, "give a new or empty folder, or close this one with `chmod 700`"));
    }
    fs::set_permissions(folder, fs::Permissions::from_mode(0o700)).map_err(refused)
}

#[cfg(not(unix))]
fn keep_private(_folder: &Path) -> Result<(), Problem> {
    Ok(())
}
