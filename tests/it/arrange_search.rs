//! The search for the best arrangement of a menu: worked examples, the optimal assignment of another
//! library, and every arrangement of small menus.

use pacewright::advice::by_traits::ByTraits;
use pacewright::advice::expected_time::Presses;
use pacewright::arrange::judge::Judge;
use pacewright::arrange::parts::{Kind, Part, Stock, items};
use pacewright::arrange::search::{Bests, GROUP_ITEM};
use pacewright::menu::{self, Menu};
use pacewright::settings::{Id, Settings};
use pacewright::sim::profile::shipped;

/// The household menu of the worked example: eight items by use.
const HOUSEHOLD: [f64; 8] = [28.0, 22.0, 14.0, 12.0, 10.0, 7.0, 4.0, 3.0];

/// Items of these uses in a list; `asks` and `stays` say which are asked about, and placed by risk.
fn menu(weights: &[f64], asks: &[usize], stays: &[usize]) -> Menu {
    let item = |(number, weight): (usize, &f64)| {
        let (asks, stays) = (asks.contains(&number), stays.contains(&number));
        format!(
            r#"{{"id":"i{number}","label":"Item {number}","icon":"lamp","weight":{weight},"needs_confirming":{asks},"placed_by_risk":{stays}}}"#
        )
    };
    let entries: Vec<String> = weights.iter().enumerate().map(item).collect();
    let text = format!(r#"{{"format":"pacewright menu","version":1,"name":"n","entries":[{}]}}"#, entries.join(","));
    let (menu, problems) = menu::file::read("menu", text);
    menu.unwrap_or_else(|| panic!("{problems:?}"))
}

/// Presses that always come in time, so long after the highlight.
#[derive(Clone, Copy)]
struct Sure(f64);

impl Presses for Sure {
    fn within(&self, seconds: f64) -> f64 {
        f64::from(u8::from(seconds > 0.0))
    }

    fn mean(&self) -> f64 {
        self.0
    }

    fn lapses(&self) -> f64 {
        0.0
    }
}

/// An item a second; the first of each group lit no longer than others, or by this time.
fn plain(first_us: i64) -> Settings {
    let changes = [(Id::ScanInterval, 1_000_000), (Id::FirstAfterStart, first_us), (Id::FirstInGroup, first_us)];
    let settings = changes.into_iter().fold(Settings::default(), |settings, (id, raw)| settings.with(id, raw));
    // No ways back.
    settings.with(Id::Exit, 2).with(Id::Pattern, 1)
}

/// The judge of a menu whose risky items stay, and its parts.
fn judge<'a, P: Presses>(menu: &'a Menu, settings: &Settings, presses: P) -> (Judge<'a, P>, Vec<Part>) {
    let (stock, parts) = Stock::of(menu, |_| false);
    let risky: Vec<bool> = stock.items.iter().map(|item| item.placed_by_risk).collect();
    (Judge::new(menu, stock, settings, presses, |item| risky[usize::from(item)]), parts)
}

fn bests<P: Presses + Clone + Sync>(menu: &Menu, settings: &Settings, presses: P) -> Bests {
    let (judge, parts) = judge(menu, settings, presses);
    judge.bests(&parts)
}

fn fastest(bests: &Bests) -> f64 {
    bests.fastest.as_ref().unwrap().judged.takes.seconds
}

#[test]
fn the_worked_household_menu_comes_out() {
    // T = 1 s, press 0.65 s, no errors: the list by use takes 2.06 + 0.65 s, 3 × 3 takes 2.45 s; with 0.5 s more
    // for first entries 3.07 and 2.895 s. Steps of 3.06, 3.15 and 3.25 (2 × 4) follow by 2 × 0.65 less two. By hand.
    let menu = menu(&HOUSEHOLD, &[], &[]);
    for (first_us, list, grid) in [(0, 2.71, 2.45), (500_000, 3.07, 2.895)] {
        let found = bests(&menu, &plain(first_us), Sure(0.65));
        let seconds = |found: &Option<pacewright::arrange::order::Found>| found.as_ref().unwrap().judged.takes.seconds;
        assert!((seconds(&found.list) - list).abs() < 1e-9, "{}", seconds(&found.list));
        assert!(seconds(&found.grid) <= grid + 1e-9, "{}", seconds(&found.grid));
    }
}

