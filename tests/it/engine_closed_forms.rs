//! The engine against the closed forms of scanning and their worked examples.
//!
//! The forms are those of the rate-prediction models begun by Rosen and Goodenough-Trepagnier (1981)
//! and extended to scanning by Damper (1984, Applied Ergonomics, doi 10.1016/0003-6870(84)90201-1):
//! time is the sum over levels of `(k − 1)·T + D·[k > 1] + ρ`, with `k` the place of the entry, `T` the
//! scan interval, `D` the first-item time and `ρ` the latency of the press. One step is one highlight
//! shown, as in MacKenzie (2012, LNCS 7383:423–430). The numbers are computed from these forms.

use std::sync::Arc;

use pacewright::engine::Engine;
use pacewright::engine::effect::{Effect, Input, Lit, Switch};
use pacewright::engine::tree::{Entry, EntryIx, GroupIx, ItemIx, ScanGroup, ScanTree};
use pacewright::rng::Stream;
use pacewright::time::{Moment, Span};

use crate::engine_rig::with;

/// What it took to take an item.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Taken {
    seconds: f64,
    steps: u64,
    presses: u64,
}

/// A client who presses `latency` after each entry on the way lights, but lets it pass `omitted` times.
fn take(tree: &Arc<ScanTree>, settings: &str, item: u16, latency: Span, omitted: u32) -> Taken {
    let path = tree.path(ItemIx(item)).expect("an item of the tree");
    let mut engine = Engine::new(tree.clone(), &with(settings));
    engine.assume_shown(true);
    let (mut steps, mut presses, mut left_out) = (0, 0, 0);
    let mut effects = Vec::new();
    engine.input(Moment::START, Input::Start, &mut effects);
    loop {
        let mut aim = None;
        for (at, effect) in effects.drain(..) {
            match effect {
                Effect::Highlight { lit: Lit::Entry { group, entry, .. }, .. } => {
                    steps += 1;
                    aim = path.contains(&(group, entry)).then_some(at + latency);
                }
                Effect::Taken { item: taken, .. } => {
                    assert_eq!(taken, ItemIx(item));
                    // What the restart lights in the same instant is no step on the way.
                    return Taken { seconds: at.0 as f64 / 1e6, steps, presses };
                }
                _ => {}
            }
        }
        match aim {
            Some(_) if left_out < omitted => left_out += 1,
            Some(at) => {
                engine.input(at, Input::Edge { switch: Switch(0), down: true }, &mut effects);
                engine.input(at, Input::Edge { switch: Switch(0), down: false }, &mut effects);
                presses += 1;
                continue;
            }
            None => {}
        }
        engine.advance(engine.deadline().expect("the scan goes on"), &mut effects);
    }
}

fn all(tree: ScanTree, settings: &str, latency: Span) -> Vec<Taken> {
    let tree = Arc::new(tree);
    let is_item = |entry: &&Entry| matches!(entry, Entry::Item(_));
    let count = tree.groups.iter().flat_map(|group| &group.entries).filter(is_item).count() as u16;
    (0..count).map(|item| take(&tree, settings, item, latency, 0)).collect()
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len() as f64;
    values.sum::<f64>() / count
}

/// Groups of groups, `sizes` entries on each level.
fn nested(sizes: &[u16]) -> ScanTree {
    let mut groups = Vec::new();
    let mut items = 0;
    grow(None, sizes, &mut groups, &mut items);
    ScanTree { groups }
}

fn grow(parent: Option<GroupIx>, sizes: &[u16], groups: &mut Vec<ScanGroup>, items: &mut u16) -> GroupIx {
    let here = GroupIx(groups.len() as u16);
    groups.push(ScanGroup { parent, entries: Vec::new() });
    for _ in 0..sizes[0] {
        let entry = if sizes.len() == 1 {
            *items += 1;
            Entry::Item(ItemIx(*items - 1))
        } else {
            Entry::Group(grow(Some(here), &sizes[1..], groups, items))
        };
        groups[usize::from(here.0)].entries.push(entry);
    }
    here
}

