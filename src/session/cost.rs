//! What a protocol costs the client: presses and minutes, worked out before it starts.
//!
//! Times in seconds. `T` is the scan interval, `F` the first-item time (after a start at the top,
//! inside a group below it), `C` the time to read the cue, `P` the pause after a selection, and the
//! press comes `L = 0.65·T` after its item has lit: the published ratio of latency to scan rate
//! (Simpson, Koester and LoPresti 2007), so the figures hold for a client whom the interval fits.
//!
//! - Taking position `k` (from 0) of a level in automatic or inverse scanning: one press and
//!   `k·T + F·[k > 0] + L`; in step scanning `k + 1` presses of `L` each, and the auto-accept time
//!   where one switch does both. A choice is the sum over its levels; a confirmation is one more
//!   level with `k = 1`; a start by press is one press and `L`.
//! - Timed press: `C`, the mean over all positions, `P`. Reaction: the mean wait, `L`, `P`.
//!   Repeat: `C`, two presses, `2·L`, `P`.
//! - Menu tasks and confirm: `C`, the choice, `P` for each target, times the expected tries. A
//!   target is tried at most twice, so these are `2 − (1 − q)^n` for `n` timed presses at the late
//!   limit `q`. Targets not named by the protocol count as the mean over the menu.
//! - Quiet watch: its seconds. First contact: [`CONTACT_PRESSES`] in [`CONTACT_SECONDS`]. Each block
//!   with trials: [`RATING_SECONDS`] for effort and discomfort.
//! - Rest or carry on is asked between blocks and after every `rest_every` trials (practice too,
//!   counted anew from each rest): a choice with `k = 1`, and `P`. A set ends with
//!   [`REST_SECONDS`], one press and that question.
//!
//! No block is taken to end early. The constants are common practice, no source.

use std::fmt;

use super::event::BlockKind;
use super::protocol::{Block, Protocol};
use crate::menu::{Group, Item, Menu, Node};
use crate::problem::Problem;
use crate::settings::{ExitPlace, PatternChoice, SettingError, Settings, StartBy, Technique};

/// Latency over scan interval of a client whom the interval fits.
pub const LATENCY_SHARE: f64 = 0.65;
/// Presses taken for first contact.
pub const CONTACT_PRESSES: f64 = 5.0;
/// Seconds taken for first contact.
pub const CONTACT_SECONDS: f64 = 30.0;
/// Seconds of a quiet watch that names none.
pub const WATCH_SECONDS: f64 = 60.0;
/// Tiles of a timed press that names none.
pub const TILES: u16 = 6;
/// Seconds taken for a rest after a set.
pub const REST_SECONDS: f64 = 30.0;
/// Seconds taken for the questions after a block.
pub const RATING_SECONDS: f64 = 5.0;
/// Most minutes of a whole first visit: two sites and a confirm block.
pub const VISIT_MINUTES: f64 = 15.0;
/// Most presses in a row with a breath switch.
pub const BREATH_RUN: f64 = 20.0;

/// Name of a protocol in small letters, most presses, most minutes.
const LIMITS: [(&str, f64, f64); 2] = [("first look", 40.0, 8.0), ("second site", 22.0, 4.0)];
/// Most presses and minutes of every other protocol.
const LONGEST: (f64, f64) = (60.0, 10.0);

/// What a protocol costs the client.
#[derive(Clone, Debug, PartialEq)]
pub struct Cost {
    /// Expected presses in all.
    pub presses: f64,
    /// Expected minutes of client time in all.
    pub minutes: f64,
    /// Most presses between two offers of rest.
    pub longest_run: f64,
    /// Each block, in order, with the questions and rests inside it and the one after it.
    pub blocks: Vec<BlockCost>,
}

/// What one block costs the client.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BlockCost {
    /// Its kind.
    pub kind: BlockKind,
    /// Expected presses.
    pub presses: f64,
    /// Expected seconds.
    pub seconds: f64,
    /// Most presses between two offers of rest.
    pub longest_run: f64,
}

impl fmt::Display for Cost {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "about {:.0} presses and {:.0} minutes", self.presses.ceil(), self.minutes.ceil())
    }
}

impl Protocol {
    /// What this protocol costs a client with this menu and these settings.
    ///
    /// # Errors
    /// When a block's settings are not valid.
    pub fn cost(&self, menu: &Menu, settings: &Settings) -> Result<Cost, SettingError> {
        let mut blocks = Vec::with_capacity(self.blocks.len());
        for (index, block) in self.blocks.iter().enumerate() {
            let settings = settings.overlaid(&block.settings)?;
            let mut cost = block_cost(block, self.rest_every, menu, &settings);
            if index + 1 < self.blocks.len() {
                cost.add(question(&settings));
            }
            blocks.push(cost);
        }
        Ok(Cost {
            presses: blocks.iter().map(|block| block.presses).sum(),
            minutes: blocks.iter().map(|block| block.seconds).sum::<f64>() / 60.0,
            longest_run: blocks.iter().map(|block| block.longest_run).fold(0.0, f64::max),
            blocks,
        })
    }

