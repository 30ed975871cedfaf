//! How late the window stamps a key beyond a bare X client, and how late it steps.
//!
//! The real window runs under an Xvfb of its own at 1920×1080 with software rendering, its board
//! stepping every 0.4 s, while key edges are injected at irregular gaps. A bare client on a thread
//! and a connection of its own stamps the same events with the same clock. Needs `Xvfb` and a
//! Vulkan driver (`sh .ci/setup`). `PACEWRIGHT_EDGES` changes the number of edges from 4,000.

#[path = "desk/bare_client.rs"]
mod bare_client;
#[path = "../tests/it/xvfb.rs"]
mod xvfb;

use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use pacewright::app::devices::pad_thread::{PadChange, PadEvent, PadSource};
use pacewright::app::devices::pads::Control;
use pacewright::app::machine::Machine;
use pacewright::app::{self, AppConfig, Outcome, RecordSink, board::BoardSetup};
use pacewright::engine::effect::{Role, Switch};
use pacewright::rng::Stream;
use pacewright::session::input::{Input, Rating};
use pacewright::session::record::{Record, What};
use pacewright::session::scene::{Body, Cue, Scene, Tile, Tiles};
use pacewright::time::{Moment, Span};
use xvfb::{Hands, Xvfb, key};

const STEP: Span = Span::from_ms(400);
const STARTED: &str = "PACEWRIGHT_BENCH_STARTED_US";
const BEGUN: &str = "begun";

fn main() {
    match std::env::var(STARTED) {
        Ok(started) => window(started.parse().expect("the parent wrote a number")),
        Err(_) => inject(),
    }
}

/// The parent: a display, a window process on it, and keys.
fn inject() {
    let edges: u32 = std::env::var("PACEWRIGHT_EDGES").ok().and_then(|text| text.parse().ok()).unwrap_or(4_000);
    let xvfb = match Xvfb::start(1920, 1080) {
        Ok(xvfb) => xvfb,
        Err(words) => return eprintln!("{words}"),
    };
    let mut window = Command::new(std::env::current_exe().expect("a bench has a path"))
        .env("DISPLAY", &xvfb.display)
        .env_remove("WAYLAND_DISPLAY")
        .env(STARTED, wall_us().to_string())
        .stdout(Stdio::piped())
        .spawn()
        .expect("a bench can start itself");
    let lines = BufReader::new(window.stdout.take().expect("it is piped")).lines();
    let hands = Hands::at(&xvfb.display);
    std::thread::sleep(Duration::from_secs(2));
    hands.tap(key::F3, Duration::from_millis(20));
    for line in lines.map_while(Result::ok) {
        if line == BEGUN {
            work(&hands, edges);
        } else {
            println!("{line}");
        }
    }
    assert!(window.wait().expect("the window was started here").success(), "the window failed");
}

/// Edges at gaps of 10 to 30 ms that no cycle of the scan or the screen divides.
fn work(hands: &Hands, edges: u32) {
    std::thread::sleep(Duration::from_secs(1));
    let mut draw = 1_u64;
    for edge in 0..edges {
        draw = draw.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        std::thread::sleep(Duration::from_micros(10_000 + (draw >> 33) % 20_000));
        hands.key(key::SPACE, edge % 2 == 0);
    }
    std::thread::sleep(Duration::from_millis(500));
    hands.tap(key::F10, Duration::from_millis(20));
}

/// The child: the window and the bare client.
fn window(started_us: u128) {
    let (send, bare) = channel();
    std::thread::spawn(move || bare_client::stamp(None, &send));
    let seen = Arc::new(Mutex::new(Seen::default()));
    let ours = Arc::clone(&seen);
    let config = AppConfig {
        title: "pacewright".into(),
        windowed: false,
        board: BoardSetup::default(),
        place_known: true,
        roles: vec![Role::Select, Role::Step],
        sound: None,
        level: None,
        pads: Some(Box::new(|| Ok(Box::new(Pad::default())))),
        switches: ["key Space", "pad 1 button South"].map(|text| text.parse().expect("it is a switch")).to_vec(),
        broken_off: None,
        watched: None,
        begin: Box::new(move |_, before| {
            if before.is_some() {
                return Ok(None);
            }
            println!("{BEGUN}");
            ours.lock().unwrap().start = Some(Instant::now());
            let sinks = Arc::clone(&ours);
            let sink: RecordSink = Box::new(move |records| {
                sinks.lock().unwrap().take(records);
                None
            });
            Ok(Some((Box::new(Stepper::new(Arc::clone(&ours))), sink)))
        }),
    };
    match app::run(config) {
        Ok(outcome) => report(&seen.lock().unwrap(), &bare, &outcome, started_us),
        Err(error) => {
            eprintln!("{error}");
            std::process::exit(2);
        }
    }
}

/// What the session saw.
#[derive(Default)]
struct Seen {
    start: Option<Instant>,
    edges: Vec<Moment>,
    /// From the stamp of the pad's thread to the session.
    pad_us: Vec<i64>,
    shown: u64,
    stalls: u64,
    /// Schedule and doing of every step.
    steps: Vec<(Moment, Moment)>,
}

impl Seen {
    fn take(&mut self, records: &[Record]) {
        for record in records {
            match record.what {
                What::Input(Input::Edge { switch: Switch(0), .. }) => self.edges.push(record.at),
                What::Input(Input::Shown { .. }) => self.shown += 1,
                What::Input(Input::Stalled) => self.stalls += 1,
                _ => {}
            }
        }
    }
}