fn close(left: f64, right: f64, within: f64) {
    assert!((left - right).abs() < within, "{left} is not {right}");
}

#[test]
fn third_item_of_a_linear_scan() {
    // Computed: 2 · 1.2 + 0.6 + 0.78 s, one press.
    let settings = "scan_interval 1.2, first_after_start 0.6, first_in_group 0.6";
    let taken = take(&ScanTree::linear(5).into(), settings, 2, Span::from_ms(780), 0);
    assert_eq!(taken, Taken { seconds: 3.78, steps: 3, presses: 1 });
}

#[test]
fn row_2_column_3_of_a_row_column_scan() {
    // Computed: (1.2 + 0.6 + 0.78) + (2.4 + 0.6 + 0.78) s, two presses.
    let settings = "scan_interval 1.2, first_after_start 0.6, first_in_group 0.6";
    let taken = take(&ScanTree::row_column(3, 4).into(), settings, 4 + 2, Span::from_ms(780), 0);
    assert_eq!(taken, Taken { seconds: 6.36, steps: 5, presses: 2 });
}

#[test]
fn mean_time_of_12_items() {
    // Computed: T = 1, D = 0.5, ρ = 0.65 s.
    let settings = "scan_interval 1, first_after_start 0.5, first_in_group 0.5";
    let seconds = |tree| mean(all(tree, settings, Span::from_ms(650)).iter().map(|taken| taken.seconds));
    close(seconds(ScanTree::linear(12)), 6.608_333, 1e-6);
    close(seconds(ScanTree::row_column(3, 4)), 4.508_333, 1e-6);
}

#[test]
fn expected_steps_under_uniform_use() {
    // Computed: linear (N + 1)/2, rows and columns (R + C + 2)/2, l equal levels l·(N^(1/l) + 1)/2.
    let table: [(&[u16], f64); 18] = [
        (&[8], 4.5),
        (&[2, 4], 4.0),
        (&[2, 2, 2], 4.5),
        (&[9], 5.0),
        (&[3, 3], 4.0),
        (&[12], 6.5),
        (&[3, 4], 4.5),
        (&[4, 3], 4.5),
        (&[16], 8.5),
        (&[4, 4], 5.0),
        (&[2, 2, 2, 2], 6.0),
        (&[36], 18.5),
        (&[6, 6], 7.0),
        (&[64], 32.5),
        (&[8, 8], 9.0),
        (&[4, 4, 4], 7.5),
        (&[2, 2, 2, 2, 2, 2], 9.0),
        (&[4, 2], 4.0),
    ];
    for (sizes, steps) in table {
        let taken = all(nested(sizes), "", Span::from_ms(400));
        close(mean(taken.iter().map(|taken| taken.steps as f64)), steps, 1e-9);
        assert!(taken.iter().all(|taken| taken.presses == sizes.len() as u64), "one press a level");
    }
}

#[test]
fn time_in_step_scanning_is_that_of_the_presses() {
    // Position k costs k − 1 steps and one press that takes.
    let mut engine = Engine::new(Arc::new(ScanTree::linear(6)), &with("technique step"));
    engine.assume_shown(true);
    let mut effects = Vec::new();
    engine.input(Moment::START, Input::Start, &mut effects);
    for press in 1..=4_u64 {
        let switch = Switch(u8::from(press == 4));
        for down in [true, false] {
            engine.input(Moment(press * 700_000), Input::Edge { switch, down }, &mut effects);
        }
    }
    let taken = effects.iter().find_map(|(at, effect)| match effect {
        Effect::Taken { entry, .. } => Some((*at, *entry)),
        _ => None,
    });
    assert_eq!(taken, Some((Moment(2_800_000), EntryIx(3))));
}

