//! A session that is killed, or whose machine loses its power, at any instant.
//!
//! The ordinary test command kills a few; `DURABILITY_KILLS=1000 cargo test --test it durability:: -- --nocapture`
//! kills so many for each sink and prints what was found. `DURABILITY_PACE` says how many times faster than
//! life the session runs: 1,000 unless told.

use std::env;
use std::fs;
use std::io::{self, BufRead as _, BufReader, Read as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Mutex;
use std::thread;
use std::time::{Duration, Instant};

use pacewright::log::header::Header;
use pacewright::log::thread::LogThread;
use pacewright::log::writer::{ByteSink, Writer};
use pacewright::problem::Severity;
use pacewright::rng::Stream;
use pacewright::session::event::Event;
use pacewright::session::record::{Record, What};
use pacewright::session::{Plan, Session, shipped};
use pacewright::settings::Settings;
use pacewright::sim::client::Client;
use pacewright::sim::{profile, sitting};
use pacewright::store::{LogSink, Store, read_log};
use pacewright::time::Moment;

/// Set in the process that is to be killed: the folder it works in, its seed, and whether it keeps its power.
const FOLDER: &str = "DURABILITY_FOLDER";
const SEED: &str = "DURABILITY_SEED";
const POWER: &str = "DURABILITY_POWER";
/// The test that runs again in a process of its own.
const RUN_AGAIN: &str = "durability::a_sitting_written_by_the_thread_is_the_log_that_memory_holds";
/// A process is killed within this session time of its beginning.
const KILLED_WITHIN_US: u64 = 350_000_000;
/// Sittings that differ.
const SEEDS: u64 = 4;

/// Session time passes so many times faster.
fn pace() -> u64 {
    env::var("DURABILITY_PACE").map_or(1_000, |text| text.parse().unwrap())
}

fn plan(seed: u64) -> Plan {
    let (protocol, menu) = shipped::find("demonstration").unwrap();
    let settings = Settings::from_json(&protocol.settings).unwrap();
    Plan { protocol, menu, settings, seed }
}

fn header(seed: u64) -> Header {
    let began = "2026-01-02T03:04:05+01:00".into();
    Header { client: "K1".into(), invented: true, began, ..Header::for_plan(&plan(seed)) }
}

fn sit(seed: u64, keep: impl FnMut(&[Record])) -> Moment {
    let mut client = Client::new(profile::shipped::find("steady").unwrap().traits, seed);
    sitting::sit(&mut Session::new(plan(seed)), &mut client, keep).unwrap()
}

/// The whole log of the sitting.
fn whole(seed: u64) -> Vec<u8> {
    let mut writer = Writer::begin(Vec::new(), &header(seed)).unwrap();
    let end = sit(seed, |records| records.iter().for_each(|record| writer.add(record).unwrap()));
    writer.end(end).unwrap();
    writer.into_sink()
}

/// Tells on standard output how many bytes are safe. Without power it keeps what is not synced to itself,
/// and loses it with the process.
struct Telling {
    sink: LogSink,
    keeps_power: bool,
    unsynced: Vec<u8>,
    synced: usize,
    written: usize,
}

impl ByteSink for Telling {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let count = if self.keeps_power { ByteSink::write(&mut self.sink, bytes)? } else { bytes.len() };
        if !self.keeps_power {
            self.unsynced.extend_from_slice(bytes);
        }
        self.written += count;
        Ok(count)
    }

    fn sync(&mut self) -> io::Result<()> {
        while !self.unsynced.is_empty() {
            let count = ByteSink::write(&mut self.sink, &self.unsynced)?;
            self.unsynced.drain(..count);
        }
        self.sink.sync()?;
        self.synced = self.written;
        say(&format!("synced {}", self.synced));
        Ok(())
    }
}

/// Past the capture of the test's output: the other process reads it.
fn say(line: &str) {
    let mut out = io::stdout().lock();
    let _ = writeln!(out, "{line}").and_then(|()| out.flush());
}

#[test]
fn a_sitting_written_by_the_thread_is_the_log_that_memory_holds() {
    let own = tempfile::tempdir().unwrap();
    let to_be_killed = env::var_os(FOLDER);
    let folder = to_be_killed.as_ref().map_or(own.path().join("data"), PathBuf::from);
    let seed = env::var(SEED).map_or(1, |text| text.parse().unwrap());
    let store = Store::open(&folder).unwrap();
    let began = header(seed).began.parse::<jiff::Timestamp>().unwrap().to_zoned(jiff::tz::TimeZone::UTC);
    let (path, file) = store.create_log(&"K1".parse().unwrap(), &began).unwrap();
    let sink = LogSink::new(path.clone(), file);
    let keeps_power = env::var_os(POWER).is_none();
    let sink = Telling { sink, keeps_power, unsynced: Vec::new(), synced: 0, written: 0 };
    let log = LogThread::start(sink, &header(seed)).unwrap();
    let start = Instant::now();
    let mut trials = 0_u32;
    let end = sit(seed, |records| {
        for record in records {
            if to_be_killed.is_some() {
                let due = start + Duration::from_micros(record.at.0 / pace());
                thread::sleep(due.saturating_duration_since(Instant::now()));
            }
            log.add(record.clone());
            if matches!(record.what, What::Event(Event::Trial(_))) {
                trials += 1;
                say(&format!("handed {trials}"));
            }
        }
    });
    log.finish(end).unwrap();
    assert!(fs::read(&path).unwrap() == whole(seed) && trials > 0);
}

