//! Disks, folders and clocks that fail: each with its message, and nothing lost.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use jiff::Zoned;
use pacewright::log::header::Header;
use pacewright::log::reader::{LogFile, read};
use pacewright::log::replay::{Replayed, replay};
use pacewright::log::resume::resumed;
use pacewright::log::thread::LogThread;
use pacewright::log::writer::Writer;
use pacewright::session::Session;
use pacewright::session::event::Event;
use pacewright::session::input::Input;
use pacewright::session::record::{Record, What};
use pacewright::sim::client::Client;
use pacewright::sim::{profile, sitting};
use pacewright::store::{LogSink, Store, read_log, rescue};
use pacewright::time::{Moment, Span};

use super::samples::{header, logged, plan, records};

fn program(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_pacewright")).args(args).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

fn sitting_of(plan: pacewright::session::Plan) -> (Vec<Record>, Moment) {
    let mut records = Vec::new();
    let mut client = Client::new(profile::shipped::find("steady").unwrap().traits, 1);
    let end = sitting::sit(&mut Session::new(plan), &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
    (records, end)
}

fn began(text: &str) -> Zoned {
    text.parse().unwrap()
}

#[cfg(target_os = "linux")]
mod linux {
    use super::*;

    #[test]
    fn a_full_disk_begins_no_log_and_says_why() {
        // The kernel answers every write to this file with "no space left on device".
        let full = fs::OpenOptions::new().read(true).write(true).open("/dev/full").unwrap();
        let error = LogThread::start(full, &header()).unwrap_err();
        assert_eq!(error.kind(), std::io::ErrorKind::StorageFull);
    }

    #[test]
    fn a_disk_that_fills_up_under_the_program_is_told_with_what_to_do() {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("data");
        // A limit to the size of a file, in blocks of 512 bytes, stands for the full disk.
        let script = "trap '' XFSZ; ulimit -f 40; exec \"$0\" demo --protocol demonstration --out \"$1\"";
        let output = Command::new("sh")
            .args(["-c", script, env!("CARGO_BIN_EXE_pacewright"), data.to_str().unwrap()])
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(2), "{}", said(&output));
        assert!(
            said(&output).contains("cannot write the log: File too large") && said(&output).contains("free some space")
        );
        let mut files = fs::read_dir(&data).unwrap().map(|entry| entry.unwrap().path());
        let log = files.find(|path| path.extension().is_some_and(|end| end == "jsonl")).unwrap();
        let (left, problems) = read_log(&log).unwrap();
        assert!(left.header.is_some() && left.records.len() > 50 && left.end.is_none() && !problems.is_empty());
    }

    #[test]
    fn a_folder_that_cannot_be_written_is_told() {
        let output = program(&["demo", "--out", "/proc/pacewright-data"]);
        assert_eq!(output.status.code(), Some(1));
        assert!(said(&output).contains("cannot open the data folder: "), "{}", said(&output));
        assert!(said(&output).contains("check the path and your rights"), "{}", said(&output));
    }

    #[test]
    fn a_folder_taken_away_under_the_program_is_made_again_with_the_whole_log() {
        let folder = tempfile::tempdir().unwrap();
        let data = folder.path().join("data");
        let store = Store::open(&data).unwrap();
        let (path, file) = store.create_log(&"A1".parse().unwrap(), &began("2026-01-02T03:04:05+00:00[UTC]")).unwrap();
        let log = LogThread::start(LogSink::new(path.clone(), file), &header()).unwrap();
        fs::remove_dir_all(&data).unwrap();
        records().into_iter().for_each(|record| log.add(record));
        log.finish(Moment(1_000)).unwrap();
        assert!(fs::read(&path).unwrap() == logged(&header(), &records()));
    }

    #[test]
    fn a_disk_taken_away_under_the_program_is_told_and_the_whole_log_is_saved_elsewhere() {
        let folder = tempfile::tempdir().unwrap();
        let disk = folder.path().join("disk");
        let store = Store::open(&disk.join("data")).unwrap();
        let (path, file) = store.create_log(&"A1".parse().unwrap(), &began("2026-01-02T03:04:05+00:00[UTC]")).unwrap();
        let log = LogThread::start(LogSink::new(path.clone(), file), &header()).unwrap();
        fs::remove_dir_all(&disk).unwrap();
        records().into_iter().for_each(|record| log.add(record));
        let trouble = loop {
            match log.trouble() {
                Some(trouble) => break trouble.to_string(),
                None => std::thread::yield_now(),
            }
        };
        assert!(
            trouble.contains("it is no longer in its folder") && trouble.contains("bring the folder back"),
            "{trouble}"
        );
        let unfinished = log.finish(Moment(1_000)).unwrap_err();
        // What has come to stand there since is no part of the log.
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, "another file").unwrap();
        let saved = rescue(&path, &unfinished.unwritten, folder.path()).unwrap();
        assert!(fs::read(saved).unwrap() == logged(&header(), &records()));
    }
}

