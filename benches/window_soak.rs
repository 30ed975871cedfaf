//! A session of thirty real minutes in the real window, under an Xvfb of its own, worked by a key.
//!
//! Prints resident memory every minute, how late frames were shown, the steps that were never shown, and whether
//! the log is the session. It ends with 1 when something is not as it should be. `SOAK_MINUTES` says how long.
//! Lateness is the machine's as well as the program's: run it on one that does nothing else. Needs `Xvfb` and a
//! Vulkan driver (`sh .ci/setup`).

#[path = "soak/memory.rs"]
mod memory;
#[path = "../tests/it/xvfb.rs"]
mod xvfb;

use std::collections::HashSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio, exit};
use std::thread::sleep;
use std::time::{Duration, Instant};

use pacewright::engine::effect::{Effect, Lit};
use pacewright::log::reader::LogFile;
use pacewright::log::replay::{Replayed, replay};
use pacewright::session::input::Input;
use pacewright::session::protocol::Protocol;
use pacewright::session::record::What;
use pacewright::store::read_log;
use pacewright::time::Moment;
use serde_json::json;
use xvfb::{Hands, Xvfb, key};

/// Memory may grow by this much after the first minutes.
const FLAT_WITHIN_KIB: u64 = 2_048;
/// Until then caches fill.
const SETTLED_AFTER_MINUTES: usize = 5;
/// Between two presses; no step of the scan divides it.
const PRESS_EVERY: Duration = Duration::from_millis(7_300);
/// A session that works makes many more; one that stands in a pause makes none.
const STEPS_A_MINUTE: u64 = 20;
const TAP: Duration = Duration::from_millis(120);

fn main() {
    let minutes: u64 = std::env::var("SOAK_MINUTES").ok().and_then(|text| text.parse().ok()).unwrap_or(30);
    let xvfb = Xvfb::start(1920, 1080).unwrap_or_else(|words| fail(&words));
    let folder = tempfile::tempdir().expect("a folder for temporary files");
    let mut program = start(&xvfb, folder.path());
    let hands = Hands::at(&xvfb.display);
    // The notice, and then the switch goes into the client's hands.
    for _ in 0..2 {
        sleep(Duration::from_secs(10));
        hands.tap(key::F3, TAP);
    }
    let resident = work(&hands, &program, minutes);
    hands.tap(key::F10, TAP);
    let ended = program.wait().expect("it was started here");
    if !ended.success() {
        fail("the program did not end well");
    }
    let grown = grown(&resident);
    println!("memory grew by {grown} KiB after {SETTLED_AFTER_MINUTES} minutes");
    let (log, _) = logged(folder.path());
    let steps = Steps::of(&log);
    steps.tell();
    let long_enough = steps.end >= Moment(minutes * 60_000_000);
    let stood = steps.count < minutes * STEPS_A_MINUTE;
    if grown > FLAT_WITHIN_KIB || steps.missed > 0 || steps.stalls > 0 || stood || !long_enough {
        fail("memory grew, a step was missed, the session stood in a pause, or it ended early");
    }
}

fn fail(why: &str) -> ! {
    println!("failed: {why}");
    exit(1)
}

fn start(xvfb: &Xvfb, folder: &Path) -> Child {
    let protocol = folder.join("protocol.json");
    let block = json!({"kind": "menu-tasks", "trials": 200});
    let text = json!({
        "format": Protocol::FORMAT, "version": Protocol::VERSION, "name": "soak", "menu": "flat",
        "settings": {"scan_interval": 0.6}, "blocks": vec![block; 30],
    });
    fs::write(&protocol, text.to_string()).expect("a protocol");
    Command::new(env!("CARGO_BIN_EXE_pacewright"))
        .args(["trial", "--client", "S1", "--seed", "1", "--distance", "1000", "--screen-width", "530"])
        .args(["--switch", "key Space", "--protocol"])
        .arg(&protocol)
        .arg("--data")
        .arg(folder.join("data"))
        .env("DISPLAY", &xvfb.display)
        .env_remove("WAYLAND_DISPLAY")
        .stdout(Stdio::null())
        .spawn()
        .expect("the program starts")
}

