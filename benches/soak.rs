//! A session of eight hours on a virtual clock, its log written to a disk through the real thread.
//!
//! Prints resident memory at every hour, and whether every step was made and the log is the session. It ends
//! with 1 when something is not as it should be. `SOAK_HOURS` says how long.

#[path = "soak/memory.rs"]
mod memory;

use std::io;
use std::process::exit;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;

use memory::resident_kib;
use pacewright::engine::effect::Effect;
use pacewright::log::header::Header;
use pacewright::log::replay::{Replayed, replay};
use pacewright::log::thread::LogThread;
use pacewright::log::writer::ByteSink;
use pacewright::menu::shipped as menus;
use pacewright::session::event::Event;
use pacewright::session::protocol::Protocol;
use pacewright::session::record::{Record, What};
use pacewright::session::{Plan, Session};
use pacewright::settings::Settings;
use pacewright::sim::client::Client;
use pacewright::sim::{profile, sitting};
use pacewright::store::{LogSink, Store, read_log};
use pacewright::time::{Moment, Span};
use serde_json::json;

/// Memory may grow by this much after the first hour.
const FLAT_WITHIN_KIB: u64 = 2_048;

/// Stands in the line of a judged trial and in no other.
const JUDGED: &[u8] = br#""event":"trial","#;

fn main() {
    let hours = std::env::var("SOAK_HOURS").ok().and_then(|text| text.parse().ok()).unwrap_or(8);
    let plan = plan();
    let folder = tempfile::tempdir().expect("a folder for temporary files");
    let store = Store::open(&folder.path().join("data")).expect("a data folder");
    let began = pacewright::store::wall_clock().expect("a wall clock");
    let (path, file) = store.create_log(&"S1".parse().expect("a code"), &began).expect("a log");
    let header = Header { client: "S1".into(), invented: true, ..Header::for_plan(&plan) };
    let on_disk = Arc::new(AtomicU64::new(0));
    let sink = Counting { sink: LogSink::new(path.clone(), file), trials: Arc::clone(&on_disk) };
    let log = LogThread::start(sink, &header).expect("a log that begins");

    let mut watch = Watch::default();
    let mut client = Client::new(profile::shipped::find("steady").expect("a shipped client").traits, 1);
    let end = sitting::sit_for(Span::from_ms(hours * 3_600_000), &mut Session::new(plan), &mut client, |records| {
        for record in records {
            watch.see(record);
            log.add(record.clone());
        }
        // A real session waits for its client; this one must not run away from the disk.
        while on_disk.load(Ordering::Acquire) < watch.trials {
            if let Some(trouble) = log.trouble() {
                fail(&trouble.to_string());
            }
            thread::yield_now();
        }
    });
    let end = end.unwrap_or_else(|_| fail("the session did not come to its end"));
    let written = log.finish(end).unwrap_or_else(|unfinished| fail(&unfinished.why));
    watch.tell(end);

    let (log, problems) = read_log(&path).unwrap_or_else(|problem| fail(&problem.to_string()));
    let replayed = replay(&log, "soak");
    println!("log: {} records, {} problems; replay: {replayed:?}", log.records.len(), problems.len());
    let all = written.inputs + written.effects + written.events;
    let consistent = problems.is_empty() && log.records.len() as u64 == all && log.end == Some(written);
    if !consistent || !matches!(replayed, Ok(Replayed::Agrees { until_gap: None, .. })) {
        fail("the log is not the session");
    }
    if end < Moment::START + Span::from_ms(hours * 3_600_000) || !watch.sound() {
        fail("a step was missed, memory grew, or the session ended early");
    }
}

fn fail(why: &str) -> ! {
    println!("failed: {why}");
    exit(1)
}

/// Blocks of menu tasks for longer than any soak.
fn plan() -> Plan {
    let block = json!({"kind": "menu-tasks", "trials": 200});
    let protocol = json!({
        "format": Protocol::FORMAT, "version": Protocol::VERSION, "name": "soak", "menu": "flat",
        "blocks": vec![block; 60],
    });
    Plan {
        protocol: serde_json::from_value(protocol).expect("a valid protocol"),
        menu: menus::find("flat").expect("a shipped menu"),
        settings: Settings::default(),
        seed: 1,
    }
}

/// Counts the judged trials that the disk has taken.
struct Counting {
    sink: LogSink,
    trials: Arc<AtomicU64>,
}

impl ByteSink for Counting {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let count = ByteSink::write(&mut self.sink, bytes)?;
        let trials = bytes[..count].windows(JUDGED.len()).filter(|part| *part == JUDGED).count();
        self.trials.fetch_add(trials as u64, Ordering::Release);
        Ok(count)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.sink.sync()
    }
}

/// Follows the steps of the highlight and the memory of the process.
#[derive(Default)]
struct Watch {
    steps: u64,
    late: u64,
    stalls: u64,
    trials: u64,
    number: u64,
    hours: Vec<u64>,
}

impl Watch {
    fn see(&mut self, record: &Record) {
        match &record.what {
            What::Effect(Effect::Highlight { number, due, .. }) => {
                self.steps += 1;
                self.late += u64::from(*due != record.at || *number <= self.number);
                self.number = *number;
            }
            What::Effect(Effect::Stalled { .. }) => self.stalls += 1,
            What::Event(Event::Trial(_)) => self.trials += 1,
            _ => {}
        }
        if record.at.0 >= (self.hours.len() as u64 + 1) * 3_600_000_000 {
            self.hours.push(resident_kib("self"));
            println!("hour {}: {} KiB resident", self.hours.len(), resident_kib("self"));
        }
    }

    /// From the first hour on.
    fn growth(&self) -> u64 {
        let first = self.hours.first().copied().unwrap_or(0);
        self.hours.iter().copied().max().unwrap_or(0).saturating_sub(first)
    }

    fn tell(&self, end: Moment) {
        let Watch { steps, late, stalls, trials, .. } = self;
        println!(
            "{} s: {trials} trials, {steps} steps, {late} not at their instant, {stalls} stalls",
            end.0 / 1_000_000
        );
        println!("memory grew by {} KiB after the first hour", self.growth());
    }

    fn sound(&self) -> bool {
        self.steps > 0 && self.late == 0 && self.stalls == 0 && self.growth() <= FLAT_WITHIN_KIB
    }
}
