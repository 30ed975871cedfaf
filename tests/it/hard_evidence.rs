//! `analyse` of logs that bear little: the real session by clients who do not press or press like a machine, sessions
//! that were broken off, and machines that stall or whose clock steps back.

use std::path::{Path, PathBuf};
use std::process::Command;

use pacewright::log::header::Header;
use pacewright::log::writer::Writer;
use pacewright::session::input::{Input, Rating};
use pacewright::session::record::Record;
use pacewright::session::scene::Scene;
use pacewright::session::{Asked, Plan, Session, shipped};
use pacewright::settings::Settings;
use pacewright::sim::client::{Client, STEADY, Traits};
use pacewright::sim::latency::Latency;
use pacewright::sim::sitting::{Sits, sit_for};
use pacewright::time::{Moment, Span};
use serde_json::Value;
use tempfile::TempDir;

/// A clinician who does not break off.
const WHOLE: f64 = 7_200.0;

fn sharp(mu_s: f64) -> Traits {
    let latency = Latency::ExGaussian { mu_s, sigma_s: 0.0, tau_s: 0.0 };
    Traits { latency, miss: 0.0, involuntary_per_s: 0.0, rests: 0.0, ..STEADY }
}

fn plan() -> Plan {
    let (protocol, menu) = shipped::find("longer-trial").expect("a shipped protocol");
    Plan { protocol, menu, settings: Settings::default(), seed: 5 }
}

/// Writes the log of a longer trial that ends after `seconds` at the latest.
fn log(folder: &Path, traits: Traits, seconds: f64, session: &mut impl Sits) -> PathBuf {
    let began = "2026-01-05T10:00:00+01:00".into();
    let header = Header { client: "C7".into(), began, invented: true, ..Header::for_plan(&plan()) };
    let mut writer = Writer::begin(Vec::new(), &header).expect("memory takes it");
    let keep = |fresh: &[Record]| fresh.iter().for_each(|record| drop(writer.add(record)));
    let longest = Span::from_seconds(seconds).expect("a span");
    let end = sit_for(longest, session, &mut Client::new(traits, 5), keep).expect("it ends");
    writer.end(end).expect("memory takes it");
    let path = folder.join("hard.jsonl");
    std::fs::write(&path, writer.into_sink()).expect("a writable folder");
    path
}

fn run(command: &str, log: &Path, more: &[&str]) -> String {
    let mut program = Command::new(env!("CARGO_BIN_EXE_pacewright"));
    let output = program.arg(command).arg(log).args(more).output().expect("the program runs");
    assert!(output.status.success(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("text")
}

/// What is told of the session, and the advised scan interval.
fn told(traits: Traits, seconds: f64) -> (String, Option<f64>) {
    let folder = TempDir::new().expect("a folder");
    read(&log(folder.path(), traits, seconds, &mut Session::new(plan())))
}

fn read(log: &Path) -> (String, Option<f64>) {
    let (text, json) = (run("analyse", log, &[]), run("analyse", log, &["--json"]));
    assert!(!text.contains("NaN") && !json.contains("NaN") && !text.contains("inf "), "{text}");
    let all: Value = serde_json::from_str(&json).expect("JSON");
    let advised = all[0]["recommendations"].as_array().expect("a list");
    let scan_rate = advised.iter().find(|one| one["rule"] == "scan rate").expect("the rule");
    (text, scan_rate["advice"]["value"].as_f64())
}

#[test]
fn a_client_who_never_presses_bears_no_scan_rate() {
    let (text, value) = told(Traits { miss: 1.0, ..sharp(0.6) }, WHOLE);
    assert!(value.is_none() && text.contains("No right or late press under a moving highlight was measured"), "{text}");
}

#[test]
fn one_press_bears_no_scan_rate() {
    let (text, value) = told(STEADY, 18.0);
    assert!(value.is_none() && text.contains("12 are wanted"), "{text}");
}

#[test]
fn presses_as_even_as_a_machines_bear_no_scan_rate() {
    let (text, value) = told(sharp(0.6), WHOLE);
    assert!(value.is_none() && text.contains("latencies are alike to the millisecond"), "{text}");
}

/// A machine that wakes too late at every fortieth frame, and whose clock has stepped back by 40 ms at every fifteenth
/// edge of the switch.
struct Troubled {
    session: Session,
    frames: u32,
    edges: u32,
}

impl Sits for Troubled {
    fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        let mut stamp = at;
        match input {
            Input::Shown { .. } => {
                self.frames += 1;
                if self.frames.is_multiple_of(40) {
                    self.session.input(at, Input::Stalled, out);
                }
            }
            Input::Edge { .. } => {
                self.edges += 1;
                if self.edges.is_multiple_of(15) {
                    self.session.advance(at, out);
                    stamp = Moment(at.0 - 40_000);
                }
            }
            _ => {}
        }
        self.session.input(stamp, input, out);
    }
    fn advance(&mut self, now: Moment, out: &mut Vec<Record>) {
        self.session.advance(now, out);
    }
    fn deadline(&self) -> Option<Moment> {
        self.session.deadline()
    }
    fn scene(&self) -> &Scene {
        self.session.scene()
    }
    fn asked(&self) -> Asked {
        self.session.asked()
    }
    fn finished(&self) -> bool {
        self.session.finished()
    }
    fn rating_asked(&self) -> Option<Rating> {
        self.session.rating_asked()
    }
    fn session(&self) -> &Session {
        &self.session
    }
}

#[test]
fn stalls_and_clock_steps_are_in_the_log_and_spoil_nothing_else() {
    let folder = TempDir::new().expect("a folder");
    let mut machine = Troubled { session: Session::new(plan()), frames: 0, edges: 0 };
    let log = log(folder.path(), STEADY, WHOLE, &mut machine);
    assert!(machine.frames > 80 && machine.edges > 45, "{} {}", machine.frames, machine.edges);
    let written = std::fs::read_to_string(&log).expect("text");
    assert!(written.contains(r#""out":"stalled""#) && written.contains(r#""event":"clock""#), "{written:.2000}");
    let (text, value) = read(&log);
    // The same client on a machine without troubles is advised about the same.
    let (_, calm) = told(STEADY, WHOLE);
    let (value, calm) = (value.expect("a value"), calm.expect("a value"));
    assert!((value / calm - 1.0).abs() < 0.25, "{value} {calm}: {text}");
    assert!(text.contains("late"), "{text}");
    let replayed = run("replay", &log, &[]);
    assert!(replayed.starts_with("all ") && replayed.contains("came out as logged"), "{replayed}");
}
