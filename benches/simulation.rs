//! Selections a second through the real engine, counted, for a client at a 6×6 row-column scan whose
//! exact solution is known.
//!
//! `SIMULATION_SELECTIONS` sets how many (default 2 million). Printed: what was counted, how far it lies
//! from the exact solution in standard errors, and the median rate of five runs on one and on two
//! threads.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use pacewright::engine::tree::ScanTree;
use pacewright::rng::Stream;
use pacewright::settings::{self, Settings};
use pacewright::sim::blocks::Blocks;
use pacewright::sim::counts::Counts;
use pacewright::sim::exact::{Reaction, RowColumn};
use pacewright::sim::reactor::Reactor;
use pacewright::sim::selecting::{Plan, Selecting};
use pacewright::time::Span;

const MODEL: RowColumn = RowColumn {
    rows: 6,
    columns: 6,
    interval: 1.0,
    first: 0.5,
    reaction: Reaction { mu: 0.45, sigma: 0.08, tau: 0.15 },
    omission: 0.03,
    accidents: 0.005,
};

fn main() {
    let selections = std::env::var("SIMULATION_SELECTIONS").ok().and_then(|text| text.parse().ok());
    let selections = selections.unwrap_or(2_000_000);
    let plan = plan();
    let counts = run(&plan, selections, 2);
    compare(&counts);
    for threads in [1, 2] {
        let mut rates: Vec<f64> = (0..5)
            .map(|_| {
                let began = Instant::now();
                assert_eq!(run(&plan, selections, threads), counts);
                selections as f64 / began.elapsed().as_secs_f64()
            })
            .collect();
        rates.sort_by(f64::total_cmp);
        println!("{threads} thread(s): {:.3} million selections a second, median of five runs", rates[2] / 1e6);
    }
}

fn run(plan: &Plan, selections: u64, threads: usize) -> Counts {
    Blocks::whole(selections).run(threads, &AtomicBool::new(false), |block, count| {
        let stream = |name: &str| Stream::named(block, name);
        let reactor = Reactor::new(MODEL.reaction, MODEL.omission, MODEL.accidents, stream("reactor"));
        Selecting::new(plan, reactor, stream("targets")).run(count)
    })
}

fn compare(counts: &Counts) {
    let exact = MODEL.solve().expect("a client who gets there");
    let off = (counts.seconds() - exact.seconds) / counts.seconds_error();
    println!("{} selections, {off:+.2} standard errors from the exact time", counts.selections);
    println!("                   counted       exact");
    for (name, counted, exact) in [
        ("seconds", counts.seconds(), exact.seconds),
        ("error rate", counts.error_rate(), exact.error_rate()),
        ("hits", counts.each(counts.hits), exact.hits),
        ("wrong rows", counts.each(counts.wrong_groups), exact.wrong_rows),
        ("rows left", counts.each(counts.left_groups), exact.abandons),
        ("passes", counts.each(counts.passes), exact.passes),
    ] {
        println!("{name:>12} {counted:>13.6} {exact:>11.6}");
    }
}

fn plan() -> Plan {
    let changes = [
        ("scan_interval", "1"),
        ("first_after_start", "0.5"),
        ("first_in_group", "0.5"),
        ("first_item_on", "every-pass"),
        ("pause_after_selection", "0"),
        ("loops_top", "no limit"),
        ("loops_inside", "1"),
        ("debounce", "0"),
        ("lockout", "0"),
    ];
    let settings = changes.iter().fold(Settings::default(), |settings, (name, value)| {
        let id = settings::find(name).expect("a setting");
        settings.with(id, settings::parse_value(id, value).expect("a value"))
    });
    let tree = Arc::new(ScanTree::row_column(6, 6));
    Plan::new(tree, settings, &[1.0; 36], false, false, Span::from_ms(3_600_000)).expect("a plan")
}
