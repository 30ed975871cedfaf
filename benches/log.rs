//! How fast a log is written and read, and whether memory stays flat while it is written.
//!
//! The mix is that of a scanned menu: highlights and their frames, a press with its edges, and a
//! judged trial every twenty-odd records. Checksums show that the work was done.

use std::hint::black_box;
use std::io::{self, BufReader};
use std::time::Instant;

use criterion::{BatchSize, Criterion, Throughput};
use pacewright::engine::effect::{Activation, Effect, Lit, Switch};
use pacewright::engine::tree::{EntryIx, GroupIx, ItemIx};
use pacewright::log::header::Header;
use pacewright::log::reader;
use pacewright::log::writer::{ByteSink, Writer};
use pacewright::menu::shipped;
use pacewright::session::Plan;
use pacewright::session::event::{BlockKind, Event};
use pacewright::session::input::{Input, Prompt};
use pacewright::session::protocol::Protocol;
use pacewright::session::record::{Record, What};
use pacewright::session::trial::{Outcome, Press, Trial};
use pacewright::settings::Settings;
use pacewright::time::{Moment, Span};

/// Takes all bytes, keeps a checksum.
#[derive(Default)]
struct Sum {
    sum: crc32fast::Hasher,
    bytes: u64,
    syncs: u64,
}

impl ByteSink for Sum {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.sum.update(bytes);
        self.bytes += bytes.len() as u64;
        Ok(bytes.len())
    }

    fn sync(&mut self) -> io::Result<()> {
        self.syncs += 1;
        Ok(())
    }
}

fn main() {
    let mix = mix();
    memory_stays_flat(&mix);
    let mut criterion = Criterion::default().configure_from_args();
    let mut group = criterion.benchmark_group("log");
    group.throughput(Throughput::Elements(mix.len() as u64));
    group.bench_function("write", |bencher| {
        bencher.iter_batched_ref(
            || Writer::begin(Sum::default(), &header()).expect("the sink takes all"),
            |writer| mix.iter().for_each(|record| writer.add(record).expect("the sink takes all")),
            BatchSize::SmallInput,
        );
    });
    let log = logged(&mix);
    group.bench_function("read", |bencher| bencher.iter(|| reader::read(black_box(&log[..]), "bench")));
    group.finish();
    criterion.final_summary();
}

/// Writes some four million records, then reads one million from a stream, and prints what came of it.
fn memory_stays_flat(mix: &[Record]) {
    let mut mix = mix.to_vec();
    let mut writer = Writer::begin(Sum::default(), &header()).expect("the sink takes all");
    let (before, start, rounds) = (resident_kib(), Instant::now(), 4_000_000 / mix.len());
    for _ in 0..rounds {
        mix.iter().for_each(|record| writer.add(record).expect("the sink takes all"));
        go_on(&mut mix);
    }
    let (seconds, after, count) = (start.elapsed().as_secs_f64(), resident_kib(), rounds * mix.len());
    writer.end(Moment(0)).expect("the sink takes all");
    let Sum { sum, bytes, syncs } = writer.into_sink();
    println!(
        "write: {count} records, {bytes} bytes, {syncs} syncs in {seconds:.2} s: {:.0} records/s; \
         resident {before} KiB before, {after} KiB after; crc {:08x}",
        count as f64 / seconds,
        sum.finalize()
    );
    read_a_million(mix);
}

fn read_a_million(mut mix: Vec<Record>) {
    let mut records = Vec::new();
    while records.len() < 1_000_000 {
        records.extend_from_slice(&mix);
        go_on(&mut mix);
    }
    let text = logged(&records);
    let start = Instant::now();
    let (log, problems) = reader::read(BufReader::new(&text[..]), "bench");
    let seconds = start.elapsed().as_secs_f64();
    let same = log.known().zip(&records).filter(|(read, written)| read == written).count();
    println!(
        "read: {} records in {seconds:.2} s: {:.0} records/s; {same} as written, {} problems",
        log.records.len(),
        log.records.len() as f64 / seconds,
        problems.len()
    );
}

