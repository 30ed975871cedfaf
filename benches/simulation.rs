//! Selections a second through the real engine, counted, for a client at a 6×6 row-column scan whose
//! exact solution is known.
//!
//! `SIMULATION_SELECTIONS` sets how many (default 2 million). Printed: what was counted, how far it lies
//! from the exact solution in standard errors, and the median rate of five runs on one and on two
//! threads.
//!
//! With `SIMULATION_VERIFY` set to a number, instead: that many selections for each of twenty menus and
//! clients drawn at random, ten times as many for the ordinary and the steady client, and the greatest
//! distance from the exact solution over all outputs.

use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use pacewright::sim::blocks::Blocks;
use pacewright::sim::counts::Counts;
use pacewright::sim::yardstick::{Deviation, ORDINARY, STEADY, Yardstick, any_model};

/// Parts of a study, whose spread gives the standard errors.
const PARTS: usize = 200;

fn main() {
    match number("SIMULATION_VERIFY") {
        Some(selections) => verify(selections),
        None => measure(number("SIMULATION_SELECTIONS").unwrap_or(2_000_000)),
    }
    if let Some(peak) = peak_memory() {
        println!("memory at most {peak}");
    }
}

fn number(name: &str) -> Option<u64> {
    std::env::var(name).ok()?.parse().ok()
}

fn measure(selections: u64) {
    let ordinary = Yardstick::new(ORDINARY, 1).expect("a client who gets there");
    print(&study(&ordinary, selections));
    let counts = run(&ordinary, selections, 2);
    for threads in [1, 2] {
        let mut rates: Vec<f64> = (0..5)
            .map(|_| {
                let began = Instant::now();
                assert_eq!(run(&ordinary, selections, threads), counts);
                selections as f64 / began.elapsed().as_secs_f64()
            })
            .collect();
        rates.sort_by(f64::total_cmp);
        println!("{threads} thread(s): {:.3} million selections a second, median of five runs", rates[2] / 1e6);
    }
}

fn verify(selections: u64) {
    let mut worst = 0.0_f64;
    let fixed =
        [(ORDINARY, 1), (STEADY, 2)].map(|(model, seed)| Yardstick::new(model, seed).expect("a client who gets there"));
    let random = (3..23).map(|number| (any_model(number), selections));
    for (yardstick, selections) in fixed.map(|yardstick| (yardstick, 10 * selections)).into_iter().chain(random) {
        let began = Instant::now();
        let deviations = study(&yardstick, selections);
        println!("{selections} selections in {:.1} s", began.elapsed().as_secs_f64());
        print(&deviations);
        worst = deviations.iter().map(|deviation| deviation.standard_errors.abs()).fold(worst, f64::max);
    }
    println!("at most {worst:.2} standard errors from the exact solution");
}

fn run(yardstick: &Yardstick, selections: u64, threads: usize) -> Counts {
    let stop = AtomicBool::new(false);
    Blocks::whole(selections).run(threads, &stop, |block, count| yardstick.run(block as u32, count))
}

/// A study on two threads, held against the exact solution. Each part takes every so manieth block.
fn study(yardstick: &Yardstick, selections: u64) -> Vec<Deviation> {
    let parts = Mutex::new(vec![Counts::default(); PARTS]);
    let add = |block: u64, count: u64| {
        let counts = yardstick.run(block as u32, count);
        let mut parts = parts.lock().expect("no thread panicked");
        let part = &mut parts[block as usize % PARTS];
        *part = part.plus(&counts);
        counts
    };
    Blocks::whole(selections).run(2, &AtomicBool::new(false), add);
    let parts = parts.into_inner().expect("no thread panicked");
    let used: Vec<Counts> = parts.into_iter().filter(|part| part.selections > 0).collect();
    yardstick.compare(&used)
}

fn print(deviations: &[Deviation]) {
    println!("                   counted       exact   standard errors off");
    for Deviation { name, found, exact, standard_errors } in deviations {
        println!("{name:>12} {found:>13.6} {exact:>11.6} {standard_errors:>+9.2}");
    }
}

/// The most memory that this process had at any time, where the system tells (Linux).
fn peak_memory() -> Option<String> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    Some(line.trim_start_matches("VmHWM:").trim().to_owned())
}
