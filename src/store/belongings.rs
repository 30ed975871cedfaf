//! What a data folder holds of one client: to be handed over whole, moved away or removed.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::folder::{Store, entries, is_log};
use super::index;
use super::names::place;
use super::whole::{sync_folder, write_new};
use super::{problem, read_header};
use crate::code::ClientCode;
use crate::problem::Problem;

/// The folder within a data folder in which a file `CODE.json` may say more of a client.
const CLIENTS: &str = "clients";

/// The files of one client.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Belongings {
    /// Logs, and what stands beside them under the same name, such as reports.
    pub files: Vec<PathBuf>,
    /// Files that begin with the code and of which nothing says whose they are.
    pub unclear: Vec<PathBuf>,
}

impl Store {
    /// What the folder holds of `client`. A log is the client's when its header says so, or, where that cannot be
    /// read, its name.
    ///
    /// # Errors
    /// When the folder or a log cannot be read.
    pub fn belongings(&self, client: &ClientCode) -> Result<Belongings, Problem> {
        let mut found = Belongings::default();
        let mut files = entries(self.folder())?;
        let more = self.folder().join(CLIENTS);
        if more.is_dir() {
            files.extend(entries(&more)?);
        }
        files.retain(|path| !path.is_dir());
        let (mut own, mut others) = (BTreeSet::new(), BTreeSet::new());
        for log in files.iter().filter(|path| is_log(path) && !path.is_symlink()) {
            match read_header(log)? {
                Some(header) if header.client == client.as_str() => own.insert(stem(log)),
                Some(_) => others.insert(stem(log)),
                None => place(client, &name(log)).is_some() && own.insert(stem(log)),
            };
        }
        let begins = format!("{client}-");
        for path in files {
            let stem = stem(&path);
            let named = stem == client.as_str() || place(client, &format!("{stem}.jsonl")).is_some();
            if own.contains(&stem) || named && !others.contains(&stem) {
                found.files.push(path);
            } else if stem.starts_with(&begins) && !others.contains(&stem) {
                found.unclear.push(path);
            }
        }
        Ok(found)
    }

    /// Removes what the folder holds of a client; gives the files that are gone, and what went wrong with the others.
    #[must_use]
    pub fn remove(&self, belongings: &Belongings) -> (Vec<PathBuf>, Vec<Problem>) {
        let (mut gone, mut problems) = (Vec::new(), Vec::new());
        for file in &belongings.files {
            match remove(file) {
                Ok(()) => gone.push(file.clone()),
                Err(error) => {
                    let what = format!("cannot delete the file: {error}");
                    problems.push(problem(file, what, "check your rights, then try again"));
                }
            }
        }
        // What the index says of them is theirs too.
        problems.extend(index::forget(self.folder(), &gone).err());
        (gone, problems)
    }
}

fn name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// The name up to its first dot.
fn stem(path: &Path) -> String {
    name(path).split('.').next().unwrap_or_default().to_string()
}

impl Belongings {
    /// Copies the files to `folder`, which is made where it is missing, and reads each copy again.
    ///
    /// # Errors
    /// When a file of the same name is there, or a copy cannot be made or is not the same.
    pub fn copy_to(&self, folder: &Path) -> Result<Vec<PathBuf>, Problem> {
        self.files.iter().map(|file| copy(file, folder)).collect()
    }
}

fn copy(file: &Path, folder: &Path) -> Result<PathBuf, Problem> {
    let bytes = read(file)?;
    let copy = write_new(folder, file.file_name().unwrap_or_default(), &bytes)?;
    if read(&copy)? != bytes {
        return Err(problem(&copy, "the copy is not what was copied", "check the disk, then try again elsewhere"));
    }
    Ok(copy)
}

fn read(file: &Path) -> Result<Vec<u8>, Problem> {
    fs::read(file).map_err(|error| problem(file, format!("cannot read the file: {error}"), "check your rights"))
}

/// Gone for good, even behind a power cut.
fn remove(file: &Path) -> io::Result<()> {
    fs::remove_file(file)?;
    sync_folder(file.parent().unwrap_or(Path::new(".")))
}