fn logged(records: &[Record]) -> Vec<u8> {
    let mut writer = Writer::begin(Vec::new(), &header()).expect("memory takes all");
    records.iter().for_each(|record| writer.add(record).expect("memory takes all"));
    writer.end(Moment(0)).expect("memory takes all");
    writer.into_sink()
}

/// Resident memory in KiB, from the kernel; 0 where it does not tell.
fn resident_kib() -> u64 {
    let pages = std::fs::read_to_string("/proc/self/statm").ok();
    let resident = pages.as_deref().and_then(|text| text.split(' ').nth(1)).and_then(|pages| pages.parse().ok());
    resident.unwrap_or(0) * 4
}

fn header() -> Header {
    let mut protocol = serde_json::json!({"name": "bench", "menu": "six", "blocks": [{"kind": "menu-tasks"}]});
    protocol["format"] = Protocol::FORMAT.into();
    protocol["version"] = Protocol::VERSION.into();
    Header::for_plan(&Plan {
        protocol: serde_json::from_value(protocol).expect("a valid protocol"),
        menu: shipped::find("six").expect("a shipped menu"),
        settings: Settings::default(),
        seed: 1,
    })
}

/// The same ten minutes, once more.
fn go_on(mix: &mut [Record]) {
    mix.iter_mut().for_each(|record| record.at += Span(600_000_000));
}

/// One trial after the other for ten minutes: eight highlights shown, two of them pressed.
fn mix() -> Vec<Record> {
    (0..100).flat_map(|trial| trial_records(u64::from(trial) * 6_000_000, trial + 1)).collect()
}

fn trial_records(start: u64, trial: u32) -> Vec<Record> {
    let mut records = Vec::new();
    let mut add = |at: u64, what: What| records.push(Record { at: Moment(start + at), what });
    add(0, What::Event(Event::TrialBegan { block: 1, trial, target: "lamp".into() }));
    for step in 0..8 {
        let (at, number) = (step * 600_000, start / 1_000 + step);
        let lit = Lit::Entry { group: GroupIx(0), entry: EntryIx(step as u16), pass: 0 };
        add(at, What::Effect(Effect::Highlight { number, due: Moment(start + at), lit }));
        add(at + 9_000, What::Input(Input::Shown { number }));
        if step % 4 == 3 {
            press(&mut add, start, at + 431_297, number);
        }
    }
    add(5_300_000, What::Event(Event::Trial(Box::new(judged(start, trial)))));
    records
}

fn press(add: &mut impl FnMut(u64, What), start: u64, at: u64, number: u64) {
    let switch = Switch(0);
    let (pressed, shown) = (Moment(start + at), Moment(start + at - 422_297));
    let by = Activation { switch, pressed, accepted: pressed };
    add(at, What::Input(Input::Edge { switch, down: true }));
    add(at, What::Effect(Effect::Pressed { switch, edge: pressed }));
    add(at, What::Effect(Effect::Activated(by)));
    let (group, entry, item, latency_us) = (GroupIx(0), EntryIx(3), ItemIx(7), 422_297);
    add(at, What::Effect(Effect::Taken { number, group, entry, item, latency_us, shown, by }));
    add(at + 90_000, What::Input(Input::Edge { switch, down: false }));
    add(at + 90_000, What::Effect(Effect::Released { switch, pressed, edge: pressed + Span(90_000) }));
}

fn judged(start: u64, trial: u32) -> Trial {
    let press = |at: u64, level| Press {
        pressed: Moment(start + at),
        accepted: Moment(start + at),
        outcome: Outcome::Hit,
        level,
        position: Some(3),
        wanted: 3,
        count: 6,
        latency_us: Some(422_297),
    };
    Trial {
        block: 1,
        kind: BlockKind::MenuTasks,
        trial,
        scored: true,
        outcome: Outcome::Hit,
        reached: true,
        target: "lamp".into(),
        attempt: 1,
        cued: Moment(start),
        began: Moment(start + 1_000_000),
        ended: Moment(start + 5_300_000),
        wait_us: None,
        position: 3,
        count: 6,
        interval_us: Span(600_000),
        settings: 0,
        passes_missed: 0,
        presses: vec![press(2_231_297, 0), press(4_631_297, 1)],
        previous: Some(Outcome::Hit),
        prompt: Prompt::None,
        interruption: None,
        excluded: None,
    }
}
