//! How fast a log of a million records is read, checked and turned into latencies, end to end.
//!
//! A session runs through the real engine on a virtual clock: menu tasks at six scan intervals,
//! latencies from the ex-Gaussian law. Its log is read with every checksum and sequence number
//! verified; latencies are then taken from the raw records alone (what was lit and shown, which
//! entry was wanted, when the contact closed) and grouped by interval. At the end stands how many of
//! them the session judged by.
//!
//! With `PLAIN_LOG=FILE` the same session is also written with one object a line, in plain terms: a
//! `step` wherever a wanted entry was shown, an `edge` for every change of the contact, and a line
//! with nothing but its time and name for any other record. So tools that know no scanning can be
//! timed on the same presses: each `edge` with `down` minus the last `step`, by its `cond`.
//!
//! With `SESSION_LOG=FILE` the log itself is written, for the commands to be timed. With `ADVICE=1` the
//! advice is timed too; it takes far longer than all else.

use std::collections::{BTreeMap, VecDeque};
use std::fmt::Write as _;
use std::num::NonZero;
use std::time::Instant;

use pacewright::advice::set_up::SetUpAdvice;
use pacewright::analysis;
use pacewright::engine::effect::{Effect, Lit, Switch};
use pacewright::engine::pattern::Arrangement;
use pacewright::engine::tree::{Entry, EntryIx, GroupIx, ScanTree};
use pacewright::log::header::Header;
use pacewright::log::reader;
use pacewright::log::writer::Writer;
use pacewright::menu::shipped;
use pacewright::rng::Stream;
use pacewright::session::event::Event;
use pacewright::session::input::Input;
use pacewright::session::protocol::Protocol;
use pacewright::session::record::{Record, What};
use pacewright::session::{Asked, Plan, Session};
use pacewright::settings::Settings;
use pacewright::stats::Sample;
use pacewright::time::{Moment, Span};

const RECORDS: usize = 1_000_000;
const INTERVALS: [f64; 6] = [0.6, 0.8, 1.0, 1.2, 1.5, 2.0];
const RUNS: usize = 5;

fn main() {
    let plan = plan();
    let records = sitting(plan.clone());
    let header = Header::for_plan(&plan);
    let log = logged(&header, &records);
    println!("log: {} records, {} bytes; medians of {RUNS} runs", records.len(), log.len());
    for (name, bytes) in [("SESSION_LOG", &log), ("PLAIN_LOG", &in_plain_terms(&plan, &records))] {
        if let Some(path) = std::env::var_os(name) {
            std::fs::write(path, bytes).expect("the file can be written");
        }
    }
    let count = records.len();
    for threads in [1, 2, 4] {
        let threads = NonZero::new(threads).expect("at least one");
        time(&format!("read and verify, {threads} threads"), count, || reader::read_on(threads, &log[..], "log"));
    }
    time("read, verify, derive latencies and quantiles", count, || {
        let (read, problems) = reader::read(&log[..], "log");
        assert!(problems.is_empty(), "{problems:?}");
        quantiles(latencies(&plan, read.known()))
    });
    time("all that is judged of it: findings", count, || analysis::findings(&header, &records));
    time("all that is judged of it: evidence", count, || analysis::gather::evidence(&[(&header, &records)]));
    if std::env::var_os("ADVICE").is_some() {
        time("all that is judged of it: advice", count, || SetUpAdvice::of(&[(&header, &records)]));
    }
    tell(&plan, &records);
}

/// Prints the median of the runs, and the processor time of one, which other programs disturb less.
fn time<T>(what: &str, records: usize, run: impl Fn() -> T) {
    let before = processor_seconds();
    let mut seconds: Vec<f64> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            let done = run();
            let seconds = start.elapsed().as_secs_f64();
            drop(done);
            seconds
        })
        .collect();
    let processor = (processor_seconds() - before) / RUNS as f64;
    seconds.sort_by(f64::total_cmp);
    let median = seconds[RUNS / 2];
    println!("{what}: {median:.3} s, {:.0} records/s; {processor:.3} s of processor", records as f64 / median);
}

/// What all threads have used, from the kernel in hundredths of a second; 0 where it does not tell.
fn processor_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let ticks = stat.split(' ').skip(13).take(2).filter_map(|ticks| ticks.parse::<f64>().ok());
    ticks.sum::<f64>() / 100.0
}

