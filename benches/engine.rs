//! How many events a second the engine takes on one core.
//!
//! An event is one input handed in or one effect given out. The inputs are those of a sitting at a
//! 6×6 automatic row-column scan with the full switch filter on: a frame shown for each highlight, and
//! presses and releases whose contact bounces. They are recorded first; what is timed is the engine
//! alone. The checksum covers each effect and its instant.

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

use criterion::{Criterion, Throughput};
use pacewright::engine::Engine;
use pacewright::engine::effect::{Effect, Input, Lit, Switch};
use pacewright::engine::tree::{EntryIx, ScanTree};
use pacewright::rng::Stream;
use pacewright::settings::{self, Settings};
use pacewright::time::{Moment, Span};

/// Scan steps in the recorded sitting.
const STEPS: u64 = 20_000;
/// From the schedule to the frame on the screen.
const FRAME: Span = Span::from_ms(16);

fn main() {
    let start = engine();
    let inputs = record(start.clone());
    let (effects, checksum) = run(start.clone(), &inputs);
    let events = inputs.len() as u64 + effects;
    let rate = best_rate(&start, &inputs, events);
    println!("engine: {} inputs and {effects} effects, checksum {checksum:016x}", inputs.len());
    println!("engine: {:.1} million events a second on one core, best of 20 runs", rate / 1e6);
    let mut criterion = Criterion::default().configure_from_args();
    let mut group = criterion.benchmark_group("engine");
    group.throughput(Throughput::Elements(events));
    group.bench_function("6x6 row-column, full filter", |bencher| {
        bencher.iter(|| run(start.clone(), black_box(&inputs)));
    });
    group.finish();
    criterion.final_summary();
}

fn engine() -> Engine {
    let changes = [
        ("scan_interval", "1"),
        ("first_after_start", "0.5"),
        ("first_in_group", "0.5"),
        ("debounce", "0.03"),
        ("drop_out", "0.05"),
        ("lockout", "0.5"),
        ("hold", "0"),
        ("loops_top", "no limit"),
    ];
    let settings = changes.iter().fold(Settings::default(), |settings, (name, value)| {
        let id = settings::find(name).expect("a setting");
        settings.with(id, settings::parse_value(id, value).expect("a value"))
    });
    Engine::new(Arc::new(ScanTree::row_column(6, 6)), &settings)
}

fn run(mut engine: Engine, inputs: &[(Moment, Input)]) -> (u64, u64) {
    let (mut effects, mut checksum) = (0, 0_u64);
    for (at, input) in inputs {
        engine.input(*at, input.clone(), &mut |at: Moment, effect: Effect| {
            effects += 1;
            checksum = checksum.rotate_left(7) ^ at.0 ^ digest(&effect);
        });
    }
    (effects, checksum)
}

/// A number that tells effects apart.
fn digest(effect: &Effect) -> u64 {
    match effect {
        Effect::Highlight { number, lit: Lit::Entry { entry, .. }, .. } => number << 8 | u64::from(entry.0),
        Effect::Highlight { number, .. } => number << 8 | 0xff,
        Effect::Taken { number, item, latency_us, .. } => number << 32 | u64::from(item.0) ^ *latency_us as u64,
        Effect::Entered { number, into, latency_us, .. } => number << 40 | u64::from(into.0) ^ *latency_us as u64,
        Effect::Pressed { edge, .. } => edge.0 << 16,
        Effect::Released { edge, .. } => edge.0 << 24,
        Effect::Activated(by) => by.accepted.0 << 32,
        _ => 0x5555,
    }
}

fn best_rate(start: &Engine, inputs: &[(Moment, Input)], events: u64) -> f64 {
    let once = |_| {
        let began = Instant::now();
        black_box(run(start.clone(), black_box(inputs)));
        events as f64 / began.elapsed().as_secs_f64()
    };
    (0..20).map(once).fold(0.0, f64::max)
}

/// The inputs of a client who aims at one entry after the other, drawn by chance.
fn record(mut engine: Engine) -> Vec<(Moment, Input)> {
    let mut draws = Stream::named(1, "engine bench");
    let mut inputs = vec![(Moment::START, Input::Start)];
    let mut effects: Vec<(Moment, Effect)> = Vec::new();
    engine.input(Moment::START, Input::Start, &mut effects);
    let mut target = EntryIx(3);
    for _ in 0..STEPS {
        let Some((at, number, lit)) = last_lit(&effects) else { panic!("the scan goes on") };
        effects.clear();
        let shown = at + FRAME;
        let mut fresh = vec![(shown, Input::Shown { number })];
        if matches!(lit, Lit::Entry { entry, .. } if entry == target) {
            press(shown + Span(300_000 + draws.below(400_000)), &mut fresh);
            target = EntryIx(draws.below(6) as u16);
        }
        for (at, input) in &fresh {
            engine.input(*at, input.clone(), &mut effects);
        }
        inputs.append(&mut fresh);
        while last_lit(&effects).is_none() {
            engine.advance(engine.deadline().expect("the scan goes on"), &mut effects);
        }
    }
    inputs
}

/// The last highlight that rests on an entry.
fn last_lit(effects: &[(Moment, Effect)]) -> Option<(Moment, u64, Lit)> {
    effects.iter().rev().find_map(|(at, effect)| match effect {
        Effect::Highlight { number, lit: lit @ Lit::Entry { .. }, .. } => Some((*at, *number, *lit)),
        _ => None,
    })
}

/// A press of 150 ms whose contact bounces at both ends.
fn press(at: Moment, inputs: &mut Vec<(Moment, Input)>) {
    let edges = [(0, true), (800, false), (1_500, true), (150_000, false), (150_900, true), (151_700, false)];
    let edge = |(after, down)| (at + Span(after), Input::Edge { switch: Switch(0), down });
    inputs.extend(edges.map(edge));
}