/// Presses for so many minutes; gives what the program held in memory at the end of each, in KiB.
fn work(hands: &Hands, program: &Child, minutes: u64) -> Vec<u64> {
    let began = Instant::now();
    let mut resident = Vec::new();
    while (resident.len() as u64) < minutes {
        sleep(PRESS_EVERY);
        hands.tap(key::SPACE, TAP);
        if began.elapsed() >= Duration::from_secs(60 * (resident.len() as u64 + 1)) {
            resident.push(memory::resident_kib(&program.id().to_string()));
            println!("minute {}: {} KiB resident", resident.len(), resident[resident.len() - 1]);
        }
    }
    resident
}

/// The greatest growth after the first minutes.
fn grown(resident: &[u64]) -> u64 {
    let settled = &resident[SETTLED_AFTER_MINUTES.min(resident.len()).saturating_sub(1)..];
    settled.iter().max().zip(settled.first()).map_or(0, |(most, first)| most - first)
}

/// The log, which has to be whole and the session itself.
fn logged(folder: &Path) -> (LogFile, PathBuf) {
    let files = fs::read_dir(folder.join("data")).expect("a data folder").flatten().map(|entry| entry.path());
    let mut logs = files.filter(|path| path.extension().is_some_and(|end| end == "jsonl"));
    let path = logs.next().unwrap_or_else(|| fail("there is no log"));
    let (log, problems) = read_log(&path).unwrap_or_else(|problem| fail(&problem.to_string()));
    let replayed = replay(&log, "soak");
    println!("log: {} records, {} problems; replay: {replayed:?}", log.records.len(), problems.len());
    if !problems.is_empty() || !matches!(replayed, Ok(Replayed::Agrees { until_gap: None, .. })) {
        fail("the log is not the session");
    }
    (log, path)
}

/// What became of the highlights.
#[derive(Default)]
struct Steps {
    count: u64,
    /// The next one came before its frame did.
    missed: u64,
    stalls: u64,
    presses: u64,
    /// From the instant at which each was due until its frame, in microseconds.
    late_us: Vec<u64>,
    end: Moment,
}

impl Steps {
    fn of(log: &LogFile) -> Steps {
        let mut steps = Steps::default();
        let (mut newest, mut shown) = (None, HashSet::new());
        for record in log.known() {
            steps.end = steps.end.max(record.at);
            match &record.what {
                What::Effect(Effect::Highlight { number, due, lit: Lit::Entry { .. }, .. }) => {
                    steps.count += 1;
                    steps.missed += u64::from(newest.is_some_and(|(before, _)| !shown.contains(&before)));
                    newest = Some((*number, *due));
                }
                // A choice or an end takes the highlight away before its frame.
                What::Effect(Effect::Highlight { .. } | Effect::Stopped { .. }) => newest = None,
                What::Input(Input::Shown { number }) => {
                    if let Some((_, due)) = newest.filter(|(newest, _)| newest == number && shown.insert(*number)) {
                        steps.late_us.push(record.at.since(due).0);
                    }
                }
                What::Input(Input::Stalled) => steps.stalls += 1,
                What::Input(Input::Edge { down: true, .. }) => steps.presses += 1,
                _ => {}
            }
        }
        steps.late_us.sort_unstable();
        steps
    }

    fn tell(&self) {
        let Steps { count, missed, stalls, presses, late_us, end } = self;
        let at = |share: f64| late_us.get((late_us.len() as f64 * share) as usize).copied().unwrap_or(0);
        println!(
            "{} s: {presses} presses, {count} steps, {} shown, {missed} missed, {stalls} stalls",
            end.0 / 1_000_000,
            late_us.len()
        );
        println!(
            "frames behind their steps: median {} us, p99 {} us, max {} us",
            at(0.5),
            at(0.99),
            late_us.last().unwrap_or(&0)
        );
    }
}