/// Prints the quantiles, and whether the latencies are those that the session judged by.
fn tell(plan: &Plan, records: &[Record]) {
    let derived = latencies(plan, records.iter());
    for (interval, [count, quantiles @ ..]) in quantiles(derived.clone()) {
        println!("T{:.1}: {count} {quantiles:?}", interval.as_seconds());
    }
    let judged = records.iter().filter_map(|record| match &record.what {
        What::Event(Event::Trial(trial)) => Some(trial),
        _ => None,
    });
    let mut judged: Vec<i64> = judged.flat_map(|trial| &trial.presses).filter_map(|press| press.latency_us).collect();
    judged.sort_unstable();
    let derived: Vec<i64> = derived.into_values().flatten().collect();
    let common = derived.iter().filter(|us| judged.binary_search(us).is_ok()).count();
    // The session takes a wrong press in a later pass for an early one.
    println!("latencies: {} derived, {} judged, {common} alike", derived.len(), judged.len());
}

fn plan() -> Plan {
    let block = |interval| {
        serde_json::json!({
            "kind": "menu-tasks", "trials": RECORDS / 176, "settings": {"scan_interval": interval},
        })
    };
    let protocol = serde_json::json!({
        "format": Protocol::FORMAT, "version": Protocol::VERSION, "name": "long", "menu": "nine", "rest_every": 0,
        "stop": {"omissions": 0, "errors": 0, "slowing": 0.0, "minutes": 0.0}, "blocks": INTERVALS.map(block),
    });
    Plan {
        protocol: serde_json::from_value(protocol).expect("a valid protocol"),
        menu: shipped::find("nine").expect("a shipped menu"),
        settings: Settings::default(),
        seed: 11,
    }
}

/// A session with its client and screen, on a virtual clock.
struct Sitting {
    session: Session,
    latency: Stream,
    /// Frames on their way to the screen.
    frames: VecDeque<(Moment, u64)>,
    /// Changes of the contact to come.
    edges: VecDeque<(Moment, bool)>,
    scene: Option<u64>,
    lit: Option<(GroupIx, EntryIx)>,
}

/// As many records as wanted, or some more, of a session that is then ended in order.
fn sitting(plan: Plan) -> Vec<Record> {
    let latency = Stream::named(plan.seed, "latency");
    let (frames, edges) = (VecDeque::new(), VecDeque::new());
    let mut sitting = Sitting { session: Session::new(plan), latency, frames, edges, scene: None, lit: None };
    let mut records = Vec::with_capacity(RECORDS + 1_000);
    sitting.session.input(Moment(2_000_000), Input::Next, &mut records);
    while records.len() < RECORDS && !sitting.session.finished() {
        sitting.go_on(&mut records);
    }
    let last = records.last().map_or(Moment::START, |record| record.at);
    sitting.session.input(last, Input::End, &mut records);
    records
}

impl Sitting {
    fn go_on(&mut self, records: &mut Vec<Record>) {
        let fresh = records.len();
        let next = |at: Option<Moment>| at.unwrap_or(Moment::NEVER);
        let frame = next(self.frames.front().map(|(at, _)| *at));
        let edge = next(self.edges.front().map(|(at, _)| *at));
        let due = next(self.session.deadline());
        if due <= frame.min(edge) {
            assert_ne!(due, Moment::NEVER, "the session waits for something: {:?}", self.session.scene());
            self.session.advance(due, records);
        } else if frame <= edge {
            self.show(records);
        } else if let Some((at, down)) = self.edges.pop_front() {
            self.session.input(at, Input::Edge { switch: Switch(0), down }, records);
        }
        let now = records[fresh..].last().map(|record| record.at);
        self.look(&records[fresh..], now.unwrap_or(due.min(frame).min(edge)));
    }

    /// A frame reaches the screen; the client presses for a wanted entry.
    fn show(&mut self, records: &mut Vec<Record>) {
        let Some((at, number)) = self.frames.pop_front() else { return };
        self.session.input(at, Input::Shown { number }, records);
        let wanted = matches!(self.session.asked(), Asked::Entry(group, entry) if self.lit == Some((group, entry)));
        if wanted && self.edges.is_empty() {
            let seconds = 0.45 + 0.08 * self.latency.normal() + 0.15 * self.latency.exponential();
            let held = 0.12 + 0.03 * self.latency.normal();
            let after = |from: Moment, seconds: f64| from + Span((seconds.max(0.02) * 1e6) as u64);
            let down = after(at, seconds);
            self.edges.extend([(down, true), (after(down, held), false)]);
        }
    }

    /// A new scene goes to the screen.
    fn look(&mut self, fresh: &[Record], now: Moment) {
        for record in fresh {
            if let What::Effect(Effect::Highlight { lit, .. }) = record.what {
                self.lit = match lit {
                    Lit::Entry { group, entry, .. } => Some((group, entry)),
                    Lit::Nothing => None,
                };
            }
        }
        let number = self.session.scene().number;
        if self.scene.replace(number) != Some(number) {
            self.frames.push_back((now + Span(8_333), number));
        }
    }
}

