//! Selections a second through the real engine, counted, for a client at a 6×6 row-column scan whose
//! exact solution is known.
//!
//! `SIMULATION_SELECTIONS` sets how many (default 2 million). Printed: what was counted, how far it lies
//! from the exact solution in standard errors, and the median rate of five runs on one and on two
//! threads, taken in turn. Then a sweep as `simulate` makes it: 30 scan intervals for the steady client on
//! the menu of nine, 100,000 selections each (`SIMULATION_SWEEP` sets how many).
//!
//! With `SIMULATION_VERIFY` set to a number, instead: that many selections for each of twenty menus and
//! clients drawn at random, ten times as many for the ordinary and the steady client, and the greatest
//! distance from the exact solution over all outputs.

use std::sync::atomic::AtomicBool;
use std::time::Instant;

use pacewright::menu::shipped as menus;
use pacewright::sim::blocks::Blocks;
use pacewright::sim::counts::Counts;
use pacewright::sim::study::Study;
use pacewright::sim::sweep::{Axis, points};
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
    let [one, two] = medians(|threads| assert_eq!(run(&ordinary, selections, threads), counts));
    for (threads, seconds) in [(1, one), (2, two)] {
        let rate = selections as f64 / seconds / 1e6;
        println!("{threads} thread(s): {rate:.3} million selections a second, median of five runs");
    }
    println!("two threads {:.2} times one", one / two);
    sweep(number("SIMULATION_SWEEP").unwrap_or(100_000));
}

/// Median seconds on one and on two threads of five runs each, in turn.
fn medians(run: impl Fn(usize)) -> [f64; 2] {
    let mut seconds = [Vec::new(), Vec::new()];
    for _ in 0..5 {
        for threads in [1, 2] {
            let began = Instant::now();
            run(threads);
            seconds[threads - 1].push(began.elapsed().as_secs_f64());
        }
    }
    seconds.map(|mut seconds| {
        seconds.sort_by(f64::total_cmp);
        seconds[2]
    })
}

fn sweep(selections: u64) {
    let points = points(&[Axis::parse("scan_interval=0.6:3.5:0.1").expect("an axis")]).expect("a sweep");
    let (traits, menu) = (pacewright::sim::traits::STEADY, menus::find("nine").expect("a shipped menu"));
    let study = Study { traits, menu, undo: false, seed: 1, blocks: Blocks::whole(selections) };
    let all = |threads| {
        let at = |point| study.at(point, threads, &AtomicBool::new(false)).counts;
        points.iter().map(at).fold(Counts::default(), |sum, counts| sum.plus(&counts))
    };
    let counts = all(1);
    let [one, two] = medians(|threads| assert_eq!(all(threads), counts));
    println!("sweep of {} points, {} selections in all: {:?}", points.len(), counts.selections, counts);
    println!("{one:.2} s on one thread, {two:.2} s on two: {:.2} times; medians of five runs", one / two);
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
    let run = |sum: &mut Counts, block: u64, count: u64| *sum = sum.plus(&yardstick.run(block as u32, count));
    Blocks::whole(selections).run(threads, &stop, run, |sum, part| *sum = sum.plus(&part))
}

/// What each part adds up to.
struct Parts(Vec<Counts>);

impl Default for Parts {
    fn default() -> Parts {
        Parts(vec![Counts::default(); PARTS])
    }
}

/// A study on two threads, held against the exact solution. Each part takes every so manieth block.
fn study(yardstick: &Yardstick, selections: u64) -> Vec<Deviation> {
    let add = |part: &mut Counts, more: &Counts| *part = part.plus(more);
    let run = |Parts(parts): &mut Parts, block: u64, count: u64| {
        add(&mut parts[block as usize % PARTS], &yardstick.run(block as u32, count));
    };
    let together = |Parts(sum): &mut Parts, Parts(more): Parts| sum.iter_mut().zip(&more).for_each(|(a, b)| add(a, b));
    let Parts(parts) = Blocks::whole(selections).run(2, &AtomicBool::new(false), run, together);
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
