//! The log of a real sitting, cut at every byte and with every byte changed: every intact line is read, and
//! all damage is told.
//!
//! The ordinary test command tries a share of the places; `DURABILITY_DAMAGE=all cargo test --release --test it
//! durability_damage:: -- --nocapture` tries every byte, each with all 255 changes.

use std::env;
use std::num::NonZero;

use pacewright::log::header::Header;
use pacewright::log::reader::{LogFile, read_on};
use pacewright::log::repair::repaired;
use pacewright::log::{Content, Line};
use pacewright::problem::{Problem, Severity};
use pacewright::rng::Stream;
use pacewright::session::Session;
use pacewright::session::record::Record;
use pacewright::sim::client::Client;
use pacewright::sim::{profile, sitting};

use super::samples::{logged, plan};

/// A sitting of three reactions, and the same as records.
fn small() -> (Vec<u8>, Vec<Record>) {
    let mut records = Vec::new();
    let mut client = Client::new(profile::shipped::find("steady").unwrap().traits, 1);
    sitting::sit(&mut Session::new(plan()), &mut client, |fresh| records.extend_from_slice(fresh)).unwrap();
    let header = Header { client: "D1".into(), invented: true, ..Header::for_plan(&plan()) };
    (logged(&header, &records), records)
}

fn all() -> bool {
    env::var_os("DURABILITY_DAMAGE").is_some()
}

fn reread(bytes: &[u8]) -> (LogFile, Vec<Problem>) {
    read_on(NonZero::<usize>::MIN, bytes, "a.jsonl")
}

fn kept<'r>(log: &LogFile, expected: impl Iterator<Item = &'r Record>) -> bool {
    let known = |line: &'_ Line| matches!(line.content, Content::Known(_));
    log.records.iter().all(known) && log.known().eq(expected)
}

#[test]
fn cut_at_every_byte_it_gives_all_whole_lines_and_says_so() {
    let (bytes, records) = small();
    let step = if all() { 1 } else { 23 };
    let mut cuts = 0;
    for length in (0..bytes.len() - 1).step_by(step) {
        let (log, problems) = reread(&bytes[..length]);
        // The LF alone is no loss.
        let whole = bytes[..=length].iter().filter(|byte| **byte == b'\n').count();
        let expected = whole.saturating_sub(1).min(records.len());
        assert!(kept(&log, records[..expected].iter()) && !problems.is_empty(), "cut at {length}");
        assert_eq!(log.header.is_some(), whole > 0, "cut at {length}");
        if length % 97 == 0 && log.header.is_some() {
            the_copy_is_whole(&log, &problems);
        }
        cuts += 1;
    }
    println!("{cuts} cuts of {} bytes: every whole line read, all told, no panic", bytes.len());
}

/// A repaired copy holds the same records, and no errors.
fn the_copy_is_whole(log: &LogFile, problems: &[Problem]) {
    let copy = repaired(log, problems).unwrap();
    let (again, told) = reread(&copy);
    assert!(!told.is_empty() && told.iter().all(|problem| problem.severity == Severity::Warning), "{told:?}");
    let damage = "Damage";
    let same = again.known().filter(|record| !format!("{:?}", record.what).contains(damage));
    assert!(same.eq(log.known()) && again.end.is_some());
}

#[test]
fn every_byte_changed_in_turn_is_told_with_its_line_and_costs_that_line_only() {
    let (bytes, records) = small();
    let mut stream = Stream::named(1, "damage");
    let (mut line, mut changes) = (1_u32, 0);
    for place in 0..bytes.len() {
        let masks: Vec<u8> = match place % 29 {
            _ if all() => (1..=255).collect(),
            0 => vec![0xff, 1 + stream.below(255) as u8],
            _ => Vec::new(),
        };
        for mask in masks {
            changes += 1;
            changed(&bytes, &records, (place, line, mask));
        }
        line += u32::from(bytes[place] == b'\n');
    }
    println!("{changes} changes in {} bytes: every intact line read, all told, no panic", bytes.len());
}

fn changed(bytes: &[u8], records: &[Record], (place, line, mask): (usize, u32, u8)) {
    let mut damaged = bytes.to_vec();
    damaged[place] ^= mask;
    let (log, problems) = reread(&damaged);
    let told = || format!("byte {place} with {mask:#04x}: {problems:?}");
    assert!(problems.iter().any(|problem| problem.line == Some(line)), "{}", told());
    let hit = |own: u32| own == line || (bytes[place] == b'\n' && own == line + 1);
    let intact = records.iter().zip(2..).filter(|(_, own)| !hit(*own)).map(|(record, _)| record);
    assert!(kept(&log, intact), "{}", told());
    if place % 97 == 0 && log.header.is_some() {
        the_copy_is_whole(&log, &problems);
    }
}