fn logged(header: &Header, records: &[Record]) -> Vec<u8> {
    let mut writer = Writer::begin(Vec::new(), header).expect("memory takes all");
    records.iter().for_each(|record| writer.add(record).expect("memory takes all"));
    writer.end(records.last().map_or(Moment::START, |record| record.at)).expect("memory takes all");
    writer.into_sink()
}

/// Follows which entry is wanted and when it was shown.
struct Watch<'p> {
    plan: &'p Plan,
    arrangement: Arrangement,
    path: Vec<(GroupIx, EntryIx)>,
    interval: Span,
    /// The wanted entry that is lit and not shown yet: number of its highlight.
    waiting: Option<u64>,
    shown: Option<Moment>,
}

impl<'p> Watch<'p> {
    fn new(plan: &'p Plan) -> Watch<'p> {
        let arrangement = Arrangement::new(&plan.menu, &plan.settings);
        Watch { plan, arrangement, path: Vec::new(), interval: Span::ZERO, waiting: None, shown: None }
    }

    /// Takes a record; `true` when it shows the wanted entry.
    fn step(&mut self, record: &Record) -> bool {
        match &record.what {
            What::Event(Event::Settings { values, scan_interval_us, .. }) => {
                self.arrangement = Arrangement::new(&self.plan.menu, values);
                self.interval = *scan_interval_us;
            }
            What::Event(Event::TrialBegan { target, .. }) => {
                let item = self.arrangement.find(target);
                self.path = item.and_then(|item| self.arrangement.tree.path(item)).unwrap_or_default();
                self.shown = None;
            }
            What::Event(Event::Trial(_)) => (self.waiting, self.shown) = (None, None),
            What::Effect(Effect::Highlight { number, lit, .. }) => {
                self.waiting = wanted(&self.arrangement.tree, &self.path, *lit).then_some(*number);
            }
            What::Input(Input::Shown { number }) if self.waiting.is_some_and(|waiting| waiting <= *number) => {
                self.waiting = None;
                self.shown = Some(record.at);
                return true;
            }
            _ => {}
        }
        false
    }
}

/// Whether what is lit leads to the target, or out of a group that was entered by mistake.
fn wanted(tree: &ScanTree, path: &[(GroupIx, EntryIx)], lit: Lit) -> bool {
    let Lit::Entry { group, entry, .. } = lit else { return false };
    match path.iter().find(|(on_path, _)| *on_path == group) {
        Some((_, wanted)) => *wanted == entry,
        None => tree.group(group).entries[usize::from(entry.0)] == Entry::Exit,
    }
}

/// Latencies in microseconds by scan interval, from raw records.
fn latencies<'r>(plan: &Plan, records: impl Iterator<Item = &'r Record>) -> BTreeMap<Span, Vec<i64>> {
    let mut watch = Watch::new(plan);
    let mut all: BTreeMap<Span, Vec<i64>> = BTreeMap::new();
    for record in records {
        watch.step(record);
        if let (What::Input(Input::Edge { down: true, .. }), Some(shown)) = (&record.what, watch.shown) {
            all.entry(watch.interval).or_default().push(record.at.signed_us_since(shown));
        }
    }
    all
}

/// Count, then the 50th, 90th, 95th and 99th percentile (linear interpolation, type 7).
fn quantiles(latencies: BTreeMap<Span, Vec<i64>>) -> BTreeMap<Span, [f64; 5]> {
    let of = |values: Vec<i64>| {
        let sample = Sample::new(values.into_iter().map(|us| us as f64).collect()).expect("there are latencies");
        let [p50, p90, p95, p99] = [0.5, 0.9, 0.95, 0.99].map(|p| sample.quantile(p));
        [sample.len() as f64, p50, p90, p95, p99]
    };
    latencies.into_iter().map(|(interval, values)| (interval, of(values))).collect()
}

/// The session with one object a line, in terms that know no scanning.
fn in_plain_terms(plan: &Plan, records: &[Record]) -> Vec<u8> {
    let mut watch = Watch::new(plan);
    let mut text = String::new();
    for record in records {
        let (at, shows) = (record.at.0, watch.step(record));
        let cond = format!("T{:.1}", watch.interval.as_seconds());
        let line = match &record.what {
            What::Input(Input::Shown { number }) if shows => {
                format!("\"ev\":\"step\",\"cond\":\"{cond}\",\"item\":{number}")
            }
            What::Input(Input::Edge { down, .. }) if watch.shown.is_some() => {
                format!("\"ev\":\"edge\",\"src\":\"key:Space\",\"down\":{down}")
            }
            What::Input(_) => "\"ev\":\"input\"".to_string(),
            What::Effect(_) => "\"ev\":\"effect\"".to_string(),
            What::Event(_) => "\"ev\":\"event\"".to_string(),
        };
        writeln!(text, "{{\"t_us\":{at},{line}}}").expect("memory takes all");
    }
    text.into_bytes()
}