#[test]
fn a_log_that_the_disk_did_not_take_to_its_end_is_saved_whole() {
    let folder = tempfile::tempdir().unwrap();
    let whole = logged(&header(), &records());
    let (front, rest) = whole.split_at(whole.len() - 700);
    let path = folder.path().join("A1-20260102-030405.jsonl");
    fs::write(&path, front).unwrap();
    let saved = rescue(&path, rest, &folder.path().join(".")).unwrap();
    assert!(fs::read(saved).unwrap() == whole);
}

#[test]
fn two_programs_on_one_folder_are_kept_apart() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let _first = Store::open(&data).unwrap();
    let output = program(&["demo", "--out", data.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    assert!(said(&output).contains("another pacewright") && said(&output).contains("close that one first"));
}

#[test]
fn a_clock_set_back_is_told_and_no_log_is_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let (client, late) = ("A1".parse().unwrap(), began("2026-01-02T03:04:05+00:00[UTC]"));
    let early = began("2026-01-01T03:04:05+00:00[UTC]");
    assert_eq!(store.clock_set_back(&client, &early).unwrap(), None);
    store.create_log(&client, &late).unwrap();
    assert_eq!(store.clock_set_back(&client, &late).unwrap(), None);
    let told = store.clock_set_back(&client, &early).unwrap().unwrap().to_string();
    assert!(told.contains("a clock was set back; check the date and the time"), "{told}");
    let (again, _) = store.create_log(&client, &late).unwrap();
    assert!(again.ends_with("A1-20260102-030405-2.jsonl"));
}

#[test]
fn a_machine_that_slept_for_an_hour_costs_the_trial_under_way_only() {
    let mut session = Session::new(plan());
    let (mut out, mut at) = (Vec::new(), Moment::START);
    session.input(at, Input::Next, &mut out);
    let begun = |out: &[Record]| out.iter().any(|record| matches!(record.what, What::Event(Event::TrialBegan { .. })));
    while !begun(&out) {
        at = session.deadline().unwrap();
        session.advance(at, &mut out);
        session.input(at, Input::Shown { number: session.scene().number }, &mut out);
    }
    // The shell wakes an hour late and says so instead of advancing.
    at += Span::from_ms(3_600_000);
    assert!(at.since(session.deadline().unwrap()) > session.stall_limit());
    let before = out.len();
    session.input(at, Input::Stalled, &mut out);
    let judged =
        |record: &&Record| matches!(&record.what, What::Event(Event::Trial(trial)) if trial.scored && trial.reached);
    assert_eq!(out[before..].iter().filter(judged).count(), 0, "nothing that happened in sleep is scored");
    session.advance(at + Span::from_ms(60_000), &mut out);
    assert!(begun(&out[before..]), "the trial is asked once more");
    let bytes = logged(&header(), &out);
    let (log, problems) = read(&bytes[..], "a.jsonl");
    assert!(problems.is_empty() && matches!(replay(&log, "a"), Ok(Replayed::Agrees { .. })));
}

