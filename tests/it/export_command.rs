//! `pacewright export` as a program: what it writes, what it refuses, and that it never changes its mind.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use pacewright::log::header::Header;
use tempfile::TempDir;

use crate::samples;

/// A folder with session logs.
struct Logs {
    folder: TempDir,
}

impl Logs {
    fn new() -> Logs {
        let logs = Logs { folder: tempfile::tempdir().unwrap() };
        fs::create_dir(logs.path("logs")).unwrap();
        logs
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// A log of this client, of a person or invented.
    fn add(&self, client: &str, began: &str, invented: bool) -> PathBuf {
        let header = Header { client: client.into(), began: began.into(), invented, ..samples::header() };
        let path = self.path("logs").join(format!("{client}-{}.jsonl", began.replace(':', "")));
        fs::write(&path, samples::logged(&header, &samples::records())).unwrap();
        path
    }

    fn export(&self, form: &str, out: &str, more: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_pacewright"));
        command.current_dir(self.folder.path()).args(["export", "logs", "--as", form, "--out", out]).args(more);
        command.output().unwrap()
    }

    /// All files of an export by their paths.
    fn written(&self, out: &str) -> BTreeMap<PathBuf, Vec<u8>> {
        let mut found = BTreeMap::new();
        collect(&self.path(out), &self.path(out), &mut found);
        found
    }
}

fn collect(top: &Path, folder: &Path, found: &mut BTreeMap<PathBuf, Vec<u8>>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(top, &path, found);
        } else {
            found.insert(path.strip_prefix(top).unwrap().into(), fs::read(&path).unwrap());
        }
    }
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned() + &String::from_utf8_lossy(&output.stdout)
}

#[track_caller]
fn fine(output: &Output) {
    assert!(output.status.success(), "{}", said(output));
}

#[track_caller]
fn refused(output: &Output, words: &str) {
    assert_eq!(output.status.code(), Some(1), "{}", said(output));
    assert!(said(output).contains(words), "{}", said(output));
}

#[test]
fn the_same_logs_give_the_same_bytes() {
    let logs = Logs::new();
    logs.add("C07", "2026-03-01T10:00:00+01:00", true);
    logs.add("C07", "2026-03-02T10:00:00+01:00", true);
    logs.add("B2", "2026-03-02T10:00:00+01:00", true);
    for form in ["csv", "bids"] {
        let names = [format!("{form}-1"), format!("{form}-2")];
        names.iter().for_each(|name| fine(&logs.export(form, name, &[])));
        assert_eq!(logs.written(&names[0]), logs.written(&names[1]));
        assert!(logs.written(&names[0]).len() > 5);
    }
}

#[test]
fn nothing_is_written_over_unless_asked_and_nothing_else_may_stand_there() {
    let logs = Logs::new();
    logs.add("C07", "2026-03-01T10:00:00+01:00", true);
    fine(&logs.export("csv", "out", &[]));
    refused(&logs.export("csv", "out", &[]), "--replace");
    fine(&logs.export("csv", "out", &["--replace"]));
    let before = logs.written("out");
    refused(&logs.export("bids", "out", &["--replace"]), "is not part of this export");
    assert_eq!(logs.written("out"), before);
}

#[test]
fn without_consent_no_person_is_in_a_data_set() {
    let logs = Logs::new();
    for client in ["C07", "C08"] {
        logs.add(client, "2026-03-01T10:00:00+01:00", false);
    }
    refused(&logs.export("bids", "none", &[]), "no session to export");
    assert!(!logs.path("none").exists());
    fs::write(logs.path("consent"), "# research\nC08  # until withdrawn\n").unwrap();
    let output = logs.export("bids", "one", &["--consent", "consent", "--key", "key"]);
    fine(&output);
    assert!(
        said(&output).contains("1 left out") && said(&output).contains("1 session of 1 client"),
        "{}",
        said(&output)
    );
    let key = fs::read_to_string(logs.path("key")).unwrap();
    assert!(key.contains("C08") && !key.contains("C07"), "{key}");
    fs::write(logs.path("consent"), "no code\n").unwrap();
    refused(&logs.export("bids", "two", &["--consent", "consent"]), "`consent`, line 1");
}

#[test]
fn a_key_keeps_codes_and_shifts_from_one_export_to_the_next() {
    let logs = Logs::new();
    logs.add("C07", "2026-03-01T10:00:00+01:00", true);
    fine(&logs.export("csv", "one", &["--key", "key"]));
    logs.add("A01", "2026-03-05T10:00:00+01:00", true);
    logs.add("C07", "2026-03-04T10:00:00+01:00", true);
    fine(&logs.export("csv", "two", &["--key", "key"]));
    let began = |out: &str| -> Vec<String> {
        let text = String::from_utf8(logs.written(out)[Path::new("sessions.csv")].clone()).unwrap();
        text.lines().skip(1).map(|line| line.split(',').take(3).collect::<Vec<_>>().join(" ")).collect()
    };
    assert_eq!(began("one"), ["P001 1 1900-01-01T10:00:00"]);
    assert_eq!(
        began("two"),
        ["P001 1 1900-01-01T10:00:00", "P001 2 1900-01-04T10:00:00", "P002 1 1900-01-01T10:00:00"]
    );
    refused(&logs.export("csv", "three", &["--key", "three/key"]), "given away");
    fs::write(logs.path("key"), "{}").unwrap();
    refused(&logs.export("csv", "three", &["--key", "key"]), "cannot read the key");
}

#[test]
fn codes_and_dates_are_kept_only_in_tables_and_only_when_asked() {
    let logs = Logs::new();
    logs.add("C07", "2026-03-01T10:00:00+01:00", true);
    fine(&logs.export("csv", "out", &["--identified"]));
    let text = String::from_utf8(logs.written("out")[Path::new("sessions.csv")].clone()).unwrap();
    assert!(text.contains("C07,1,2026-03-01T10:00:00,C07-2026-03-01T100000+0100.jsonl"), "{text}");
    refused(&logs.export("bids", "no", &["--identified"]), "never identified");
}

#[test]
fn a_copy_is_left_out_and_a_damaged_log_is_exported_as_far_as_it_can_be_read_and_both_are_told() {
    let logs = Logs::new();
    let first = logs.add("C07", "2026-03-01T10:00:00+01:00", true);
    fs::copy(&first, logs.path("logs").join("zopied.jsonl")).unwrap();
    let damaged = logs.add("C07", "2026-03-02T10:00:00+01:00", true);
    let mut bytes = fs::read(&damaged).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(&damaged, bytes).unwrap();
    fs::write(logs.path("logs").join("none.jsonl"), "no log\n").unwrap();
    let output = logs.export("csv", "out", &[]);
    refused(&output, "it is a copy of");
    assert!(said(&output).contains("2 sessions of 1 client"), "{}", said(&output));
    assert!(said(&output).contains("it is no session log") && said(&output).contains("checksum"), "{}", said(&output));
    let text = String::from_utf8(logs.written("out")[Path::new("sessions.csv")].clone()).unwrap();
    let whole: Vec<&str> = text.lines().map(|line| line.split(',').nth(4).unwrap()).collect();
    assert_eq!(whole, ["whole", "TRUE", "FALSE"]);
}
