//! How long it takes to arrange invented menus of 9, 36 and 64 items for a virtual client, and what comes
//! of it: the median of several runs, and times and entries that the work cannot be left out for.
//!
//! `ARRANGE_RUNS` sets how many runs (default 11).

use std::time::Instant;

use pacewright::advice::by_traits::ByTraits;
use pacewright::arrange::judge::Judge;
use pacewright::arrange::parts::Stock;
use pacewright::arrange::{Arranged, arrange};
use pacewright::menu::{self, Menu};
use pacewright::settings::Settings;
use pacewright::sim::traits::STEADY;

fn main() {
    let runs = std::env::var("ARRANGE_RUNS").ok().and_then(|runs| runs.parse().ok()).unwrap_or(11_usize).max(1);
    for (items, dissolve) in [(9, false), (36, false), (64, false), (64, true)] {
        let menu = invented(items);
        let mut times = Vec::new();
        let mut found = None;
        for _ in 0..runs {
            let began = Instant::now();
            found = Some(arranged(&menu, dissolve));
            times.push(began.elapsed().as_secs_f64() * 1e3);
        }
        times.sort_by(f64::total_cmp);
        let (found, kind) = (found.expect("a run"), if dissolve { ", all pages dissolved" } else { "" });
        let seconds = |takes: Option<f64>| takes.map_or("none".into(), |seconds| format!("{seconds:.6} s"));
        println!("{items} items{kind}: {:.1} ms, median of {runs} runs", times[runs / 2]);
        println!(
            "   today {}, fastest {}, {} items moved",
            seconds(Some(found.today.takes.seconds)),
            seconds(found.bests.fastest.as_ref().map(|best| best.judged.takes.seconds)),
            found.proposed.as_ref().map_or(0, |proposed| proposed.moved),
        );
    }
}

fn arranged(menu: &Menu, dissolve: bool) -> Arranged {
    let settings = Settings::default();
    let (stock, parts) = Stock::of(menu, |_| dissolve);
    let first = stock.items[0].placed_by_risk;
    let presses = ByTraits::new(&STEADY, &settings);
    let judge = Judge::new(menu, stock, &settings, presses, |item| first && item == 0);
    arrange(&judge, menu, &parts, None).expect("a menu that can be worked")
}

/// An alarm call that keeps its place and items of falling use, scattered; a tenth of them ask a question. More
/// than 36 stand on pages of nine.
fn invented(items: usize) -> Menu {
    let item = |number: usize| {
        let weight = 30.0 / f64::from(((number * 23) % items + 1) as u32);
        let flag = match number {
            0 => r#","placed_by_risk":true"#,
            number if number % 10 == 9 => r#","needs_confirming":true"#,
            _ => "",
        };
        format!(r#"{{"id":"i{number}","label":"Item {number}","icon":"lamp","weight":{weight}{flag}}}"#)
    };
    let all: Vec<String> = (0..items).map(item).collect();
    let entries = if items <= 36 { all } else { paged(&all) };
    let text =
        format!(r#"{{"format":"pacewright menu","version":1,"name":"Invented","entries":[{}]}}"#, entries.join(","));
    menu::file::read("invented", text).0.expect("a valid menu")
}

fn paged(items: &[String]) -> Vec<String> {
    let page = |(number, items): (usize, &[String])| {
        let entries = items.join(",");
        format!(r#"{{"id":"p{number}","label":"Page {number}","icon":"home","page":true,"entries":[{entries}]}}"#)
    };
    items[..1].iter().cloned().chain(items[1..].chunks(9).enumerate().map(page)).collect()
}
