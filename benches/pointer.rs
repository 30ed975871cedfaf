//! What a pointer of 240 samples a second costs: session and log line by line, on one core.
//!
//! Ten minutes of a pointer that wanders over six tiles and rests now and then. Frames are reported 8 ms
//! after each change. What the window system itself costs is not in it.

use std::time::Instant;

use pacewright::engine::effect::{Effect, Spot};
use pacewright::log::header::Header;
use pacewright::log::writer::Writer;
use pacewright::menu::shipped;
use pacewright::rng::Stream;
use pacewright::session::input::Input;
use pacewright::session::protocol::Protocol;
use pacewright::session::record::{Record, What};
use pacewright::session::{Plan, Session};
use pacewright::settings::Settings;
use pacewright::time::{Moment, Span};

const RATE: u64 = 240;
const SECONDS: u64 = 600;
const FRAME: Span = Span::from_ms(8);
/// A tile, in thousandths of a degree.
const TILE: i32 = 5_000;

fn main() {
    let path = wandering();
    let mut shares: Vec<f64> = (0..7).map(|_| share(&path, false)).collect();
    shares.sort_by(f64::total_cmp);
    share(&path, true);
    println!("pointer: {:.3} % of one core, median of 7 runs", 100.0 * shares[3]);
}

/// Where the pointer is at each sample: it goes to a place, and rests there.
fn wandering() -> Vec<(i32, i32)> {
    let mut stream = Stream::named(1, "pointer");
    let (mut at, mut goal) = ([0.0, 0.0], [0.0, 0.0]);
    let sample = |n: u64| {
        if n.is_multiple_of(2 * RATE) {
            goal = [3.0, 2.0].map(|tiles| stream.unit() * tiles * f64::from(TILE));
        }
        for (place, goal) in at.iter_mut().zip(goal) {
            *place += 0.05 * (goal - *place) + 20.0 * stream.fast_normal();
        }
        (at[0] as i32, at[1] as i32)
    };
    (0..RATE * SECONDS).map(sample).collect()
}

/// The share of one core that these samples take.
fn share(path: &[(i32, i32)], tell: bool) -> f64 {
    let plan = plan();
    let mut writer = Writer::begin(Vec::new(), &Header::for_plan(&plan)).expect("memory takes all");
    let (mut session, mut out) = (Session::new(plan), Vec::new());
    let (mut taken, mut frame, mut scene, mut records) = (0_u64, None, 0, 0_u64);
    let start = Instant::now();
    session.input(Moment::START, Input::Next, &mut out);
    for ((x, y), n) in path.iter().zip(1..) {
        let now = Moment(n * 1_000_000 / RATE);
        if let Some((at, number)) = frame.take_if(|(at, _)| *at <= now) {
            session.input(at, Input::Shown { number }, &mut out);
        }
        if session.wants_tiles() {
            session.input(now, Input::Tiles { spots: spots() }, &mut out);
        }
        session.input(now, Input::Pointer { x: *x, y: *y }, &mut out);
        if session.scene().number != scene && frame.is_none() {
            scene = session.scene().number;
            frame = Some((now + FRAME, scene));
        }
        records += out.len() as u64;
        taken += out.iter().filter(|record| is_taken(record)).count() as u64;
        out.drain(..).for_each(|record| writer.add(&record).expect("memory takes all"));
    }
    let seconds = start.elapsed().as_secs_f64();
    if tell {
        let log = writer.into_sink();
        println!(
            "pointer: {} samples, {records} records, {taken} tiles taken, {} bytes, crc {:08x}",
            path.len(),
            log.len(),
            crc32fast::hash(&log)
        );
    }
    seconds / SECONDS as f64
}

fn is_taken(record: &Record) -> bool {
    matches!(record.what, What::Effect(Effect::Taken { .. }))
}

/// Six tiles in two rows.
fn spots() -> Vec<Spot> {
    (0..6).map(|tile| Spot { x: tile % 3 * TILE, y: tile / 3 * TILE, width: TILE - 500, height: TILE - 500 }).collect()
}

fn plan() -> Plan {
    let mut protocol = serde_json::json!({"name": "bench", "menu": "six",
        "stop": { "omissions": 0, "errors": 0, "slowing": 0.0, "minutes": 0.0 },
        "blocks": [{"kind": "menu-tasks", "trials": 400}]});
    protocol["format"] = Protocol::FORMAT.into();
    protocol["version"] = Protocol::VERSION.into();
    Plan {
        protocol: serde_json::from_value(protocol).expect("a valid protocol"),
        menu: shipped::find("six").expect("a shipped menu"),
        settings: Settings::for_technique("dwell"),
        seed: 1,
    }
}
