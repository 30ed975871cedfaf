//! How well practice finds a client's interval: virtual clients of several kinds work the real engine,
//! under the pacing and under two others that see hits and misses only.
//!
//! Each client starts between 1.5 times too fast and 3 times too slow, from advice some days old, and
//! presses eighty times in blocks of five on six tiles in two passes. Prints, for each kind and way:
//! the distance of the interval from the client's own 90 % interval at 35 and at 70 presses (median, and
//! share within 10 %); the share of blocks after calibration whose interval gives the client 80–97 %
//! success; steps towards faster after calibration, and among them those of a client whose latency has
//! already grown, and the blocks there were; decisions after a press and at the end of a block, median, and 95 %
//! quantile of the latter (on a busy machine the rest is waiting for its turn).
//!
//! Highlights count as shown at once; latencies come from the client's law. `PACING_CLIENTS` sets how many clients,
//! `PACING_SEED` where their seeds begin: what is tuned is tuned on others than those of the table.

use std::sync::Arc;
use std::time::Instant;

use pacewright::engine::Engine;
use pacewright::engine::effect::{Effect, Input, Switch};
use pacewright::engine::tree::{ItemIx, ScanTree};
use pacewright::practice::compare::{HitMiss, UpDown};
use pacewright::practice::pacing::{Attempt, CALIBRATION, Limits, Pacing};
use pacewright::practice::start::Start;
use pacewright::rng::Stream;
use pacewright::session::trial::Outcome;
use pacewright::settings::{Id, Settings};
use pacewright::stats::Sample;
use pacewright::stats::latency::ExGaussian;
use pacewright::stats::normal;
use pacewright::time::{Moment, Span};

const CLIENTS: usize = 500;
const PRESSES: usize = 80;
const BLOCK: usize = 5;
const TILES: u16 = 6;
const SUCCESS: f64 = 0.9;
const KINDS: [&str; 9] =
    ["ex-gaussian", "near-normal", "heavy", "lognormal", "lapsing", "learning", "tiring", "tiring mildly", "timer"];
const WAYS: [&str; 3] = ["pacing", "weighted up-down", "hit-miss Bayes"];
/// A client's latency has grown by this much: it shows.
const GROWN: f64 = 1.1;

/// The latency law of one client, and how it moves with each press.
struct Client {
    law: Law,
    lapses: f64,
    /// Latency at press n over that of a rested, practised client.
    course: fn(f64) -> f64,
    stream: Stream,
}

enum Law {
    ExGaussian(ExGaussian),
    /// Shift, then mean and SD of the logarithm.
    Lognormal(f64, f64, f64),
    /// Aims at this share of the interval, with this SD in seconds.
    Timer(f64, f64),
}

impl Client {
    fn of(kind: &str, seed: u64) -> Client {
        let mut stream = Stream::named(seed, kind);
        let mean = 0.4 * (stream.unit() * (2.0_f64 / 0.4).ln()).exp();
        let cv = 0.14 + 0.26 * stream.unit();
        let ex = |share: f64| {
            let (sd, tau) = (cv * mean, cv * mean * share.sqrt());
            Law::ExGaussian(ExGaussian { mu: mean - tau, sigma: sd * (1.0 - share).sqrt(), tau })
        };
        let law = match kind {
            "near-normal" => ex(0.05 + 0.1 * stream.unit()),
            "heavy" => ex(0.85 + 0.1 * stream.unit()),
            "lognormal" => {
                let spread = (1.0 + (1.5 * cv).powi(2)).ln();
                Law::Lognormal(mean / 3.0, (2.0 / 3.0 * mean).ln() - spread / 2.0, spread.sqrt())
            }
            "timer" => Law::Timer(0.2 + 0.3 * stream.unit(), 0.06 + 0.1 * stream.unit()),
            _ => ex(0.3 + 0.5 * stream.unit()),
        };
        let course: fn(f64) -> f64 = match kind {
            "learning" => |n| 1.0 + 0.5 * (-n / 25.0).exp(),
            "tiring" => |n| (0.01 * n).exp(),
            "tiring mildly" => |n| (0.004 * n).exp(),
            _ => |_| 1.0,
        };
        let lapses = if kind == "lapsing" { 0.05 + 0.1 * stream.unit() } else { 0.02 * stream.unit() };
        Client { law, lapses, course, stream }
    }

    fn latency(&mut self, presses: usize, interval: f64) -> f64 {
        let slower = (self.course)(presses as f64);
        match &self.law {
            Law::ExGaussian(law) => slower * law.draw(&mut self.stream).max(0.12),
            Law::Lognormal(shift, mean, sd) => slower * (shift + (mean + sd * self.stream.normal()).exp()),
            Law::Timer(share, sd) => share * interval + sd * self.stream.normal(),
        }
    }

