//! The writer's thread: it never holds up the session, and loses nothing.

use std::io;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread;

use pacewright::log::header::Header;
use pacewright::log::reader::read;
use pacewright::log::thread::{LogThread, Trouble};
use pacewright::log::writer::ByteSink;
use pacewright::session::event::Event;
use pacewright::session::record::{Record, What};
use pacewright::time::Moment;

use super::samples::{header, logged, records, trial};

/// A disk that can be held up or filled from outside.
#[derive(Clone, Default)]
struct Disk {
    bytes: Arc<Mutex<Vec<u8>>>,
    full: Arc<AtomicBool>,
}

impl Disk {
    fn bytes(&self) -> Vec<u8> {
        self.bytes.lock().unwrap().clone()
    }

    fn fill(&self, full: bool) {
        self.full.store(full, Ordering::SeqCst);
    }
}

impl ByteSink for Disk {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut held = self.bytes.lock().unwrap();
        // What still fits is taken, so that a line is torn when the disk is full.
        let count = if self.full.load(Ordering::SeqCst) {
            bytes.len().min(11_usize.saturating_sub(held.len() % 64))
        } else {
            bytes.len()
        };
        held.extend_from_slice(&bytes[..count]);
        if count == 0 { Err(io::ErrorKind::StorageFull.into()) } else { Ok(count) }
    }

    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn judged(at: u64) -> Record {
    Record { at: Moment(at), what: What::Event(Event::Trial(Box::new(trial()))) }
}

fn wait_for_trouble(log: &LogThread) -> Trouble {
    loop {
        match log.trouble() {
            Some(trouble) => return trouble,
            None => thread::yield_now(),
        }
    }
}

#[test]
fn a_disk_that_stands_still_never_holds_up_the_session() {
    let disk = Disk::default();
    let log = LogThread::start(disk.clone(), &header()).unwrap();
    let held = disk.bytes.lock().unwrap();
    // If sending waited for the disk, this would never come to its end.
    (0..10_000).for_each(|at| log.add(judged(at)));
    drop(held);
    log.finish(Moment(10_000)).unwrap();
    let (read, problems) = read(&disk.bytes()[..], "a.jsonl");
    assert_eq!((read.records.len(), problems.len()), (10_000, 0));
}

#[test]
fn a_disk_that_is_full_for_a_while_is_told_and_loses_nothing() {
    let disk = Disk::default();
    let log = LogThread::start(disk.clone(), &header()).unwrap();
    disk.fill(true);
    log.add(judged(1));
    assert!(matches!(wait_for_trouble(&log), Trouble::Waiting { bytes, .. } if bytes > 0));
    records().into_iter().for_each(|record| log.add(record));
    disk.fill(false);
    log.add(judged(2));
    assert_eq!(wait_for_trouble(&log), Trouble::Over);
    log.finish(Moment(1_000)).unwrap();
    let all: Vec<Record> = [vec![judged(1)], records(), vec![judged(2)]].concat();
    assert!(disk.bytes() == logged(&header(), &all));
}

#[test]
fn a_disk_that_stays_full_gives_back_what_it_did_not_take() {
    let disk = Disk::default();
    let log = LogThread::start(disk.clone(), &header()).unwrap();
    disk.fill(true);
    records().into_iter().for_each(|record| log.add(record));
    let unfinished = log.finish(Moment(1_000)).unwrap_err();
    assert!(!unfinished.why.is_empty());
    assert!([disk.bytes(), unfinished.unwritten].concat() == logged(&header(), &records()));
}

#[test]
fn a_disk_that_is_full_at_the_start_begins_no_log() {
    let disk = Disk::default();
    disk.fill(true);
    assert!(LogThread::start(disk, &Header { began: String::new(), ..header() }).is_err());
}

#[test]
fn a_log_that_is_dropped_holds_every_record_and_says_that_it_was_broken_off() {
    let disk = Disk::default();
    let log = LogThread::start(disk.clone(), &header()).unwrap();
    records().into_iter().for_each(|record| log.add(record));
    drop(log);
    let (read, problems) = read(&disk.bytes()[..], "a.jsonl");
    assert!(read.known().eq(&records()));
    assert_eq!(problems.len(), 1);
    assert!(problems[0].what.contains("end record is missing"));
}
