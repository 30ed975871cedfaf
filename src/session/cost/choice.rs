//! Presses and seconds of one choice: levels, pages and the way to an item.

use super::{LATENCY_SHARE, QUESTION_INTERVAL, QUESTION_LEAD, TILES};
use crate::engine::pattern::{LINEAR_UP_TO, near_square};
use crate::menu::{Group, Item, Menu, Node};
use crate::settings::{ExitPlace, PatternChoice, Settings, Technique};

/// Presses and seconds of one thing that the client does.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Effort {
    pub(super) presses: f64,
    pub(super) seconds: f64,
}

impl std::ops::Add for Effort {
    type Output = Effort;
    fn add(self, other: Effort) -> Effort {
        Effort { presses: self.presses + other.presses, seconds: self.seconds + other.seconds }
    }
}

impl Effort {
    pub(super) fn times(self, factor: f64) -> Effort {
        Effort { presses: self.presses * factor, seconds: self.seconds * factor }
    }

    pub(super) fn wait(seconds: f64) -> Effort {
        Effort { presses: 0.0, seconds }
    }
}

/// Rest or carry on, answered with carrying on.
pub(super) fn question(settings: &Settings) -> Effort {
    let interval = QUESTION_INTERVAL.max(2.0 * settings.scan_interval().as_seconds());
    let lead = QUESTION_LEAD.max(settings.cue_lead().as_seconds());
    Effort::wait(lead) + level_at(interval, 1, settings.first_after_start().as_seconds(), settings)
}

/// From an item's lighting to its press, in seconds.
fn latency(settings: &Settings) -> f64 {
    LATENCY_SHARE * settings.scan_interval().as_seconds()
}

/// One press.
pub(super) fn press(settings: &Settings) -> Effort {
    Effort { presses: 1.0, seconds: latency(settings) }
}

/// Reading the cue; in a trial the scan then starts by itself.
pub(super) fn cue(settings: &Settings) -> Effort {
    Effort::wait(settings.cue_lead().as_seconds())
}

/// The pause after a selection.
pub(super) fn pause(settings: &Settings) -> Effort {
    Effort::wait(settings.pause_after_selection().as_seconds())
}

/// Taken for bringing the pointer to a tile (common practice, no source).
const POINTING_SECONDS: f64 = 1.5;

/// Taking position `k` of one level.
fn level(k: usize, first_item: f64, settings: &Settings) -> Effort {
    level_at(settings.scan_interval().as_seconds(), k, first_item, settings)
}

fn level_at(interval: f64, k: usize, first_item: f64, settings: &Settings) -> Effort {
    let steps = k as f64;
    let scanned = steps * interval + if k > 0 { first_item } else { 0.0 };
    match settings.technique() {
        Technique::Automatic | Technique::Inverse => press(settings) + Effort::wait(scanned),
        Technique::Step => press(settings).times(steps + 1.0),
        Technique::StepAutoAccept => {
            press(settings).times(steps + 1.0) + Effort::wait(settings.auto_accept().as_seconds())
        }
        Technique::Dwell => Effort::wait(POINTING_SECONDS + settings.dwell().as_seconds()),
    }
}

/// The mean over all positions of a list of tiles.
pub(super) fn mean_of_level(tiles: u16, settings: &Settings) -> Effort {
    let tiles = if tiles == 0 { TILES } else { tiles };
    let all = (0..usize::from(tiles)).map(|k| level(k, settings.first_after_start().as_seconds(), settings));
    all.fold(Effort::default(), |sum, one| sum + one).times(1.0 / f64::from(tiles))
}

/// One target of the menu, with the expected tries.
pub(super) fn target(item: &Item, menu: &Menu, settings: &Settings) -> Effort {
    let positions = path(&menu.top, &item.id, settings, true).unwrap_or_default();
    let confirming = item.needs_confirming.then_some(1);
    let inside = settings.first_in_group().as_seconds();
    let mut first_item = settings.first_after_start().as_seconds();
    let mut choice = Effort::default();
    let mut levels = 0;
    for k in positions.into_iter().chain(confirming) {
        choice = choice + level(k, first_item, settings);
        first_item = inside;
        levels += 1;
    }
    let tries = 2.0 - (1.0 - settings.late_limit()).powi(levels);
    (cue(settings) + choice + pause(settings)).times(tries)
}

/// The position to take at each level on the way to an item; `None` where it is not in the group.
fn path(group: &Group, id: &str, settings: &Settings, top: bool) -> Option<Vec<usize>> {
    let entries = page_entries(group, settings.pattern_in_force() == PatternChoice::GroupItem);
    let exit = usize::from(!top && settings.exit() == ExitPlace::First);
    entries.iter().enumerate().find_map(|(place, entry)| {
        let below = match entry {
            Node::Item(item) => (item.id == id).then(Vec::new)?,
            Node::Group(inner) => path(inner, id, settings, false)?,
        };
        let mut positions = on_page(place, entries.len(), exit, settings);
        positions.extend(below);
        Some(positions)
    })
}

