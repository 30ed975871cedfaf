//! `pacewright client`: all of one client handed over, moved away or deleted, and nothing of another.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use pacewright::log::header::Header;
use pacewright::store::Store;
use tempfile::TempDir;

use super::samples::{header, logged, records};

struct Folder(TempDir);

impl Folder {
    /// Two sessions with a report of C07, a log of C07 under another name, and what is not its own.
    fn new() -> Folder {
        let folder = Folder(tempfile::tempdir().unwrap());
        drop(Store::open(&folder.path("data")).unwrap());
        folder.log("C07", "C07-20260102-030405");
        folder.log("C07", "C07-20260103-030405-2");
        folder.log("C07", "copy of a session");
        folder.log("C07-2", "C07-2-20260102-030405");
        folder.log("C08", "C08-20260102-030405");
        for name in ["C07-20260102-030405.html", "C07-2-20260102-030405.html", "C07-letter.txt", "C08.txt"] {
            fs::write(folder.path("data").join(name), name).unwrap();
        }
        fs::create_dir(folder.path("data/clients")).unwrap();
        for name in ["C07.json", "C08.json"] {
            fs::write(folder.path("data/clients").join(name), name).unwrap();
        }
        folder
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn log(&self, client: &str, name: &str) {
        let header = Header { client: client.into(), ..header() };
        fs::write(self.path("data").join(format!("{name}.jsonl")), logged(&header, &records())).unwrap();
    }

    fn client(&self, arguments: &[&str]) -> (i32, String) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
        let output = command.current_dir(self.0.path()).arg("client").args(arguments).output().unwrap();
        (output.status.code().unwrap(), said(&output))
    }
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// The files in a folder and in the folders in it, by name, without the lock.
fn held(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let (folders, files): (Vec<PathBuf>, Vec<PathBuf>) = entries.partition(|path| path.is_dir());
    let deeper: Vec<_> = folders.iter().flat_map(|folder| held(folder)).collect();
    let named = files
        .into_iter()
        .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(path).unwrap()));
    named.filter(|(name, _)| name != "pacewright.lock").chain(deeper).collect()
}

const OWN: [&str; 5] = [
    "C07-20260102-030405.html",
    "C07-20260102-030405.jsonl",
    "C07-20260103-030405-2.jsonl",
    "C07.json",
    "copy of a session.jsonl",
];

#[test]
fn an_export_is_a_copy_of_all_and_leaves_all() {
    let folder = Folder::new();
    let before = held(&folder.path("data"));
    let (code, said) = folder.client(&["export", "C07", "--data", "data", "--out", "out"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("5 files of C07 copied to out and compared") && said.contains("C07-letter.txt"), "{said}");
    let copied = held(&folder.path("out"));
    assert!(copied.keys().eq(OWN) && copied.iter().all(|(name, bytes)| before[name] == *bytes));
    assert_eq!(held(&folder.path("data")), before);
    let (code, said) = folder.client(&["export", "C07", "--data", "data", "--out", "out"]);
    assert!(code == 1 && said.contains("one of this name is there, and is left as it is"), "{said}");
}

#[test]
fn an_archive_is_the_copy_and_the_data_folder_forgets() {
    let folder = Folder::new();
    let before = held(&folder.path("data"));
    let (code, said) = folder.client(&["archive", "C07", "--data", "data", "--out", "out"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("5 files of C07 deleted") && said.contains("Not reached: copies, backups"), "{said}");
    let (left, away) = (held(&folder.path("data")), held(&folder.path("out")));
    assert!(away.keys().eq(OWN) && left.keys().all(|name| !OWN.contains(&name.as_str())));
    assert_eq!(left.into_iter().chain(away).collect::<BTreeMap<_, _>>(), before);
}

#[test]
fn an_archive_that_cannot_be_written_deletes_nothing() {
    let folder = Folder::new();
    let before = held(&folder.path("data"));
    fs::create_dir(folder.path("out")).unwrap();
    fs::write(folder.path("out").join(OWN[4]), "another").unwrap();
    let (code, said) = folder.client(&["archive", "C07", "--data", "data", "--out", "out"]);
    assert!(code == 1 && said.contains("one of this name is there"), "{said}");
    assert_eq!(held(&folder.path("data")), before);
}

#[test]
fn a_deletion_needs_the_code_twice_and_says_what_went() {
    let folder = Folder::new();
    let before = held(&folder.path("data"));
    for confirm in [&[][..], &["--confirm", "C08"]] {
        let arguments = [&["delete", "C07", "--data", "data"][..], confirm].concat();
        let (code, said) = folder.client(&arguments);
        assert!(code == 1 && said.contains("nothing was deleted") && said.contains("--confirm C07"), "{said}");
        assert!(OWN.iter().all(|name| said.contains(name)), "{said}");
        assert_eq!(held(&folder.path("data")), before);
    }
    let (code, said) = folder.client(&["delete", "C07", "--data", "data", "--confirm", "C07"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("5 files of C07 deleted") && OWN.iter().all(|name| said.contains(name)), "{said}");
    let left = held(&folder.path("data"));
    assert!(left.len() == before.len() - OWN.len() && left.keys().all(|name| !OWN.contains(&name.as_str())));
}

#[test]
fn what_is_not_there_or_in_use_is_told() {
    let folder = Folder::new();
    let delete = |code: &str, data: &str| folder.client(&["delete", code, "--data", data, "--confirm", code]);
    let (code, said) = delete("C09", "data");
    assert!(code == 1 && said.contains("it holds nothing of C09; check the code and the folder"), "{said}");
    let (code, said) = delete("C07", "dta");
    assert!(code == 1 && said.contains("there is no such folder") && !folder.path("dta").exists(), "{said}");
    let _running = Store::open(&folder.path("data")).unwrap();
    let (code, said) = delete("C07", "data");
    assert!(code == 1 && said.contains("another pacewright"), "{said}");
}