    /// Warnings where the cost is above what the protocol states or the trade asks of a client.
    #[must_use]
    pub fn cost_warnings(&self, cost: &Cost, file: &str) -> Vec<Problem> {
        let name = self.name.trim().to_lowercase();
        let (presses, minutes) = LIMITS
            .iter()
            .find(|(known, ..)| *known == name)
            .map_or(LONGEST, |(_, presses, minutes)| (*presses, *minutes));
        let presses = self.most_presses.map_or(presses, |most| presses.min(f64::from(most)));
        let minutes = self.most_minutes.map_or(minutes, |most| minutes.min(most));
        let warn = |what: String, remedy: &str| Problem::warning(file, None, what, remedy);
        let mut warnings = Vec::new();
        if cost.presses > presses {
            let what = format!("it asks for about {:.0} presses, more than {presses}", cost.presses.ceil());
            warnings.push(warn(what, "take out trials"));
        }
        if cost.minutes > minutes {
            let what = format!("it takes about {:.1} minutes, more than {minutes}", cost.minutes);
            warnings.push(warn(what, "take out trials, or shorten the waits"));
        }
        if cost.longest_run > BREATH_RUN {
            let what = format!("it asks for {:.0} presses in a row", cost.longest_run.ceil());
            warnings.push(warn(what, "with a breath switch rest after 20 at most: lower `rest_every` or `set_size`"));
        }
        warnings
    }
}

/// Presses and seconds of one thing that the client does.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Effort {
    presses: f64,
    seconds: f64,
}

impl std::ops::Add for Effort {
    type Output = Effort;
    fn add(self, other: Effort) -> Effort {
        Effort { presses: self.presses + other.presses, seconds: self.seconds + other.seconds }
    }
}

impl Effort {
    fn times(self, factor: f64) -> Effort {
        Effort { presses: self.presses * factor, seconds: self.seconds * factor }
    }

    fn wait(seconds: f64) -> Effort {
        Effort { presses: 0.0, seconds }
    }
}

impl BlockCost {
    fn add(&mut self, effort: Effort) {
        self.presses += effort.presses;
        self.seconds += effort.seconds;
    }
}

fn block_cost(block: &Block, rest_every: u32, menu: &Menu, settings: &Settings) -> BlockCost {
    let bare = |presses: f64, seconds: f64| BlockCost { kind: block.kind, presses, seconds, longest_run: presses };
    let trial = match block.kind {
        BlockKind::FirstContact => return bare(CONTACT_PRESSES, CONTACT_SECONDS),
        BlockKind::QuietWatch => return bare(0.0, if block.seconds > 0.0 { block.seconds } else { WATCH_SECONDS }),
        BlockKind::Reaction => {
            Effort { presses: 1.0, seconds: (block.wait[0] + block.wait[1]) / 2.0 + latency(settings) }
                + pause(settings)
        }
        BlockKind::TimedPress => cue(settings) + mean_of_level(block.tiles, settings) + pause(settings),
        BlockKind::Repeat => cue(settings) + press(settings).times(2.0) + pause(settings),
        BlockKind::MenuTasks | BlockKind::Confirm => mean_of_targets(block, menu, settings),
    };
    let count = trials(block);
    let mut cost = bare(0.0, RATING_SECONDS);
    cost.add(trial.times(f64::from(count)));
    cost.add(breaks(count, block.set_size, rest_every, settings));
    cost.longest_run = run(count, block.set_size, rest_every) * trial.presses + question(settings).presses;
    cost
}

/// Trials with practice; each member of a sequence is one.
fn trials(block: &Block) -> u32 {
    let tasks = block.tasks.iter().map(Vec::len).sum::<usize>() as u32;
    block.practice + if tasks > 0 { tasks } else { block.trials }
}

/// Most trials between two offers of rest.
fn run(count: u32, set_size: u32, rest_every: u32) -> f64 {
    f64::from([count, set_size, rest_every].into_iter().filter(|length| *length > 0).min().unwrap_or(0))
}

/// The questions and rests inside a block of `count` trials.
fn breaks(count: u32, set_size: u32, rest_every: u32, settings: &Settings) -> Effort {
    let set = if set_size == 0 { count } else { set_size.min(count) };
    if set == 0 {
        return Effort::default();
    }
    let inside = |trials: u32| if rest_every == 0 || trials == 0 { 0 } else { (trials - 1) / rest_every };
    let (whole, left) = (count / set, count % set);
    let questions = whole * inside(set) + inside(left);
    let rests = whole - u32::from(left == 0);
    let rest = Effort::wait(REST_SECONDS) + press(settings) + question(settings);
    question(settings).times(f64::from(questions)) + rest.times(f64::from(rests))
}