/// What was found after one kill.
#[derive(Default)]
struct Found {
    /// The log was there.
    begun: bool,
    /// The session had come to its end before.
    ended: bool,
    trials: usize,
    synced_trials: usize,
    handed_trials: usize,
    /// Bytes behind the last whole line.
    torn: bool,
}

fn kill_one(seed: u64, after: Duration, keeps_power: bool, whole: &[u8]) -> Found {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let mut command = Command::new(env::current_exe().unwrap());
    command.args(["--exact", RUN_AGAIN, "--nocapture"]).env(FOLDER, &data).env(SEED, seed.to_string());
    if !keeps_power {
        command.env(POWER, "lost");
    }
    let mut process = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let mut out = BufReader::new(process.stdout.take().unwrap());
    let mut said = String::new();
    // The header is the first that is synced; the rest of what it says is read after its death.
    while !said.contains("synced") && out.read_line(&mut said).unwrap() > 0 {}
    thread::sleep(after);
    process.kill().unwrap();
    process.wait().unwrap();
    out.read_to_string(&mut said).unwrap();
    examine(&data, &said, whole)
}

/// The greatest number said with this word, in a line that came whole.
fn last(said: &str, word: &str) -> usize {
    let whole = &said[..said.rfind('\n').map_or(0, |end| end + 1)];
    let numbers = whole.lines().filter_map(|line| line.split_once(word)?.1.trim().parse().ok());
    numbers.max().unwrap_or(0)
}

fn examine(data: &Path, said: &str, whole: &[u8]) -> Found {
    // The lock of the dead process does not keep the next one out.
    let store = Store::open(data).unwrap();
    let Some(path) = store.sessions(&"K1".parse().unwrap()).unwrap().pop() else { return Found::default() };
    let bytes = fs::read(&path).unwrap();
    let synced = last(said, "synced ");
    assert!(whole.starts_with(&bytes), "the log is a beginning of the sitting");
    assert!(bytes.len() >= synced, "{} bytes are there, {synced} were synced", bytes.len());
    let (log, problems) = read_log(&path).unwrap();
    assert!(log.header.is_some() && problems.iter().all(|problem| problem.severity == Severity::Warning));
    let broken = store.broken_off(&"K1".parse().unwrap()).unwrap();
    assert_eq!(broken.is_some(), log.end.is_none(), "a session without its end is offered");
    let trials = |bytes: &[u8]| bytes.split(|byte| *byte == b'\n').filter(|line| is_trial(line)).count();
    let ends = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |end| end + 1);
    let found = Found {
        begun: true,
        ended: log.end.is_some(),
        trials: log.known().filter(|record| matches!(record.what, What::Event(Event::Trial(_)))).count(),
        synced_trials: trials(&whole[..synced]),
        handed_trials: last(said, "handed "),
        torn: ends < bytes.len(),
    };
    assert!(found.trials >= found.synced_trials, "{} of {} synced trials", found.trials, found.synced_trials);
    found
}

fn is_trial(line: &[u8]) -> bool {
    line.windows(16).any(|part| part == b"\"event\":\"trial\",")
}

fn kill_many(keeps_power: bool) -> Vec<Found> {
    let count: u64 = env::var("DURABILITY_KILLS").map_or(20, |text| text.parse().unwrap());
    let wholes: Vec<Vec<u8>> = (0..SEEDS).map(whole).collect();
    let (found, next) = (Mutex::new(Vec::new()), Mutex::new(0..count));
    thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| {
                while let Some(index) = { next.lock().unwrap().next() } {
                    let seed = index % SEEDS;
                    let mut stream = Stream::named(index, if keeps_power { "kill" } else { "power" });
                    let after = Duration::from_micros(stream.below(KILLED_WITHIN_US) / pace());
                    let one = kill_one(seed, after, keeps_power, &wholes[seed as usize]);
                    found.lock().unwrap().push(one);
                }
            });
        }
    });
    let found = found.into_inner().unwrap();
    assert_eq!(found.len() as u64, count);
    found
}

fn tell(what: &str, found: &[Found]) {
    let count = |of: fn(&Found) -> bool| found.iter().filter(|found| of(found)).count();
    let total = |of: fn(&Found) -> usize| found.iter().map(of).sum::<usize>();
    let most = found.iter().map(|found| found.handed_trials.saturating_sub(found.trials)).max().unwrap_or(0);
    println!(
        "{what}: {} kills, {} logs begun, {} ended before, {} torn within a line; {} trials handed over, {} synced, {} \
         read; synced trials lost: 0; at most {most} unsynced trials lost in one kill; unreadable logs: 0",
        found.len(),
        count(|found| found.begun),
        count(|found| found.ended),
        count(|found| found.torn),
        total(|found| found.handed_trials),
        total(|found| found.synced_trials),
        total(|found| found.trials),
    );
}

#[test]
fn a_kill_at_any_instant_loses_no_synced_trial() {
    let found = kill_many(true);
    tell("killed", &found);
    assert!(found.iter().any(|found| !found.ended && found.trials > 0), "some were killed in the middle");
}

#[test]
fn a_power_cut_at_any_instant_loses_no_synced_trial() {
    let found = kill_many(false);
    tell("without power", &found);
    assert!(found.iter().any(|found| !found.ended && found.trials > 0), "some were killed in the middle");
}