/// The positions that lead to place `place` of a page with `count` tiles.
fn on_page(place: usize, count: usize, exit: usize, settings: &Settings) -> Vec<usize> {
    let columns = near_square(count);
    let exit_of_row = usize::from(settings.exit() == ExitPlace::First);
    let (row, column) = (place / columns, place % columns);
    match settings.pattern_in_force() {
        PatternChoice::BySize if count > LINEAR_UP_TO => vec![row + exit, column + exit_of_row],
        PatternChoice::RowColumn => vec![row + exit, column + exit_of_row],
        PatternChoice::ColumnRow => vec![column + exit, row + exit_of_row],
        PatternChoice::BySize | PatternChoice::Linear | PatternChoice::GroupItem => vec![place + exit],
    }
}

/// The entries of a group's page: groups without a page of their own stay whole, or are taken apart.
fn page_entries<'a>(group: &'a Group, whole: bool) -> Vec<&'a Node> {
    let taken_apart = |node: &'a Node| match node {
        Node::Group(inner) if !inner.page && !whole => page_entries(inner, whole),
        other => vec![other],
    };
    group.entries.iter().flat_map(taken_apart).collect()
}

/// How many tiles stand on the page of a group.
pub(in crate::session) fn page_tiles(group: &Group) -> usize {
    page_entries(group, false).len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::menu::file;
    use crate::settings::Id;

    /// A page of so many items.
    fn page(count: usize) -> Menu {
        let item = |n: usize| format!(r#"{{"id":"i{n}","label":"A","icon":"bed"}}"#);
        let items = (0..count).map(item).collect::<Vec<_>>().join(",");
        let text = format!(r#"{{"format":"pacewright menu","version":1,"name":"n","entries":[{items}]}}"#);
        file::read("page", text).0.unwrap()
    }

    /// Interval and first-item times in microseconds; no cue, no pause, hardly a late press.
    fn bare(interval: i64, first_item: i64, pattern: &str) -> Settings {
        let quick = [Id::CueLead, Id::PauseAfterSelection].into_iter().fold(Settings::default(), |s, id| s.with(id, 0));
        let timed = quick.with(Id::ScanInterval, interval).with(Id::FirstAfterStart, first_item);
        let pattern = crate::settings::parse_value(Id::Pattern, pattern).unwrap();
        timed.with(Id::FirstInGroup, first_item).with(Id::Pattern, pattern)
    }

    /// Time of one choice without a second try.
    fn choice(menu: &Menu, id: &str, settings: &Settings) -> Effort {
        let levels = path(&menu.top, id, settings, true).unwrap();
        let tries = 2.0 - (1.0 - settings.late_limit()).powi(levels.len() as i32);
        target(menu.item(id).unwrap(), menu, settings).times(1.0 / tries)
    }

    fn close(value: f64, expected: f64) {
        assert!((value - expected).abs() < 5e-5, "{value} is not {expected}");
    }

    #[test]
    fn a_choice_takes_the_time_of_the_closed_form() {
        // t = (k - 1)·T + D·[k > 1] + L, summed over the levels, positions from 1: the counting of
        // Simpson, Koester and LoPresti's models. Third of a list, and row 2, column 3, by hand for
        // T = 1.2, D = 0.6, L = 0.78 s.
        let linear = choice(&page(9), "i2", &bare(1_200_000, 600_000, "linear"));
        close(linear.seconds, 3.78);
        close(linear.presses, 1.0);
        let grid = choice(&page(9), "i5", &bare(1_200_000, 600_000, "row-column"));
        close(grid.seconds, 6.36);
        close(grid.presses, 2.0);
    }

    #[test]
    fn the_mean_over_a_page_agrees_with_the_expected_steps() {
        // (N + 1)/2 steps for a list, (R + C + 2)/2 for a grid: 12 items, T = 1, D = 0.5, L = 0.65 s.
        let mean = |pattern: &str| {
            let (menu, settings) = (page(12), bare(1_000_000, 500_000, pattern));
            menu.items().iter().map(|item| choice(&menu, &item.id, &settings).seconds).sum::<f64>() / 12.0
        };
        close(mean("linear"), 6.6083);
        close(mean("row-column"), 4.5083);
        close(mean("by-size"), 4.5083);
        close(mean_of_level(12, &bare(1_000_000, 500_000, "linear")).seconds, 6.6083);
    }

    #[test]
    fn step_scanning_costs_a_press_for_every_step() {
        let step = Settings::for_technique("step").with(Id::Pattern, 1);
        close(choice(&page(9), "i2", &step).presses, 3.0);
    }

    #[test]
    fn a_confirmation_is_one_more_press() {
        let menu = crate::menu::shipped::find("six").unwrap();
        let settings = Settings::default();
        let presses = |id: &str| target(menu.item(id).unwrap(), &menu, &settings).presses;
        // Late limit 5 %: 1.05 tries of one press, 1.0975 of two.
        close(presses("lamp-on"), 1.05);
        close(presses("door-open"), 2.0 * 1.0975);
    }
}
