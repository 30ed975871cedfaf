//! Tests of counted selections.

use super::super::exact::{Reaction, RowColumn};
use super::super::reactor::Reactor;
use super::*;
use crate::engine::tree::ScanTree;
use crate::settings::{Settings, find, parse_value};
use crate::time::Span;

/// The menu of the exact model.
fn plan(rows: u16, columns: u16, interval: &str, first: &str) -> Plan {
    let changes = [
        ("scan_interval", interval),
        ("first_after_start", first),
        ("first_in_group", first),
        ("first_item_on", "every-pass"),
        ("pause_after_selection", "0"),
        ("loops_top", "no limit"),
        ("loops_inside", "1"),
        ("debounce", "0"),
        ("lockout", "0"),
    ];
    let settings = changes.iter().fold(Settings::default(), |settings, (name, value)| {
        let id = find(name).expect("a setting");
        settings.with(id, parse_value(id, value).expect("a value"))
    });
    let tree = Arc::new(ScanTree::row_column(rows, columns));
    let weights = vec![1.0; usize::from(rows * columns)];
    Plan::new(tree, settings, &weights, false, false, Span::from_ms(3_600_000)).unwrap()
}

#[test]
fn many_selections_agree_with_the_exact_solution() {
    let reaction = Reaction { mu: 0.45, sigma: 0.08, tau: 0.15 };
    let model = RowColumn { rows: 4, columns: 5, interval: 0.9, first: 0.3, reaction, omission: 0.05, accidents: 0.02 };
    let exact = model.solve().unwrap();
    let plan = plan(4, 5, "0.9", "0.3");
    let reactor = Reactor::new(reaction, 0.05, 0.02, Stream::named(1, "reactor"));
    let counts = Selecting::new(&plan, reactor).run(40_000, &mut Stream::named(1, "targets"), |_| ());
    let off = (counts.seconds() - exact.seconds) / counts.seconds_error();
    assert!(off.abs() < 4.0, "{off} standard errors");
    let near = |found: u64, wanted: f64| {
        let found = counts.each(found);
        assert!((found - wanted).abs() < 0.03 * wanted + 1e-3, "{found} is not {wanted}");
    };
    near(counts.hits, exact.hits);
    near(counts.wrong_items, exact.errors);
    near(counts.wrong_groups, exact.wrong_rows);
    near(counts.left_groups, exact.abandons);
    near(counts.passes, exact.passes);
}

#[test]
fn one_who_never_presses_is_given_up() {
    let plan = plan(2, 2, "1", "0");
    let reactor = Reactor::new(Reaction { mu: 0.4, sigma: 0.0, tau: 0.0 }, 1.0, 0.0, Stream::named(1, "reactor"));
    let counts = Selecting::new(&plan, reactor).run(3, &mut Stream::named(1, "targets"), |_| ());
    assert_eq!((counts.selections, counts.given_up, counts.hits), (0, 3, 0));
}

#[test]
fn weights_that_make_no_sense_make_no_plan() {
    let make = |weights: &[f64]| {
        let tree = Arc::new(ScanTree::linear(3));
        Plan::new(tree, Settings::default(), weights, false, false, Span::from_ms(1)).is_some()
    };
    assert!(make(&[1.0, 0.0, 2.0]));
    assert!(!make(&[0.0; 3]) && !make(&[1.0, -1.0]) && !make(&[f64::NAN]) && !make(&[1.0; 4]) && !make(&[]));
}
