//! What works behind the desk: the worker, the board's near end, the predictor.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::sync::mpsc::channel;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use super::pictures::session;
use crate::app::desk::board::Board;
use crate::app::desk::predictor::Predictor;
use crate::app::desk::state::{Trial, Wish};
use crate::app::desk::what_if::{Ground, Question};
use crate::app::desk::worker;
use crate::forecast::what_if::How;
use crate::log::live::Live;
use crate::log::writer::Writer;
use crate::session::input::Input;
use crate::settings::Settings;

const PATIENCE: Duration = Duration::from_secs(120);

/// A program of these lines for the shell.
fn program(folder: &Path, lines: &str) -> PathBuf {
    let path = folder.join("program");
    fs::write(&path, format!("#!/bin/sh\n{lines}\n")).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o700)).unwrap();
    path
}

fn until(there: impl Fn() -> bool) {
    let began = Instant::now();
    while !there() {
        assert!(began.elapsed() < PATIENCE, "it never came");
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// Held by whoever keeps a report from being written.
static GATE: Mutex<()> = Mutex::new(());

fn waits(_: &Path) -> Result<PathBuf, String> {
    drop(GATE.lock());
    Err("there is no report".into())
}

#[test]
fn the_board_is_told_at_once_even_while_something_long_is_done() {
    let folder = tempfile::tempdir().unwrap();
    let heard = folder.path().join("heard");
    let program = program(folder.path(), &format!("cat > '{}'", heard.display()));
    let gate = GATE.lock().unwrap();
    let wishes = worker::start(folder.path().join("data"), None, program, waits, Arc::new(|_| {}));
    wishes.send(Wish::Report("K7-20260101-000000.jsonl".into()));
    wishes.send(Wish::Trial(Box::new(Trial::new("K7".parse().unwrap(), "first-look"))));
    wishes.send(Wish::Ask(Input::End));
    until(|| fs::read_to_string(&heard).is_ok_and(|heard| heard.contains("end")));
    drop(gate);
}

#[test]
fn the_end_of_the_board_comes_after_all_that_happened_on_it() {
    let folder = tempfile::tempdir().unwrap();
    let (header, records) = session("switch-check");
    let lines = folder.path().join("lines");
    let (mut live, _) = Live::start(fs::File::create(&lines).unwrap()).unwrap();
    live.begin(&header);
    live.add(&records);
    drop(live);
    let wanted = 1 + records.len();
    until(|| fs::read_to_string(&lines).is_ok_and(|text| text.lines().count() == wanted));
    let program = program(folder.path(), &format!("cat '{}'", lines.display()));
    let (send, news) = channel();
    let told = send.clone();
    let trial = Trial::new("K7".parse().unwrap(), "first-look");
    let _board = Board::open(
        &program,
        &trial,
        folder.path(),
        move |batch| told.send(Some(batch.len())).unwrap(),
        move |ended| {
            ended.unwrap();
            send.send(None).unwrap();
        },
    )
    .unwrap();
    let before_the_end: usize = std::iter::from_fn(|| news.recv_timeout(PATIENCE).unwrap()).sum();
    assert_eq!(before_the_end, wanted);
}

#[test]
fn what_was_simulated_is_told_again_to_whoever_asks_again() {
    let folder = tempfile::tempdir().unwrap();
    let (header, records) = session("longer-trial");
    let log = "K7-03-20261128-100000.jsonl".to_string();
    let mut writer = Writer::begin(fs::File::create(folder.path().join(&log)).unwrap(), &header).unwrap();
    records.iter().for_each(|record| writer.add(record).unwrap());
    writer.end(records.last().unwrap().at).unwrap();
    let (send, answers) = channel();
    let predictor = Predictor::start(folder.path().into(), move |answer| _ = send.send(answer));
    let menu = header.plan("log").unwrap().menu;
    let ground = Arc::new(Ground { client: "K7-03".parse().unwrap(), logs: vec![log], menu });
    for _ in 0..2 {
        predictor.ask(Question { ground: Arc::clone(&ground), settings: vec![Settings::default()] });
        let found = || answers.recv_timeout(PATIENCE).unwrap().found.unwrap().1.how;
        while !matches!(found(), How::Simulated(_)) {}
    }
}