fn question(settings: &Settings) -> Effort {
    level(1, settings.first_after_start().as_seconds(), settings) + pause(settings)
}

fn latency(settings: &Settings) -> f64 {
    LATENCY_SHARE * settings.scan_interval().as_seconds()
}

fn press(settings: &Settings) -> Effort {
    Effort { presses: 1.0, seconds: latency(settings) }
}

fn cue(settings: &Settings) -> Effort {
    let start = if settings.start() == StartBy::Press { press(settings) } else { Effort::default() };
    start + Effort::wait(settings.cue_lead().as_seconds())
}

fn pause(settings: &Settings) -> Effort {
    Effort::wait(settings.pause_after_selection().as_seconds())
}

/// Taking position `k` of one level.
fn level(k: usize, first_item: f64, settings: &Settings) -> Effort {
    let steps = k as f64;
    let scanned = steps * settings.scan_interval().as_seconds() + if k > 0 { first_item } else { 0.0 };
    match settings.technique() {
        Technique::Automatic | Technique::Inverse => press(settings) + Effort::wait(scanned),
        Technique::Step => press(settings).times(steps + 1.0),
        Technique::StepAutoAccept => {
            press(settings).times(steps + 1.0) + Effort::wait(settings.auto_accept().as_seconds())
        }
    }
}

fn mean_of_level(tiles: u16, settings: &Settings) -> Effort {
    let tiles = if tiles == 0 { TILES } else { tiles };
    let all = (0..usize::from(tiles)).map(|k| level(k, settings.first_after_start().as_seconds(), settings));
    all.fold(Effort::default(), |sum, one| sum + one).times(1.0 / f64::from(tiles))
}

/// The mean over the named targets, or over the whole menu where none is named.
fn mean_of_targets(block: &Block, menu: &Menu, settings: &Settings) -> Effort {
    let named: Vec<&Item> = block.tasks.iter().flatten().filter_map(|id| menu.item(id)).collect();
    let targets = if named.is_empty() { menu.items() } else { named };
    let all = targets.iter().map(|item| target(item, menu, settings));
    all.fold(Effort::default(), |sum, one| sum + one).times(1.0 / targets.len().max(1) as f64)
}

fn target(item: &Item, menu: &Menu, settings: &Settings) -> Effort {
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
    let entries = page_entries(group, settings.pattern() == PatternChoice::GroupItem);
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
    let columns = (1..).find(|columns| columns * columns >= count).unwrap_or(1);
    let exit_of_row = usize::from(settings.exit() == ExitPlace::First);
    let (row, column) = (place / columns, place % columns);
    match settings.pattern() {
        PatternChoice::BySize if count > LINEAR_UP_TO => vec![row + exit, column + exit_of_row],
        PatternChoice::RowColumn => vec![row + exit, column + exit_of_row],
        PatternChoice::ColumnRow => vec![column + exit, row + exit_of_row],
        PatternChoice::BySize | PatternChoice::Linear | PatternChoice::GroupItem => vec![place + exit],
    }
}

/// Largest page that is scanned one by one when the pattern goes by size.
const LINEAR_UP_TO: usize = 9;

/// The entries of a group's page: groups without a page of their own stay whole, or are taken apart.
fn page_entries(group: &Group, whole: bool) -> Vec<&Node> {
    let inner = |node| match node {
        Node::Group(inner) if !inner.page && !whole => page_entries(inner, whole),
        other => vec![other],
    };
    group.entries.iter().flat_map(inner).collect()
}

/// How many tiles stand on the page of a group.
pub(super) fn page_tiles(group: &Group) -> usize {
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

    #[test]
    fn questions_come_after_every_eighth_trial_but_not_at_the_end() {
        let settings = Settings::default();
        let presses = |count, set| breaks(count, set, 8, &settings).presses;
        close(presses(8, 0), 0.0);
        close(presses(9, 0), 1.0);
        close(presses(17, 0), 2.0);
        // Three sets of fifteen: a question inside each; between them two rests of two presses.
        close(presses(45, 15), 3.0 + 2.0 * 2.0);
    }

    #[test]
    fn a_protocol_above_its_limits_is_warned_of() {
        let (mut protocol, menu) = crate::session::shipped::find("first-look").unwrap();
        protocol.blocks[3].trials = 30;
        protocol.rest_every = 0;
        let cost = protocol.cost(&menu, &Settings::default()).unwrap();
        let said: Vec<String> = protocol.cost_warnings(&cost, "p.json").iter().map(ToString::to_string).collect();
        assert_eq!(
            said,
            [
                "`p.json`: it asks for about 52 presses, more than 40; take out trials",
                "`p.json`: it takes about 8.7 minutes, more than 8; take out trials, or shorten the waits",
                "`p.json`: it asks for 33 presses in a row; with a breath switch rest after 20 at most: lower `rest_every` or `set_size`",
            ]
        );
        assert_eq!(cost.to_string(), "about 52 presses and 9 minutes");
    }
}
