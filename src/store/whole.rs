//! Files that are written whole or not at all.

use std::ffi::OsStr;
use std::fs::File;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use super::folder::create_private;
use super::problem;
use crate::problem::Problem;

/// Puts `bytes` at `path`: written beside it, synced, then renamed over it, so that at every moment
/// the old file or the new one is there, whole. Under Unix the new file is for its owner only. A
/// symbolic link at `path` is replaced, not followed.
///
/// # Errors
/// When any step fails; what was at `path` is then unchanged.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), Problem> {
    replace(path, bytes).map_err(|error| {
        problem(path, format!("cannot write the file: {error}"), "check the folder, your rights and the free space")
    })
}

/// The same in a folder that is made where it is missing, for a file that must not be there yet.
///
/// # Errors
/// When a file of this name is there, which is then unchanged, or when any step fails.
pub fn write_new(folder: &Path, name: &OsStr, bytes: &[u8]) -> Result<PathBuf, Problem> {
    let path = folder.join(name);
    match create_private(folder, true).and_then(|()| put(&path, bytes, false)) {
        Ok(()) => Ok(path),
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
            let what = "cannot write the file: one of this name is there, and is left as it is";
            Err(problem(&path, what, "give a new or empty folder"))
        }
        Err(error) => {
            let what = format!("cannot write the file: {error}");
            Err(problem(&path, what, "check the folder, your rights and the free space"))
        }
    }
}

/// Lets its owner run the file at `path`; other systems than Unix need no such right.
///
/// # Errors
/// When the system refuses.
pub fn let_run(path: &Path) -> Result<(), Problem> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o700)).map_err(|error| {
            problem(path, format!("cannot make it a program: {error}"), "give a folder of your own on another disk")
        })?;
    }
    // Elsewhere the name says what a program is.
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}

fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    put(path, bytes, true)
}

fn put(path: &Path, bytes: &[u8], over: bool) -> io::Result<()> {
    if path.file_name().is_none() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "the path names no file"));
    }
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // Its file is made with 0600 under Unix, and removed when a step below fails.
    let mut beside = tempfile::Builder::new().prefix(".pacewright-").suffix(".tmp").tempfile_in(folder)?;
    beside.write_all(bytes)?;
    beside.as_file().sync_all()?;
    if over { beside.persist(path) } else { beside.persist_noclobber(path) }.map_err(|error| error.error)?;
    sync_folder(folder)
}

/// Makes a new name in `folder` outlive a power cut; other systems than Unix have no such call.
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_new_file_takes_the_place_of_the_old_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("report.html");
        write_whole(&path, b"old").unwrap();
        write_whole(&path, b"new").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"new");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_write_that_cannot_be_done_leaves_nothing_behind() {
        let folder = tempfile::tempdir().unwrap();
        let occupied = folder.path().join("folder");
        std::fs::create_dir(&occupied).unwrap();
        let problem = write_whole(&occupied, b"new").unwrap_err().to_string();
        assert!(problem.contains("cannot write the file"), "{problem}");
        assert!(write_whole(&folder.path().join("no/such/file"), b"new").is_err());
        assert!(write_whole(&folder.path().join(".."), b"new").is_err());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
