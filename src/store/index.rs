//! What stands in a data folder, without reading every log each time: an index beside the logs.
//!
//! The index holds only what can be made again from the logs. An entry is taken as it stands while
//! size and date of its log are the same; otherwise that log is read anew. A missing or damaged index
//! is no fault: it is made again.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use serde::{Deserialize, Serialize};

use super::{logs_in, problem, read_at_most, read_log, write_whole};
use crate::analysis;
use crate::log::reader::LogFile;
use crate::problem::Problem;
use crate::session::setup::Setup;

/// Its name in the data folder.
const NAME: &str = "index.json";
/// It is never larger, in bytes: about a hundred thousand sessions.
const LARGEST: u64 = 64 << 20;

/// All sessions of a data folder.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Index {
    version: u32,
    /// Each log by its file name.
    pub sessions: BTreeMap<String, Entry>,
}

/// One session at a glance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    bytes: u64,
    modified_us: u64,
    /// The client's code; empty when the log has no header that can be read.
    pub client: String,
    /// When it began, RFC 3339.
    pub began: String,
    /// A virtual client pressed.
    pub invented: bool,
    /// Name of its protocol.
    pub protocol: String,
    /// Where and how the switch was worked.
    pub setup: Setup,
    /// Trials that count.
    pub trials: u32,
    /// Those of them in which the wanted item was taken.
    pub right: u32,
    /// Its end was written.
    pub ended: bool,
    /// Something in it is damaged.
    pub damaged: bool,
}

/// What the index came to, and how much of it had to be read anew.
#[derive(Clone, Debug, Default)]
pub struct Indexed {
    /// The sessions.
    pub index: Index,
    /// Logs that were read anew.
    pub read: usize,
    /// What could not be read or written; the rest is there.
    pub problems: Vec<Problem>,
}

impl Index {
    const VERSION: u32 = 1;

    /// The index of `folder`, brought up to date and written back where something changed.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn of(folder: &Path) -> Result<Indexed, Problem> {
        let known = Index::stored(folder);
        let mut indexed =
            Indexed { index: Index { version: Index::VERSION, ..Index::default() }, ..Indexed::default() };
        for path in logs_in(folder)? {
            match entry(&path, &known) {
                Ok((name, entry, fresh)) => {
                    indexed.read += usize::from(fresh);
                    indexed.index.sessions.insert(name, entry);
                }
                Err(problem) => indexed.problems.push(problem),
            }
        }
        if indexed.index != known
            && let Err(problem) = indexed.index.store(folder)
        {
            indexed.problems.push(problem);
        }
        Ok(indexed)
    }

    /// What was stored; empty where nothing useful is.
    fn stored(folder: &Path) -> Index {
        let bytes = read_at_most(&folder.join(NAME), LARGEST, "it is made again").unwrap_or_default();
        let index: Index = serde_json::from_slice(&bytes).unwrap_or_default();
        if index.version == Index::VERSION { index } else { Index::default() }
    }

    fn store(&self, folder: &Path) -> Result<(), Problem> {
        write_whole(&folder.join(NAME), &serde_json::to_vec(self).unwrap_or_default())
    }

    /// The logs of each client by their file names, oldest first.
    #[must_use]
    pub fn by_client(&self) -> BTreeMap<String, Vec<String>> {
        let mut found: BTreeMap<String, Vec<(Option<i64>, String)>> = BTreeMap::new();
        for (name, entry) in &self.sessions {
            let began = super::since_1970_us(&entry.began);
            found.entry(entry.client.clone()).or_default().push((began, name.clone()));
        }
        let in_order = |mut logs: Vec<(Option<i64>, String)>| {
            logs.sort();
            logs.into_iter().map(|(_, name)| name).collect()
        };
        found.into_iter().map(|(client, logs)| (client, in_order(logs))).collect()
    }
}

/// Takes these logs, which were removed, out of the stored index: it would go on telling of them until it is
/// brought up to date.
pub(super) fn forget(folder: &Path, gone: &[PathBuf]) -> Result<(), Problem> {
    let mut index = Index::stored(folder);
    let before = index.sessions.len();
    let names = gone.iter().filter_map(|path| path.file_name()?.to_str());
    names.for_each(|name| _ = index.sessions.remove(name));
    if index.sessions.len() == before { Ok(()) } else { index.store(folder) }
}