/// A pad whose button goes down and up at irregular gaps.
struct Pad {
    down: bool,
    gaps: Stream,
}

impl Default for Pad {
    fn default() -> Pad {
        Pad { down: false, gaps: Stream::named(1, "pad") }
    }
}

impl PadSource for Pad {
    fn next(&mut self, _: Duration) -> Option<PadEvent> {
        std::thread::sleep(Duration::from_micros(15_000 + self.gaps.below(30_000)));
        self.down = !self.down;
        let what = PadChange::Button(Control::Button(gilrs::Button::South), self.down);
        let event = PadEvent { pad: 1, driver: SystemTime::now(), what };
        Some(event)
    }
}

/// Six tiles and a highlight that steps; it takes everything and does nothing about it.
struct Stepper {
    scene: Scene,
    due: Moment,
    finished: bool,
    seen: Arc<Mutex<Seen>>,
}

impl Stepper {
    fn new(seen: Arc<Mutex<Seen>>) -> Stepper {
        let labels =
            [("Lamp", "lamp"), ("Door", "door"), ("Bed", "bed"), ("Fan", "fan"), ("Music", "music"), ("Lift", "lift")];
        let tile = |(label, icon): (&str, &str)| Tile { label: label.into(), icon: icon.into(), ..Tile::default() };
        let body = Body::Tiles(Tiles { columns: 3, tiles: labels.map(tile).to_vec() });
        let cue = Some(Cue { text: "Turn the lamp on.".into(), icon: Some("lamp".into()) });
        let scene = Scene { number: 0, cue, body, home: Vec::new(), note: None, left: None, answered: false };
        Stepper { scene, due: Moment::START, finished: false, seen }
    }
}

impl Machine for Stepper {
    fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        self.advance(at, out);
        self.finished |= input == Input::End;
        let start = self.seen.lock().unwrap().start;
        if let (Input::Edge { switch: Switch(1), .. }, Some(start)) = (&input, start) {
            let since_stamp = (start + Duration::from_micros(at.0)).elapsed();
            self.seen.lock().unwrap().pad_us.push(since_stamp.as_micros() as i64);
        }
        out.push(Record { at, what: What::Input(input) });
    }

    fn advance(&mut self, now: Moment, _: &mut Vec<Record>) {
        while self.due <= now {
            self.seen.lock().unwrap().steps.push((self.due, now));
            self.due += STEP;
            self.scene.number += 1;
            let lit = self.scene.number as usize % 6;
            if let Body::Tiles(tiles) = &mut self.scene.body {
                tiles.tiles.iter_mut().enumerate().for_each(|(place, tile)| tile.lit = place == lit);
            }
        }
    }

    fn deadline(&self) -> Option<Moment> {
        Some(self.due)
    }

    fn scene(&self) -> &Scene {
        &self.scene
    }

    fn finished(&self) -> bool {
        self.finished
    }

    fn stall_limit(&self) -> Span {
        Span::from_ms(100)
    }

    fn question(&self) -> Option<Rating> {
        None
    }

    fn in_assessors_hands(&self) -> bool {
        false
    }
}

fn report(seen: &Seen, bare: &Receiver<Instant>, outcome: &Outcome, started_us: u128) {
    let start = seen.start.expect("the session began");
    let bare: Vec<i64> = bare.try_iter().map(|at| at.saturating_duration_since(start).as_micros() as i64).collect();
    println!("edges: {} stamped by the window, {} by the bare client", seen.edges.len(), bare.len());
    if seen.edges.len() == bare.len() {
        let delays = seen.edges.iter().zip(&bare).map(|(ours, theirs)| ours.0 as i64 - theirs).collect();
        print_us("stamp beyond the bare client", delays);
    }
    print_us("pad edges, from stamp to session", seen.pad_us.clone());
    let lateness = seen.steps.iter().map(|(due, done)| done.signed_us_since(*due)).collect();
    print_us("lateness of scan steps", lateness);
    println!("steps: {}, shown: {}, stalls: {}", seen.steps.len(), seen.shown, seen.stalls);
    println!("drift of the schedule: {} us", drift_us(&seen.steps));
    if let Some(first) = outcome.first_frame {
        let since_start = wall_us().saturating_sub(first.elapsed().as_micros()).saturating_sub(started_us);
        println!("first frame: {:.1} ms after the start of the process", since_start as f64 / 1e3);
    }
}

/// The greatest distance of a step's place in the schedule from first + k × interval.
fn drift_us(steps: &[(Moment, Moment)]) -> i64 {
    let first = steps.first().map_or(Moment::START, |(due, _)| *due);
    let from =
        |(place, (due, _)): (usize, &(Moment, Moment))| due.signed_us_since(first + STEP.times(place as u64)).abs();
    steps.iter().enumerate().map(from).max().unwrap_or(0)
}

fn print_us(what: &str, mut values: Vec<i64>) {
    values.sort_unstable();
    let at = |share: f64| {
        values.get(((values.len() as f64 * share).ceil() as usize).saturating_sub(1)).copied().unwrap_or(0)
    };
    println!(
        "{what}: median {} us, p99 {} us, p99.9 {} us, max {} us (n = {})",
        at(0.5),
        at(0.99),
        at(0.999),
        at(1.0),
        values.len()
    );
}

fn wall_us() -> u128 {
    SystemTime::now().duration_since(UNIX_EPOCH).expect("the clock is past 1970").as_micros()
}
