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
//!   level with `k = 1`.
//! - Timed press: `C`, the mean over all positions, `P`. Reaction: `C`, the mean wait, `L`, `P`.
//!   Repeat: `C`, two presses, `2·L`, `P`.
//! - Menu tasks and confirm: `C`, the choice, `P` for each target, times the expected tries. A
//!   target is tried at most twice, so these are `2 − (1 − q)^n` for `n` timed presses at the late
//!   limit `q`. Targets not named by the protocol count as the mean over the menu.
//! - Quiet watch: its seconds. First contact: [`CONTACT_PRESSES`] in [`CONTACT_SECONDS`]. Each block
//!   with trials: [`RATING_SECONDS`] for effort and discomfort.
//! - Rest or carry on is asked between blocks and after every `rest_every` trials (practice too,
//!   counted anew from each rest): its lead, at least [`QUESTION_LEAD`], and a choice with `k = 1`
//!   at a slow interval, the greater of `2·T` and [`QUESTION_INTERVAL`]. A set ends with
//!   [`REST_SECONDS`], one press and that question.
//!
//! No block is taken to end early. The constants are common practice, no source.

mod choice;
mod limits;

use std::fmt;

use self::choice::{Effort, cue, mean_of_level, pause, press, question, target};
use super::event::BlockKind;
use super::protocol::{Block, Protocol};
use crate::menu::{Item, Menu};
use crate::settings::{SettingError, Settings};

pub(super) use self::choice::page_tiles;
pub use self::limits::{BREATH_RUN, VISIT_MINUTES};

/// Latency over scan interval of a client whom the interval fits: the published ratio.
pub const LATENCY_SHARE: f64 = 0.65;
/// Presses taken for first contact.
pub const CONTACT_PRESSES: f64 = 5.0;
/// Seconds taken for first contact.
pub const CONTACT_SECONDS: f64 = 30.0;
/// Presses taken for a switch check; the assessor can make them.
pub const CHECK_PRESSES: f64 = 10.0;
/// Seconds taken for a switch check.
pub const CHECK_SECONDS: f64 = 20.0;
/// Seconds of a quiet watch that names none.
pub const WATCH_SECONDS: f64 = 60.0;
/// Tiles of a timed press that names none.
pub const TILES: u16 = 6;
/// Seconds taken for a rest after a set.
pub const REST_SECONDS: f64 = 30.0;
/// Least seconds for which the question stands before it is scanned.
pub const QUESTION_LEAD: f64 = 2.0;
/// Least seconds for which each answer of the question stays lit.
pub const QUESTION_INTERVAL: f64 = 3.0;
/// Seconds taken for the clinician's questions after a block.
pub const RATING_SECONDS: f64 = 5.0;

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
        match self.whole() {
            (0, minutes) => write!(f, "about {minutes} minutes and no press"),
            (presses, minutes) => write!(f, "about {presses} presses and {minutes} minutes"),
        }
    }
}

impl Cost {
    /// Presses and minutes in whole numbers, rounded up.
    #[must_use]
    pub fn whole(&self) -> (u32, u32) {
        (self.presses.ceil() as u32, self.minutes.ceil() as u32)
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
            let mut cost = block_cost(block, self.rest_every, menu, &block.settings_over(settings)?);
            if index + 1 < self.blocks.len() {
                cost.add(question(settings));
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
        BlockKind::SwitchCheck => return bare(CHECK_PRESSES, CHECK_SECONDS),
        BlockKind::QuietWatch => return bare(0.0, if block.seconds > 0.0 { block.seconds } else { WATCH_SECONDS }),
        BlockKind::Reaction => {
            let wait = Effort::wait((block.wait[0] + block.wait[1]) / 2.0 + block.hold);
            cue(settings) + wait + press(settings) + pause(settings)
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

/// The mean over the named targets, or over the whole menu where none is named.
fn mean_of_targets(block: &Block, menu: &Menu, settings: &Settings) -> Effort {
    let named: Vec<&Item> = block.tasks.iter().flatten().filter_map(|id| menu.item(id)).collect();
    let targets = if named.is_empty() { menu.items() } else { named };
    let all = targets.iter().map(|item| target(item, menu, settings));
    all.fold(Effort::default(), |sum, one| sum + one).times(1.0 / targets.len().max(1) as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_look_costs_what_it_does_by_hand() {
        let (protocol, menu) = crate::session::shipped::find("first-look").unwrap();
        let cost = protocol.cost(&menu, &Settings::default()).unwrap();
        // Contact, watch; 5 reactions of 8.8 s; 8 timed presses of 1.5 + 5/6 + 5 + 1.3 + 1 s; 10 at 2.6 s of
        // 1.5 + 5/6 + 6.5 + 1.69 + 1 s and a question of 2 + 1 + 5.2 + 1.69 s inside; targets at positions
        // 1, 5 and 2, and one at 4 with a confirmation; four ratings; five questions of 3 + 1 + 4 + 1.3 s between
        // the blocks.
        let timed = 8.0 * (8.8 + 5.0 / 6.0) + 10.0 * (10.69 + 5.0 / 6.0) + 9.89;
        let targets = 1.05 * (8.3 + 16.3 + 10.3) + 1.0975 * 18.6;
        let seconds = 30.0 + 60.0 + 5.0 * 8.8 + timed + targets + 4.0 * 5.0 + 5.0 * 9.3;
        assert!((cost.minutes - seconds / 60.0).abs() < 1e-9, "{cost:#?}");
        assert!((cost.presses - (5.0 + 5.0 + 18.0 + 1.0 + 3.0 * 1.05 + 2.0 * 1.0975 + 5.0)).abs() < 1e-9, "{cost:#?}");
    }

    #[test]
    fn questions_come_after_every_eighth_trial_but_not_at_the_end() {
        let settings = Settings::default();
        let presses = |count, set| breaks(count, set, 8, &settings).presses;
        assert_eq!(presses(8, 0), 0.0);
        assert_eq!(presses(9, 0), 1.0);
        assert_eq!(presses(17, 0), 2.0);
        // Three sets of fifteen: a question inside each; between them two rests of two presses.
        assert_eq!(presses(45, 15), 3.0 + 2.0 * 2.0);
    }
}