    /// Chance that a press comes while the wanted tile is lit.
    fn success(&self, presses: usize, interval: f64) -> f64 {
        let scaled = interval / (self.course)(presses as f64);
        match &self.law {
            Law::ExGaussian(law) => law.cumulative(scaled),
            Law::Lognormal(shift, ..) if scaled <= *shift => 0.0,
            Law::Lognormal(shift, mean, sd) => normal::cumulative(((scaled - shift).ln() - mean) / sd),
            Law::Timer(share, sd) => {
                normal::cumulative((1.0 - share) * interval / sd) - normal::cumulative(-share * interval / sd)
            }
        }
    }

    /// The interval that gives 90 %, by bisection.
    fn needs(&self, presses: usize) -> f64 {
        let (mut low, mut high) = (0.01, 60.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.success(presses, middle) < SUCCESS { low = middle } else { high = middle }
        }
        high
    }
}

/// The engine with six tiles in a row.
struct Rig {
    engine: Engine,
    now: Moment,
}

impl Rig {
    fn new() -> Rig {
        let mut engine = Engine::new(Arc::new(ScanTree::linear(TILES)), &settings(Span::from_ms(1_000)));
        engine.assume_shown(true);
        Rig { engine, now: Moment::START }
    }

    /// One attempt; a lapse lets a pass go by.
    fn attempt(&mut self, client: &mut Client, presses: usize, interval: Span) -> Attempt {
        let mut effects: Vec<(Moment, Effect)> = Vec::new();
        let start = self.now + Span::from_ms(2_000);
        self.engine.set(start, &settings(interval), &mut effects);
        self.engine.input(start, Input::Start, &mut effects);
        let wanted = client.stream.below(u64::from(TILES) - 1);
        let mut passes = 0;
        while client.stream.unit() < client.lapses {
            passes += 1;
        }
        let latency_s = client.latency(presses, interval.as_seconds());
        let lit = start + interval.times(wanted + passes * u64::from(TILES));
        let pressed = Moment(lit.0.saturating_add_signed((latency_s * 1e6) as i64)).max(start);
        for (at, down) in [(pressed, true), (pressed + Span::from_ms(250), false)] {
            self.engine.input(at, Input::Edge { switch: Switch(0), down }, &mut effects);
        }
        self.now = pressed + Span::from_ms(250);
        self.engine.input(self.now, Input::Halt, &mut effects);
        let taken = effects.iter().find_map(|(_, effect)| match effect {
            Effect::Taken { item, .. } => Some(*item),
            _ => None,
        });
        match taken {
            None => Attempt { outcome: Outcome::Omission, latency_s: None, missed: true, pointed: None },
            Some(item) => Attempt {
                outcome: judged(item, wanted as u16),
                latency_s: Some(latency_s),
                missed: false,
                pointed: None,
            },
        }
    }
}

fn judged(took: ItemIx, wanted: u16) -> Outcome {
    match took.0 {
        item if item == wanted => Outcome::Hit,
        item if item == wanted + 1 => Outcome::Late,
        item if item + 1 == wanted => Outcome::Early,
        _ => Outcome::Wrong,
    }
}

fn settings(interval: Span) -> Settings {
    Settings::default()
        .with(Id::Technique, 0)
        .with(Id::Start, 0)
        .with(Id::AfterSelection, 2)
        .with(Id::LoopsTop, 2)
        .with(Id::FirstAfterStart, 0)
        .with(Id::ScanInterval, interval.0 as i64)
}

/// One of the ways, as the bench drives it.
enum Way {
    Pacing(Box<Pacing>),
    UpDown(UpDown),
    HitMiss(HitMiss, f64),
}

impl Way {
    fn new(name: &str, start: f64, days: u32) -> Way {
        match name {
            "pacing" => {
                Way::Pacing(Box::new(Pacing::new(&Start::from_advice(start, days), SUCCESS, Limits::default())))
            }
            "weighted up-down" => Way::UpDown(UpDown::weighted(start.ln(), SUCCESS, 0.02)),
            _ => {
                let grid = (0..81).map(|place| start.ln() - 2.0 + 0.05 * f64::from(place)).collect();
                Way::HitMiss(HitMiss::new(grid, 0.12), start.ln())
            }
        }
    }

    fn interval(&self) -> Span {
        let log = match self {
            Way::Pacing(pacing) => return pacing.interval(),
            Way::UpDown(steps) => steps.log,
            Way::HitMiss(_, log) => *log,
        };
        Span::from_seconds(log.exp().clamp(0.35, 20.0)).expect("a time")
    }