#[test]
fn a_session_that_was_broken_off_is_offered_and_goes_on_in_a_log_that_replays() {
    let mut whole = plan();
    whole.protocol.blocks.push(whole.protocol.blocks[0].clone());
    whole.protocol.blocks.push(whole.protocol.blocks[0].clone());
    let (records, _) = sitting_of(whole.clone());
    let second = |record: &Record| matches!(record.what, What::Event(Event::BlockBegan { block: 1, .. }));
    let until = records.iter().position(second).unwrap() + 3;
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).unwrap();
    let client = "A1".parse().unwrap();
    assert_eq!(store.broken_off(&client).unwrap(), None);
    let (path, file) = store.create_log(&client, &began("2026-01-02T03:04:05+00:00[UTC]")).unwrap();
    let mut writer = Writer::begin(file, &Header::for_plan(&whole)).unwrap();
    records[..until].iter().for_each(|record| writer.add(record).unwrap());
    writer.save().unwrap();

    let broken = store.broken_off(&client).unwrap().unwrap();
    assert!((broken.path.clone(), broken.trials()) == (path, 3));
    assert!(broken.warning().to_string().contains("broken off; 3 trials were saved"), "{}", broken.warning());
    let left = resumed(&broken.log, "a").unwrap();
    let mut out = Vec::new();
    let mut session = left.session(&mut out);
    assert!(session.in_assessors_hands() && left.plan == whole);
    let mut steady = Client::new(profile::shipped::find("steady").unwrap().traits, 2);
    sitting::sit(&mut session, &mut steady, |fresh| out.extend_from_slice(fresh)).unwrap();
    let block = |record: &Record| match &record.what {
        What::Event(Event::Trial(trial)) => Some(trial.block),
        _ => None,
    };
    let mut blocks: Vec<u16> = out.iter().filter_map(block).collect();
    assert!(blocks.len() >= 6, "three trials in each of two blocks");
    blocks.dedup();
    assert_eq!(blocks, [1, 2]);
    let (log, _): (LogFile, _) = read(&logged(&Header::for_plan(&whole), &out)[..], "b");
    assert!(matches!(replay(&log, "b"), Ok(Replayed::Agrees { until_gap: None, .. })));
}

#[test]
fn a_folder_is_checked_log_by_log_and_repaired_in_copies_only_when_asked() {
    let folder = tempfile::tempdir().unwrap();
    let (data, out) = (folder.path().join("data"), folder.path().join("repaired"));
    fs::create_dir(&data).unwrap();
    let (records, end) = sitting_of(plan());
    let mut writer = Writer::begin(Vec::new(), &Header::for_plan(&plan())).unwrap();
    records.iter().for_each(|record| writer.add(record).unwrap());
    writer.end(end).unwrap();
    let whole = writer.into_sink();
    let mut damaged = whole.clone();
    damaged[whole.len() / 2] ^= 1;
    let torn = &whole[..whole.len() - 300];
    for (name, bytes) in [("a.jsonl", &whole[..]), ("b.jsonl", &damaged), ("c.jsonl", torn), ("d.jsonl", b"x\n")] {
        fs::write(data.join(name), bytes).unwrap();
    }
    let path = |path: &Path| path.to_str().unwrap().to_string();
    let output = program(&["check", &path(&data)]);
    let text = said(&output);
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(text.contains("1 of 4: ") && text.contains("effects and events came out as logged"), "{text}");
    assert!(text.contains("4 logs: 1 whole, 1 broken off or repaired, 2 damaged"), "{text}");
    assert!(!out.exists() && fs::read(data.join("b.jsonl")).unwrap() == damaged, "nothing is repaired unasked");

    let text = said(&program(&["check", &path(&data), "--repair", &path(&out)]));
    assert!(text.contains("cannot repair it: it has no header"), "{text}");
    assert!(fs::read(data.join("b.jsonl")).unwrap() == damaged && fs::read(data.join("c.jsonl")).unwrap() == torn);
    let again = program(&["check", &path(&out)]);
    assert_eq!(again.status.code(), Some(0), "{}", said(&again));
    assert!(said(&again).contains("2 logs: 0 whole, 2 broken off or repaired, 0 damaged"), "{}", said(&again));

    let text = said(&program(&["check", &path(&data.join("b.jsonl")), "--repair", &path(&data)]));
    assert!(text.contains("one of this name is there, and is left as it is"), "{text}");
    assert!(fs::read(data.join("b.jsonl")).unwrap() == damaged);
}
