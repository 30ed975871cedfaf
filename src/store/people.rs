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

/// The clients' files of a data folder, by code.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct People {
    /// Those that could be read.
    pub read: BTreeMap<String, Person>,
    /// What is wrong with the others.
    pub damaged: BTreeMap<String, Problem>,
}

impl<const N: usize> From<[(String, Person); N]> for People {
    fn from(read: [(String, Person); N]) -> People {
        People { read: read.into(), damaged: BTreeMap::new() }
    }
}

/// All clients' files in `folder`.
#[must_use]
pub fn people(folder: &Path) -> People {
    let mut people = People::default();
    let Ok(entries) = fs::read_dir(folder) else { return people };
    for path in entries.flatten().map(|entry| entry.path()) {
        let Some(code) = code_of(&path) else { continue };
        match read(&path) {
            Ok(person) => _ = people.read.insert(code.to_string(), person),
            Err(problem) => _ = people.damaged.insert(code.to_string(), problem),
        }
    }
    people
}

fn read(path: &Path) -> Result<Person, Problem> {
    read_whole(path).and_then(|bytes| Person::read(&path.display().to_string(), &bytes))
}

/// The code that a client's file is named by.
fn code_of(path: &Path) -> Option<ClientCode> {
    path.file_name()?.to_str()?.strip_suffix(ENDING)?.parse().ok()
}

impl Store {
    /// Writes a client's file whole.
    ///
    /// # Errors
    /// When the system refuses, or the file that is there cannot be read: what it holds would be lost.
    pub fn write_person(&self, code: &ClientCode, person: &Person) -> Result<PathBuf, Problem> {
        write(self.folder(), code, person)
    }
}

/// The same for whoever knows that no other program works in the folder.
///
/// # Errors
/// When the system refuses, or the file that is there cannot be read: what it holds would be lost.
pub fn write(folder: &Path, code: &ClientCode, person: &Person) -> Result<PathBuf, Problem> {
    let path = folder.join(format!("{code}{ENDING}"));
    if path.symlink_metadata().is_ok() {
        read(&path)
            .map_err(|problem| Problem { what: format!("{}; it is not written over", problem.what), ..problem })?;
    }
    write_whole(&path, &person.bytes())?;
    Ok(path)
}

/// Writes a client's file into a folder that is no data folder, where only the same may be there already.
///
/// # Errors
/// When another one of its name is there, or the system refuses.
pub fn write_new(folder: &Path, code: &ClientCode, person: &Person) -> Result<(), Problem> {
    let (name, bytes) = (format!("{code}{ENDING}"), person.bytes());
    if read_whole(&folder.join(&name)).is_ok_and(|there| there == bytes) {
        return Ok(());
    }
    super::write_new(folder, name.as_ref(), &bytes).map(drop)
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
        assert_eq!(people(store.folder()).read["K7"], person);
        assert_eq!(store.remove(&store.belongings(&one).unwrap()).0.len(), 3);
        assert_eq!(people(store.folder()).read.keys().collect::<Vec<_>>(), ["K7-2"]);
        assert_eq!(store.sessions(&other).unwrap().len(), 1);
    }

    #[test]
    fn a_file_that_cannot_be_read_is_told_and_the_others_are_there() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(&folder.path().join("data")).unwrap();
        store.write_person(&"A".parse().unwrap(), &Person::default()).unwrap();
        fs::write(store.folder().join("B.client.json"), b"{").unwrap();
        let people = people(store.folder());
        assert_eq!((people.read.len(), people.damaged.len()), (1, 1));
        assert!(people.damaged["B"].what.contains("cannot read the client's file"));
    }

    #[test]
    fn elsewhere_only_the_same_file_may_be_there() {
        let folder = tempfile::tempdir().unwrap();
        let (folder, code) = (folder.path().join("stick"), "K7".parse().unwrap());
        let person = Person { reason: "my own door".into(), ..Person::default() };
        for _ in 0..2 {
            write_new(&folder, &code, &person).unwrap();
        }
        assert!(write_new(&folder, &code, &Person::default()).unwrap_err().what.contains("left as it is"));
        assert_eq!(people(&folder).read["K7"], person);
    }

    #[test]
    fn a_file_that_cannot_be_read_is_never_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(&folder.path().join("data")).unwrap();
        let (code, path) = ("B".parse().unwrap(), store.folder().join("B.client.json"));
        for there in [&b"{ \"reason\": \"my own door\","[..], br#"{"version":9}"#, b""] {
            fs::write(&path, there).unwrap();
            let problem = store.write_person(&code, &Person::default()).unwrap_err();
            assert!(problem.what.contains("not written over"), "{problem}");
            assert_eq!(fs::read(&path).unwrap(), there);
        }
        fs::remove_file(&path).unwrap();
        store.write_person(&code, &Person::default()).unwrap();
        store.write_person(&code, &Person { archived: true, ..Person::default() }).unwrap();
    }
}
