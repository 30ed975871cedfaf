//! Feeds the readers, the engine and the session with inputs bent out of shape, and counts what came of it.
//!
//! The closest to a coverage-guided fuzzer that a stable compiler runs: the inputs are structure-aware, but
//! nothing steers them. Each execution is made from one number, so a crash is repeated from it alone:
//! `FUZZ_ONLY=log:12345`. `FUZZ_EXECUTIONS` says how many (200,000 unless told), `FUZZ_SEED` where to begin,
//! `FUZZ_TARGET` that all are for one target.
//! Build it with `CARGO_PROFILE_BENCH_DEBUG_ASSERTIONS=true CARGO_PROFILE_BENCH_OVERFLOW_CHECKS=true`.

mod targets;
mod text;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::exit;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use pacewright::rng::Stream;
use targets::Corpus;

/// An execution that takes longer is a hang.
const LIMIT: Duration = Duration::from_secs(10);
/// How often it is told how far this is.
const TOLD_EVERY: Duration = Duration::from_secs(60);

struct Target {
    name: &'static str,
    /// Of a hundred executions, so many are its own.
    share: u64,
    run: fn(&Corpus, &mut Stream) -> bool,
}

const TARGETS: [Target; 7] = [
    Target { name: "engine", share: 40, run: targets::engine },
    Target { name: "log", share: 26, run: targets::log },
    Target { name: "settings", share: 12, run: targets::values },
    Target { name: "protocol", share: 8, run: targets::protocol },
    Target { name: "profile", share: 5, run: targets::profile },
    Target { name: "menu", share: 7, run: targets::menu },
    Target { name: "session", share: 2, run: targets::session },
];

#[derive(Clone, Copy, Default)]
struct Count {
    executions: u64,
    accepted: u64,
    crashes: u64,
    slowest: Duration,
}

/// The number of the execution under way, from 1, for the thread that watches for hangs.
static UNDER_WAY: AtomicU64 = AtomicU64::new(0);

fn main() {
    let corpus = Corpus::new();
    if let Ok(only) = std::env::var("FUZZ_ONLY") {
        return repeat(&corpus, &only);
    }
    let number = |name: &str, standard| std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(standard);
    // All executions for one target, where it is named.
    let only = std::env::var("FUZZ_TARGET").ok();
    let only = only.map(|name| TARGETS.iter().position(|target| target.name == name).expect("a target of that name"));
    let (count, first) = (number("FUZZ_EXECUTIONS", 200_000), number("FUZZ_SEED", 1));
    thread::spawn(move || watch(first, only));
    let mut counts = [Count::default(); TARGETS.len()];
    let mut told = Instant::now();
    for seed in first..first + count {
        UNDER_WAY.store(seed, Ordering::Relaxed);
        let index = only.unwrap_or_else(|| target_of(seed));
        execute(&corpus, &TARGETS[index], seed, &mut counts[index]);
        if told.elapsed() > TOLD_EVERY {
            told = Instant::now();
            tell(&counts);
        }
    }
    UNDER_WAY.store(0, Ordering::Relaxed);
    tell(&counts);
    exit(i32::from(counts.iter().any(|count| count.crashes > 0)));
}

fn target_of(seed: u64) -> usize {
    let mut place = seed % 100;
    let own = |target: &Target| {
        let hit = place < target.share;
        place = place.wrapping_sub(target.share);
        hit
    };
    TARGETS.iter().position(own).expect("the shares make a hundred")
}

fn execute(corpus: &Corpus, target: &Target, seed: u64, count: &mut Count) {
    let start = Instant::now();
    let run = || (target.run)(corpus, &mut Stream::named(seed, target.name));
    count.executions += 1;
    match catch_unwind(AssertUnwindSafe(run)) {
        Ok(accepted) => count.accepted += u64::from(accepted),
        Err(_) => {
            count.crashes += 1;
            println!("crash: repeat it with FUZZ_ONLY={}:{seed}", target.name);
        }
    }
    count.slowest = count.slowest.max(start.elapsed());
}

fn repeat(corpus: &Corpus, only: &str) {
    let (name, seed) = only.split_once(':').expect("FUZZ_ONLY is a target, `:` and a number");
    let target = TARGETS.iter().find(|target| target.name == name).expect("FUZZ_ONLY names a target");
    let mut stream = Stream::named(seed.parse().expect("FUZZ_ONLY ends with a number"), target.name);
    println!("accepted: {}", (target.run)(corpus, &mut stream));
}

/// Ends the process when one execution takes too long.
fn watch(first: u64, only: Option<usize>) {
    let (mut last, mut since) = (first, Instant::now());
    loop {
        thread::sleep(Duration::from_millis(200));
        let now = UNDER_WAY.load(Ordering::Relaxed);
        if now != last {
            (last, since) = (now, Instant::now());
        } else if now != 0 && since.elapsed() > LIMIT {
            println!("hang: repeat it with FUZZ_ONLY={}:{now}", TARGETS[only.unwrap_or_else(|| target_of(now))].name);
            exit(3);
        }
    }
}

fn tell(counts: &[Count]) {
    let total = |of: fn(&Count) -> u64| counts.iter().map(of).sum::<u64>();
    println!("{} executions, {} crashes, 0 hangs", total(|count| count.executions), total(|count| count.crashes));
    for (target, count) in TARGETS.iter().zip(counts) {
        let Count { executions, accepted, crashes, slowest } = count;
        let micros = slowest.as_micros();
        println!("  {}: {executions}, accepted {accepted}, crashes {crashes}, slowest {micros} µs", target.name);
    }
}