/// The entry of the log at `path`, and whether it had to be read.
fn entry(path: &Path, known: &Index) -> Result<(String, Entry, bool), Problem> {
    let failed = |error| problem(path, format!("cannot look at the log: {error}"), "check your rights");
    let found = path.metadata().map_err(failed)?;
    let modified = found.modified().ok().and_then(|at| at.duration_since(UNIX_EPOCH).ok());
    let modified_us = modified.map_or(0, |since| since.as_micros() as u64);
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    match known.sessions.get(&name) {
        Some(entry) if entry.bytes == found.len() && entry.modified_us == modified_us => {
            Ok((name, entry.clone(), false))
        }
        _ => Ok((name, read(path, found.len(), modified_us)?, true)),
    }
}

fn read(path: &Path, bytes: u64, modified_us: u64) -> Result<Entry, Problem> {
    let (mut log, problems) = read_log(path)?;
    let (ended, damaged) = (log.end.is_some(), !problems.is_empty());
    let (mut trials, mut right) = (0, 0);
    let header = log.header.take();
    if let Some(header) = &header {
        let records = LogFile::into_known(log);
        let total = analysis::findings(header, &records).0.total;
        trials = total.trials;
        right = total.outcomes.iter().filter(|one| one.outcome == "hit").map(|one| one.count).sum();
    }
    let header = header.as_ref();
    let text = |field: fn(&crate::log::header::Header) -> &str| header.map(field).unwrap_or_default().to_string();
    Ok(Entry {
        bytes,
        modified_us,
        client: text(|header| &header.client),
        began: text(|header| &header.began),
        invented: header.is_some_and(|header| header.invented),
        protocol: text(|header| &header.protocol.name),
        setup: header.map(|header| header.setup.clone()).unwrap_or_default(),
        trials,
        right,
        ended,
        damaged,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder_with(logs: &[(&str, &[u8])]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        logs.iter().for_each(|(name, bytes)| std::fs::write(folder.path().join(name), bytes).unwrap());
        folder
    }

    #[test]
    fn what_did_not_change_is_not_read_again() {
        let folder = folder_with(&[("A-20260101-000000.jsonl", b"no log"), ("B-20260101-000000.jsonl", b"none")]);
        let first = Index::of(folder.path()).unwrap();
        assert_eq!((first.read, first.index.sessions.len()), (2, 2));
        assert!(first.index.sessions.values().all(|entry| entry.damaged && !entry.ended));
        let again = Index::of(folder.path()).unwrap();
        assert_eq!((again.read, again.index == first.index), (0, true));
        std::fs::write(folder.path().join("A-20260101-000000.jsonl"), b"another length").unwrap();
        assert_eq!(Index::of(folder.path()).unwrap().read, 1);
    }

    #[test]
    fn a_damaged_index_is_made_again_and_a_log_that_is_gone_leaves_it() {
        let folder = folder_with(&[("A-20260101-000000.jsonl", b"no log"), (NAME, b"{ broken")]);
        assert_eq!(Index::of(folder.path()).unwrap().read, 1);
        std::fs::remove_file(folder.path().join("A-20260101-000000.jsonl")).unwrap();
        assert!(Index::of(folder.path()).unwrap().index.sessions.is_empty());
    }

    #[test]
    fn a_client_who_is_removed_leaves_the_stored_index_too() {
        let folder = tempfile::tempdir().unwrap();
        let store = crate::store::Store::open(&folder.path().join("data")).unwrap();
        for name in ["A-20260101-000000.jsonl", "B-20260101-000000.jsonl"] {
            std::fs::write(store.folder().join(name), b"no log").unwrap();
        }
        Index::of(store.folder()).unwrap();
        let (gone, problems) = store.remove(&store.belongings(&"A".parse().unwrap()).unwrap());
        assert_eq!((gone.len(), problems), (1, Vec::new()));
        let stored = std::fs::read_to_string(store.folder().join(NAME)).unwrap();
        assert!(!stored.contains("A-2026") && stored.contains("B-2026"), "{stored}");
    }

    #[test]
    fn a_folder_that_is_not_there_is_told() {
        assert!(Index::of(Path::new("no/such/folder")).is_err());
    }
}
