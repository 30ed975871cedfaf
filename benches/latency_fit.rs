//! How fast an ex-Gaussian is fitted, on easy and on hard data, and how good the fit is.
//!
//! Prints the number of values, the median time of a fit, the processor time of one and its log-likelihood. With file names as arguments it
//! does so for the values in these files, one a line: `tests/reference/latency_speed.py` compares with scipy so.

use std::hint::black_box;
use std::time::{Duration, Instant};

use pacewright::rng::Stream;
use pacewright::stats::latency::{ExGaussian, Observations};

/// Measured for at least this long.
const LONG_ENOUGH: Duration = Duration::from_millis(400);

fn main() {
    let files: Vec<String> = std::env::args().skip(1).filter(|argument| argument != "--bench").collect();
    for file in &files {
        let text = std::fs::read_to_string(file).expect("a file of latencies");
        measure(file, &text.lines().map(|line| line.parse().expect("a number")).collect::<Vec<f64>>());
    }
    if files.is_empty() {
        drawn();
    }
}

fn drawn() {
    let easy = ExGaussian { mu: 0.45, sigma: 0.08, tau: 0.15 };
    let hard = ExGaussian { mu: 0.45, sigma: 0.10, tau: 0.03 };
    for (name, truth) in [("easy", easy), ("hard", hard)] {
        for count in [50, 200, 1_000, 100_000] {
            let mut stream = Stream::named(1, name);
            measure(name, &(0..count).map(|_| truth.draw(&mut stream)).collect::<Vec<f64>>());
        }
    }
}

fn measure(name: &str, values: &[f64]) {
    let count = values.len();
    let observations = Observations { seen: values, ..Observations::default() };
    let fit = ExGaussian::fit(&observations).expect("the draws bear a fit");
    let (begin, mut times, before) = (Instant::now(), Vec::new(), processor_us());
    while begin.elapsed() < LONG_ENOUGH || times.len() < 5 {
        let start = Instant::now();
        let _ = black_box(ExGaussian::fit(black_box(&observations)));
        times.push(start.elapsed());
    }
    let spent = before.zip(processor_us()).map(|(before, after)| (after - before) / times.len() as f64);
    times.sort_unstable();
    let median = times[times.len() / 2].as_secs_f64() * 1e6;
    println!(
        "{name} n {count:>6}  median {median:>10.1} µs  processor {:>10.1} µs  log-likelihood {:.6}",
        spent.unwrap_or(median),
        fit.log_likelihood
    );
}

/// Processor time so far of this thread, where the system tells it: on a busy machine the time that passes says little.
fn processor_us() -> Option<f64> {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(told.split_whitespace().next()?.parse::<f64>().ok()? / 1e3)
}