#[test]
fn the_best_trees_are_those_of_the_worked_example() {
    // The least mean cost over all trees where the j-th entry costs j + κ steps: by exhaustive search elsewhere.
    for (kappa, steps) in [(0.0, 2.81), (1.0, 4.06), (2.0, 5.06), (-0.35, 2.264)] {
        let found = fastest(&bests(&menu(&HOUSEHOLD, &[], &[]), &plain(0), Sure(1.0 + kappa)));
        assert!((found - steps).abs() < 1e-9, "{kappa}: {found}");
    }
    for (kappa, steps) in [(0.0, 3.5), (1.0, 5.0), (2.0, 6.375)] {
        let found = fastest(&bests(&menu(&[1.0; 8], &[], &[]), &plain(0), Sure(1.0 + kappa)));
        assert!((found - steps).abs() < 1e-9, "equal uses, {kappa}: {found}");
    }
}

#[test]
fn which_pattern_wins_turns_on_the_errors() {
    // Late presses of a share q, each with one undo and one redo: the list and 3 × 3 are equally fast at
    // q = 0.04567 without first-item time and at 0.02769 with 0.5 s of it, where a wrong row costs as much as a
    // wrong item. A wrong row is cheaper on this menu, so the rows hold out longer, but not for ever.
    #[derive(Clone, Copy)]
    struct Late(f64);
    impl Presses for Late {
        fn within(&self, seconds: f64) -> f64 {
            if seconds > 1.9 { 1.0 } else { f64::from(u8::from(seconds > 0.0)) * (1.0 - self.0) }
        }
        fn mean(&self) -> f64 {
            0.65
        }
        fn lapses(&self) -> f64 {
            0.0
        }
    }
    let menu = menu(&HOUSEHOLD, &[], &[]);
    let ahead = |late: f64| {
        let found = bests(&menu, &plain(0), Late(late));
        found.list.unwrap().judged.takes.seconds - found.grid.unwrap().judged.takes.seconds
    };
    assert!(ahead(0.0) > 0.2 && ahead(0.02) > 0.0 && ahead(0.2) < 0.0, "{} {} {}", ahead(0.0), ahead(0.02), ahead(0.2));
}

#[test]
fn orders_are_as_good_as_the_optimal_assignment() {
    // scipy 1.17.1, linear_sum_assignment: tests/reference/arrange.py.
    for (side, questions, wanted) in [
        (3_usize, vec![], 3.041_787_066_909_804_6),
        (6, vec![], 4.745_298_901_367_779),
        (6, vec![9, 19, 29, 35], 4.919_825_454_765_524),
    ] {
        let count = side * side;
        let weights: Vec<f64> = (0..count).map(|k| 30.0 / ((k * 23) % count + 1) as f64).collect();
        let menu = menu(&weights, &questions, &[]);
        let changes = [(Id::ScanInterval, 1_200_000), (Id::FirstAfterStart, 400_000), (Id::FirstInGroup, 400_000)];
        let settings = changes.into_iter().fold(plain(0), |settings, (id, raw)| settings.with(id, raw));
        // The pattern of rows is as wide as it is high for these; the question has its way back whatever is set.
        let settings = settings.with(Id::Pattern, 2);
        let found = bests(&menu, &settings, Sure(0.65)).reordered.unwrap().judged.takes.seconds;
        assert!((found - wanted).abs() < 1e-9, "{side} {}: {found} {wanted}", questions.len());
    }
}

/// Every way to group `parts` without changing their order, but for one group around everything.
fn groupings(parts: &[Part]) -> Vec<Vec<Part>> {
    let mut found = Vec::new();
    for first in 1..parts.len() {
        let (head, tail) = parts.split_at(first);
        for head in alone(head) {
            found.extend(lists(tail).into_iter().map(|tail| [vec![head.clone()], tail].concat()));
        }
    }
    found
}

/// `parts` as one entry: an item, or every group of them.
fn alone(parts: &[Part]) -> Vec<Part> {
    match parts {
        [one] => vec![one.clone()],
        more => groupings(more).into_iter().map(|inside| Part::Group(Kind::Row, inside)).collect(),
    }
}

