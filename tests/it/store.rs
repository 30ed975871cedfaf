//! The data folder on a real disk.

use std::fs;
use std::path::Path;

use jiff::Zoned;
use pacewright::code::ClientCode;
use pacewright::log::thread::LogThread;
use pacewright::store::{Store, read_log};
use pacewright::time::Moment;

use super::samples::{header, records};

fn code(text: &str) -> ClientCode {
    text.parse::<ClientCode>().unwrap()
}

fn began() -> Zoned {
    "2026-01-02T03:04:05+01:00[+01:00]".parse().unwrap()
}

fn names(paths: &[std::path::PathBuf]) -> Vec<String> {
    paths.iter().map(|path| path.file_name().unwrap().to_string_lossy().into_owned()).collect()
}

#[test]
fn a_session_written_to_disk_reads_back() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(&folder.path().join("data")).unwrap();
    let (path, file) = store.create_log(&code("A1"), &began()).unwrap();
    let log = LogThread::start(file, &header()).unwrap();
    records().into_iter().for_each(|record| log.add(record));
    log.finish(Moment(1_000)).unwrap();
    let (log, problems) = read_log(&path).unwrap();
    assert!(log.known().eq(&records()) && problems.is_empty(), "{problems:?}");
}

#[test]
fn logs_are_never_overwritten_and_listed_by_client_and_age() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    for _ in 0..11 {
        store.create_log(&code("A"), &began()).unwrap();
    }
    store.create_log(&code("A-1"), &began()).unwrap();
    let earlier: Zoned = "2025-12-31T23:59:59+01:00[+01:00]".parse().unwrap();
    store.create_log(&code("A"), &earlier).unwrap();
    let found = names(&store.sessions(&code("A")).unwrap());
    assert_eq!(found.len(), 12);
    assert_eq!(found[..3], ["A-20251231-235959.jsonl", "A-20260102-030405.jsonl", "A-20260102-030405-2.jsonl"]);
    assert_eq!(found[11], "A-20260102-030405-11.jsonl");
    assert_eq!(names(&store.sessions(&code("A-1")).unwrap()), ["A-1-20260102-030405.jsonl"]);
}

#[test]
fn one_process_at_a_time_works_in_a_folder() {
    let folder = tempfile::tempdir().unwrap();
    let first = Store::open(folder.path()).unwrap();
    let text = Store::open(folder.path()).unwrap_err().to_string();
    assert!(text.contains("another pacewright") && text.contains("close that one first"), "{text}");
    if cfg!(unix) {
        assert!(text.contains(&format!("process {}", std::process::id())), "{text}");
    }
    drop(first);
    Store::open(folder.path()).unwrap();
}

#[test]
fn what_is_no_log_file_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    for path in [folder.path(), &folder.path().join("missing.jsonl"), Path::new("/dev/null"), Path::new("a\0b")] {
        assert!(read_log(path).unwrap_err().what.starts_with("cannot open the log"), "{path:?}");
    }
    let file = folder.path().join("file");
    fs::write(&file, "").unwrap();
    assert!(Store::open(&file).is_err() && Store::open(&file.join("below")).is_err());
    assert_eq!(read_log(&file).unwrap().1[0].what, "the file is empty");
}

#[cfg(unix)]
mod unix {
    use std::os::unix::fs::{PermissionsExt as _, symlink};

    use super::*;
    use pacewright::store::write_whole;

    fn mode(path: &Path) -> u32 {
        fs::symlink_metadata(path).unwrap().permissions().mode() & 0o777
    }

    #[test]
    fn the_folder_and_all_in_it_are_for_their_owner_only() {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("deep/data");
        let store = Store::open(&data).unwrap();
        let (log, _) = store.create_log(&code("A1"), &began()).unwrap();
        let report = data.join("report.html");
        write_whole(&report, b"text").unwrap();
        assert_eq!((mode(&data), mode(&log), mode(&report)), (0o700, 0o600, 0o600));
        for entry in fs::read_dir(&data).unwrap() {
            assert_eq!(mode(&entry.unwrap().path()), 0o600);
        }
    }

    #[test]
    fn an_open_folder_is_closed_when_it_is_empty_or_ours_and_refused_when_not() {
        let folder = tempfile::tempdir().unwrap();
        let open = |folder: &Path| fs::set_permissions(folder, fs::Permissions::from_mode(0o755)).unwrap();
        open(folder.path());
        drop(Store::open(folder.path()).unwrap());
        assert_eq!(mode(folder.path()), 0o700);
        open(folder.path());
        drop(Store::open(folder.path()).unwrap());
        assert_eq!(mode(folder.path()), 0o700);
        let shared = folder.path().join("shared");
        fs::create_dir(&shared).unwrap();
        fs::write(shared.join("letter.txt"), "").unwrap();
        open(&shared);
        assert!(Store::open(&shared).unwrap_err().to_string().contains("others may look into it"));
        assert_eq!((mode(&shared), fs::read_dir(&shared).unwrap().count()), (0o755, 1));
    }

    #[test]
    fn links_are_never_followed_by_a_write() {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("data");
        drop(Store::open(&data).unwrap());
        let victim = folder.path().join("victim");
        fs::write(&victim, "mine").unwrap();
        symlink(&victim, data.join("A1-20260102-030405.jsonl")).unwrap();
        symlink(&victim, data.join("report.html")).unwrap();
        let store = Store::open(&data).unwrap();
        let (path, _) = store.create_log(&code("A1"), &began()).unwrap();
        assert!(path.ends_with("A1-20260102-030405-2.jsonl"));
        assert_eq!(store.sessions(&code("A1")).unwrap(), [path]);
        write_whole(&data.join("report.html"), b"new").unwrap();
        drop(store);
        fs::remove_file(data.join("pacewright.lock")).unwrap();
        symlink(&victim, data.join("pacewright.lock")).unwrap();
        assert!(Store::open(&data).unwrap_err().to_string().contains("no plain file"));
        assert_eq!(fs::read_to_string(&victim).unwrap(), "mine");
    }
}
