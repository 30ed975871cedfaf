//! The desk over a data folder that is not as it should be: said in place, nothing lost, the visit goes on.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use egui::Theme;
use pacewright::app::desk::state::{Desk, Found, News};
use pacewright::app::desk::worker::{self, Wishes};
use pacewright::store::Store;
use tempfile::TempDir;

use super::desk_rig::rig::Rig;
use super::desk_visit::earlier;

/// A desk and the threads that work for it, over a real folder.
struct Over {
    rig: Rig,
    data: PathBuf,
    news: Receiver<News>,
    wishes: Wishes,
    _folder: TempDir,
}

impl Over {
    fn start(fill: impl FnOnce(&Path)) -> Over {
        let folder = TempDir::new().expect("a folder");
        let data = folder.path().join("data");
        drop(Store::open(&data).expect("a folder"));
        fill(&data);
        let store = Store::open(&data).expect("a folder");
        let (send, news) = channel();
        let tell: worker::Tell = Arc::new(move |told| _ = send.send(told));
        let program = env!("CARGO_BIN_EXE_pacewright").into();
        let wishes = worker::start(data.clone(), Some(store), program, |log| Ok(log.into()), tell);
        let rig = Rig::new((1_180.0, 3_000.0), Theme::Light);
        Over { rig, data, news, wishes, _folder: folder }
    }

    fn until(&mut self, there: impl Fn(&Desk) -> bool) {
        loop {
            self.rig.wishes().into_iter().for_each(|wish| self.wishes.send(wish));
            if there(&self.rig.desk) {
                return self.rig.settle();
            }
            let news = self.news.recv_timeout(Duration::from_secs(120));
            self.rig.desk.told(news.unwrap_or_else(|_| panic!("it never came; {}", self.rig.words())));
            self.rig.settle();
        }
    }
}

fn read(desk: &Desk) -> bool {
    desk.index.is_some()
}

#[test]
fn a_damaged_session_among_good_ones_is_named_and_the_others_are_judged() {
    let mut over = Over::start(|data| {
        earlier(data);
        earlier(data);
        let log = fs::read_dir(data).expect("a folder").flatten().map(|entry| entry.path());
        let mut logs: Vec<PathBuf> = log.filter(|path| path.extension().is_some_and(|end| end == "jsonl")).collect();
        logs.sort();
        let mut bytes = fs::read(&logs[1]).expect("a log");
        let middle = bytes.len() / 2;
        bytes[middle] ^= 1;
        fs::write(&logs[1], bytes).expect("room");
        fs::write(data.join("K7-03-20260301-100000.jsonl"), b"no log at all").expect("room");
    });
    over.until(read);
    assert!(over.rig.says("Damaged beyond telling whose they are"), "{}", over.rig.words());
    over.rig.click("Open");
    over.rig.click("Findings");
    over.until(|desk| desk.visit.as_ref().is_some_and(|visit| matches!(visit.found, Found::Here(..))));
    assert!(
        over.rig.says("K7-03-20260101-100000.jsonl: Damaged; what can be read of it counts"),
        "{}",
        over.rig.words()
    );
    assert!(over.rig.says("What to set"), "{}", over.rig.words());
}

#[test]
fn a_folder_that_is_taken_away_is_said_in_place_and_what_was_typed_is_saved_when_it_is_back() {
    let mut over = Over::start(earlier);
    over.until(read);
    over.rig.click("Open");
    let away = over.data.with_extension("away");
    fs::rename(&over.data, &away).expect("our own folder");
    over.rig.type_into("Whom do carers ask about the switch?", "the ward");
    over.rig.click("Clients");
    over.until(|desk| desk.unsaved.values().any(|one| one.why.is_some()));
    assert!(over.rig.says("K7-03: not saved"), "{}", over.rig.words());
    fs::rename(&away, &over.data).expect("our own folder");
    over.rig.click("Try again");
    over.until(|desk| desk.unsaved.is_empty());
    let kept = fs::read_to_string(over.data.join("K7-03.client.json")).expect("it was saved");
    assert!(kept.contains("the ward") && !over.rig.says("not saved"), "{kept}");
}

#[test]
fn a_place_that_takes_no_file_is_said_in_place() {
    let mut over = Over::start(|_| {});
    over.until(read);
    over.rig.type_into("New client", "K7");
    // A folder where the file belongs: the system refuses, as it does where the disk is read-only.
    fs::create_dir(over.data.join("K7.client.json")).expect("a folder");
    over.rig.click("Enter");
    over.until(|desk| desk.unsaved.values().any(|one| one.why.is_some()));
    assert!(over.rig.says("K7: not saved") && over.rig.desk.visit.is_some(), "{}", over.rig.words());
}

#[test]
fn a_paper_that_is_not_written_is_said_in_place() {
    let mut over = Over::start(earlier);
    over.until(read);
    over.rig.click("Open");
    over.rig.click("Report");
    over.until(|desk| desk.visit.as_ref().is_some_and(|visit| matches!(visit.found, Found::Here(..))));
    // A folder where the paper belongs: the system refuses, as it does where the disk is full.
    let paper = over.data.join(format!("K7-03.carers-1-{}.html", over.rig.desk.today));
    fs::create_dir(&paper).expect("a folder");
    over.rig.click("Write and open to print");
    over.until(|desk| desk.notices.iter().any(|notice| notice.wrong));
    assert!(over.rig.says("cannot write the file") && over.rig.says("write it again"), "{}", over.rig.words());
}

#[test]
fn a_decision_that_no_folder_takes_is_saved_elsewhere() {
    let mut over = Over::start(earlier);
    over.until(read);
    over.rig.click("Open");
    over.rig.click("Findings");
    over.until(|desk| desk.visit.as_ref().is_some_and(|visit| matches!(visit.found, Found::Here(..))));
    fs::create_dir(over.data.join("K7-03.client.json")).expect("a folder");
    over.rig.click("Accept");
    over.until(|desk| desk.unsaved.values().any(|one| one.why.is_some()));
    assert!(over.rig.says("K7-03: not saved"), "{}", over.rig.words());
    let stick = over.data.with_extension("stick");
    over.rig.desk.close(&stick.display().to_string());
    over.until(|desk| desk.unsaved.values().all(|one| one.why.is_some()));
    assert!(!over.rig.desk.may_close(), "it is saved nowhere");
    over.rig.click("Save there and close");
    over.until(Desk::may_close);
    let kept = fs::read_to_string(stick.join("K7-03.client.json")).expect("it was saved");
    assert!(kept.contains("accepted"), "{kept}");
}