/// `parts` as one entry or more.
fn lists(parts: &[Part]) -> Vec<Vec<Part>> {
    alone(parts).into_iter().map(|one| vec![one]).chain(groupings(parts)).collect()
}

/// Every order of the numbers below `count`.
fn orders(count: u16) -> Vec<Vec<u16>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let put = |order: Vec<u16>| (0..=order.len()).map(move |at| [&order[..at], &[count - 1], &order[at..]].concat());
    orders(count - 1).into_iter().flat_map(put).collect()
}

fn settings(interval_us: i64) -> Settings {
    Settings::default().with(Id::ScanInterval, interval_us).with(Id::Pattern, 1)
}

#[test]
fn nothing_better_is_found_by_trying_every_tree_of_six() {
    // 197 trees (little Schröder numbers), each in its best order; the order is proved below.
    assert_eq!(groupings(&(0..6).map(Part::Item).collect::<Vec<_>>()).len(), 197);
    for (client, interval) in
        [("steady", 1_200_000), ("steady", 2_000_000), ("hasty", 1_500_000), ("lapsing", 1_800_000)]
    {
        let traits = shipped::find(client).unwrap().traits;
        for weights in [&[9.0, 5.0, 3.0, 2.0, 1.0, 1.0], &[1.0; 6], &[40.0, 1.0, 1.0, 1.0, 1.0, 1.0]] {
            let (menu, settings) = (menu(weights, &[], &[]), settings(interval));
            let (judge, parts) = judge(&menu, &settings, ByTraits::new(&traits, &settings));
            let all = groupings(&parts).into_iter().filter_map(|parts| judge.ordered(parts, GROUP_ITEM));
            let least = all.map(|found| found.judged.takes.seconds).fold(f64::INFINITY, f64::min);
            let found = fastest(&judge.bests(&parts));
            assert!(found <= least * (1.0 + 1e-9), "{client} {interval} {weights:?}: {found} {least}");
        }
    }
}

#[test]
fn nothing_better_is_found_by_trying_every_order_of_every_tree_of_five() {
    // 45 trees in 120 orders, with an item that is asked about and one that keeps its place.
    let traits = shipped::find("steady").unwrap().traits;
    for (asks, stays) in [(vec![], vec![]), (vec![1], vec![]), (vec![0, 3], vec![2]), (vec![2], vec![0])] {
        let (menu, settings) = (menu(&[2.0, 7.0, 1.0, 4.0, 9.0], &asks, &stays), settings(1_400_000));
        let (judge, parts) = judge(&menu, &settings, ByTraits::new(&traits, &settings));
        let all =
            orders(5).into_iter().flat_map(|order| groupings(&order.into_iter().map(Part::Item).collect::<Vec<_>>()));
        let all: Vec<Vec<Part>> = all.collect();
        assert_eq!(all.len(), 5_400);
        let judged = all.iter().filter_map(|parts| judge.judge(parts, GROUP_ITEM));
        let least = judged.map(|judged| judged.takes.seconds).fold(f64::INFINITY, f64::min);
        let found = fastest(&judge.bests(&parts));
        assert!(found <= least * (1.0 + 1e-9), "{asks:?} {stays:?}: {found} {least}");
    }
}

#[test]
fn what_is_placed_by_risk_stays_and_nothing_is_lost() {
    let traits = shipped::find("steady").unwrap().traits;
    let menu = menu(&[1.0, 3.0, 9.0, 2.0, 5.0, 1.0, 7.0, 4.0, 6.0, 2.0, 8.0, 3.0], &[4], &[0, 7]);
    for pattern in [0, 1, 2, 4] {
        let settings = settings(1_500_000).with(Id::Pattern, pattern);
        let (judge, parts) = judge(&menu, &settings, ByTraits::new(&traits, &settings));
        let bests = judge.bests(&parts);
        for (which, found) in pacewright::arrange::proposal::compared(&bests) {
            let mut all = items(&found.parts);
            all.sort_unstable();
            assert_eq!(all, (0..12).collect::<Vec<_>>(), "{which:?}");
        }
        // The judge refuses an arrangement in which a kept item has another place: it was asked for each.
        let again = judge.judge(&bests.fastest.as_ref().unwrap().parts, GROUP_ITEM).unwrap();
        assert!((again.takes.seconds - fastest(&bests)).abs() < 1e-9);
    }
}