const OMITTING: &str = "scan_interval 1.2";
const OMISSION: f64 = 0.1;
/// Computed: `(k − 1)·T + ρ + N·T·q/(1 − q)` with N = 8, k = 3, T = 1.2 s, ρ = 0.78 s, q = 0.1.
const WITH_OMISSIONS: f64 = 2.4 + 0.78 + 8.0 * 1.2 * 0.1 / 0.9;

#[test]
fn omissions_cost_a_pass_each() {
    close(WITH_OMISSIONS, 4.246_67, 1e-5);
    let tree = Arc::new(ScanTree::linear(8));
    let term = |omitted: u32| {
        let share = (1.0 - OMISSION) * OMISSION.powi(omitted as i32);
        share * take(&tree, OMITTING, 2, Span::from_ms(780), omitted).seconds
    };
    close((0..16).map(term).sum(), WITH_OMISSIONS, 1e-9);
}

#[test]
fn a_virtual_client_who_omits_takes_as_long_as_computed() {
    let mut draws = Stream::named(1, "omissions");
    let tree = Arc::new(ScanTree::linear(8));
    let count = 4_000;
    let times: Vec<f64> = (0..count)
        .map(|_| {
            let omitted = std::iter::repeat_with(|| draws.unit()).take_while(|unit| *unit < OMISSION).count();
            take(&tree, OMITTING, 2, Span::from_ms(780), omitted as u32).seconds
        })
        .collect();
    let average = mean(times.iter().copied());
    let variance = times.iter().map(|time| (time - average).powi(2)).sum::<f64>() / f64::from(count - 1);
    close(average, WITH_OMISSIONS, 4.0 * (variance / f64::from(count)).sqrt());
}

/// When a press in row 3 of a 4×4 scan, just after it lit, has been waited out and the rows begin again.
fn back_from_a_wrong_row(press: Moment) -> Moment {
    let mut engine = Engine::new(Arc::new(ScanTree::row_column(4, 4)), &with("loops_inside 2"));
    engine.assume_shown(true);
    let mut effects = Vec::new();
    engine.input(Moment::START, Input::Start, &mut effects);
    for down in [true, false] {
        engine.input(press, Input::Edge { switch: Switch(0), down }, &mut effects);
    }
    engine.advance(Moment(60_000_000), &mut effects);
    let left = effects.iter().find(|(_, effect)| matches!(effect, Effect::Left { .. }));
    left.expect("the loops run out").0
}

#[test]
fn wrong_rows_and_omissions_cost_what_the_form_says() {
    // Computed, for R = C = 4, r = 2, c = 3, T = 1, ρ = 0.65, a press ε = 0.1 s late, L = 2 loops; in a
    // pass over the rows the right one is hit with h, the next one with w, none with q:
    //   E_C = (c − 1)·T + ρ + C·T·q_c/(1 − q_c) = 2.860_526 s
    //   E_R = E_C + (h·((r − 1)·T + ρ) + w·(r·T + ε + L·C·T) + q·R·T)/h = 5.361_637 s
    let (h, w, q, omitted_column) = (0.90, 0.06, 0.04, 0.05_f64);
    let (grid, item, latency) = (Arc::new(ScanTree::row_column(4, 4)), 4 + 2, Span::from_ms(650));
    let right_away = take(&grid, "", item, latency, 0).seconds;
    let row_hit = 1.0 + 0.65;
    // A row of columns is a linear scan whose client omits with q_c.
    let row = Arc::new(ScanTree::linear(4));
    let term = |omitted: u32| omitted_column.powi(omitted as i32) * take(&row, "", 2, latency, omitted).seconds;
    let column = (1.0 - omitted_column) * (0..14).map(term).sum::<f64>();
    close(column, 2.860_526, 1e-6);
    close(right_away, row_hit + take(&row, "", 2, latency, 0).seconds, 1e-9);
    let wrong_row = back_from_a_wrong_row(Moment(2_100_000)).0 as f64 / 1e6;
    let lost_pass = take(&grid, "", item, latency, 1).seconds - right_away;
    close(column + (h * row_hit + w * wrong_row + q * lost_pass) / h, 5.361_637, 1e-6);
}
