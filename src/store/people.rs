//! The clients' files in a data folder: `CODE.client.json`, so that they belong to the client by their name.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use super::{Store, read_whole, write_whole};
use crate::code::ClientCode;
use crate::desk::person::Person;
use crate::problem::Problem;

/// What their names end in.
const ENDING: &str = ".client.json";

/// All clients' files, by code, and what is wrong with those that cannot be read.
#[must_use]
pub fn people(folder: &Path) -> (BTreeMap<String, Person>, Vec<Problem>) {
    let (mut people, mut problems) = (BTreeMap::new(), Vec::new());
    let Ok(entries) = fs::read_dir(folder) else { return (people, problems) };
    for path in entries.flatten().map(|entry| entry.path()) {
        let Some(code) = code_of(&path) else { continue };
        match read_whole(&path).and_then(|bytes| Person::read(&path.display().to_string(), &bytes)) {
            Ok(person) => _ = people.insert(code.to_string(), person),
            Err(problem) => problems.push(problem),
        }
    }
    (people, problems)
}

/// The code that a client's file is named by.
fn code_of(path: &Path) -> Option<ClientCode> {
    path.file_name()?.to_str()?.strip_suffix(ENDING)?.parse().ok()
}

impl Store {
    /// Writes a client's file whole.
    ///
    /// # Errors
    /// When the system refuses.
    pub fn write_person(&self, code: &ClientCode, person: &Person) -> Result<PathBuf, Problem> {
        write(self.folder(), code, person)
    }
}

/// The same for whoever knows that no other program works in the folder.
///
/// # Errors
/// When the system refuses.
pub fn write(folder: &Path, code: &ClientCode, person: &Person) -> Result<PathBuf, Problem> {
    let path = folder.join(format!("{code}{ENDING}"));
    write_whole(&path, &person.bytes())?;
    Ok(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_client_is_written_found_and_removed_with_all_that_is_theirs() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(&folder.path().join("data")).unwrap();
        let (one, other): (ClientCode, ClientCode) = ("K7".parse().unwrap(), "K7-2".parse().unwrap());
        let person = Person { reason: "my own door".into(), ..Person::default() };
        store.write_person(&one, &person).unwrap();
        store.write_person(&other, &Person::default()).unwrap();
        for name in ["K7-20260101-000000.jsonl", "K7-20260101-000000.html", "K7-2-20260101-000000.jsonl"] {
            fs::write(store.folder().join(name), b"x").unwrap();
        }
        assert_eq!(people(store.folder()).0["K7"], person);
        assert_eq!(store.belongings(&one).unwrap().remove().0.len(), 3);
        assert_eq!(people(store.folder()).0.keys().collect::<Vec<_>>(), ["K7-2"]);
        assert_eq!(store.sessions(&other).unwrap().len(), 1);
    }

    #[test]
    fn a_file_that_cannot_be_read_is_told_and_the_others_are_there() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(&folder.path().join("data")).unwrap();
        store.write_person(&"A".parse().unwrap(), &Person::default()).unwrap();
        fs::write(store.folder().join("B.client.json"), b"{").unwrap();
        let (people, problems) = people(store.folder());
        assert_eq!((people.len(), problems.len()), (1, 1));
    }
}