    fn attempted(&mut self, attempt: Attempt) {
        let hit = attempt.outcome == Outcome::Hit;
        match self {
            Way::Pacing(pacing) => _ = pacing.attempted(attempt),
            Way::UpDown(steps) => steps.attempted(hit),
            Way::HitMiss(grid, log) => {
                grid.attempted(*log, hit);
                *log = grid.at(SUCCESS);
            }
        }
    }

    fn block_ended(&mut self) {
        if let Way::Pacing(pacing) = self {
            pacing.block_ended();
        }
    }
}

/// What became of all clients of one kind under one way.
#[derive(Default)]
struct Tally {
    off: [Vec<f64>; 2],
    blocks: usize,
    good_blocks: usize,
    good_early: [usize; 2],
    faster: usize,
    faster_grown: usize,
    /// Of each decision within a block, and of each at its end.
    micros: [Vec<f64>; 2],
}

fn run(kind: &str, name: &str, seed: u64, tally: &mut Tally) {
    let mut client = Client::of(kind, seed);
    let start = client.needs(0) / 1.5 * (client.stream.unit() * 4.5_f64.ln()).exp();
    let days = 1 + client.stream.below(14) as u32;
    let mut way = Way::new(name, start, days);
    let mut rig = Rig::new();
    let mut calibrated = false;
    for press in 0..PRESSES {
        let attempt = rig.attempt(&mut client, press, way.interval());
        let before = way.interval();
        let began = Instant::now();
        way.attempted(attempt);
        let block_ends = press % BLOCK == BLOCK - 1;
        if block_ends {
            way.block_ended();
        }
        tally.micros[usize::from(block_ends)].push(began.elapsed().as_secs_f64() * 1e6);
        if calibrated && way.interval() < before {
            tally.faster += 1;
            tally.faster_grown += usize::from((client.course)(press as f64) >= GROWN);
        }
        if block_ends {
            calibrated |= press + 1 >= CALIBRATION;
            if calibrated {
                let good = (0.80..=0.97).contains(&client.success(press, way.interval().as_seconds()));
                tally.blocks += 1;
                tally.good_blocks += usize::from(good);
                if press < 35 {
                    tally.good_early[0] += 1;
                    tally.good_early[1] += usize::from(good);
                }
            }
        }
        for (place, at) in [35, 70].into_iter().enumerate() {
            if press + 1 == at {
                tally.off[place].push((way.interval().as_seconds() / client.needs(press) - 1.0).abs());
            }
        }
    }
}

fn main() {
    let given = |name: &str| std::env::var(name).ok().and_then(|text| text.parse().ok());
    let clients = given("PACING_CLIENTS").unwrap_or(CLIENTS);
    let first = given("PACING_SEED").unwrap_or(0);
    println!("{clients} clients of each kind and way, {PRESSES} presses each; distances from the true 90 % interval");
    println!(
        "kind           way                at 35: median  within 10 %   at 70: median  within 10 %   good blocks (to 35)   faster  when grown of blocks   decision, us: press   block     95 %"
    );
    let mut stationary: Vec<Tally> = WAYS.iter().map(|_| Tally::default()).collect();
    for kind in KINDS {
        for (way, all) in WAYS.iter().zip(&mut stationary) {
            let mut tally = Tally::default();
            for seed in (first..first + clients).map(|seed| seed as u64) {
                run(kind, way, seed, &mut tally);
                if KINDS[..5].contains(&kind) {
                    run(kind, way, seed, all);
                }
            }
            print_line(kind, way, &tally);
        }
    }
    for (way, all) in WAYS.iter().zip(&stationary) {
        print_line("all stationary", way, all);
    }
}

fn print_line(kind: &str, way: &str, tally: &Tally) {
    let off = |place: usize| {
        let sample = Sample::new(tally.off[place].clone()).expect("clients");
        let near = tally.off[place].iter().filter(|off| **off <= 0.1).count();
        (100.0 * sample.median(), 100.0 * near as f64 / sample.len() as f64)
    };
    let ((at_35, near_35), (at_70, near_70)) = (off(0), off(1));
    let [press, end] = tally.micros.each_ref().map(|micros| Sample::new(micros.clone()).expect("decisions"));
    println!(
        "{kind:14} {way:17} {at_35:12.1} % {near_35:10.1} % {at_70:13.1} % {near_70:10.1} % {:13.1} % ({:5.1} %) {:8} {:8} of {:6} {:13.1} {:9.1} {:9.1}",
        100.0 * tally.good_blocks as f64 / tally.blocks as f64,
        100.0 * tally.good_early[1] as f64 / tally.good_early[0] as f64,
        tally.faster,
        tally.faster_grown,
        tally.blocks,
        press.median(),
        end.median(),
        end.quantile(0.95)
    );
}
