//! A trial while it runs: what has been seen of the wanted entry, and what the presses did.

use super::course::{Target, Task};
use super::distraction::Distraction;
use super::holding::Held;
use super::input::{Interruption, Prompt};
use super::judge::{self, Aim};
use super::trial::{Outcome, Press};
use crate::engine::effect::{Activation, Lit};
use crate::engine::tree::{Entry, EntryIx, GroupIx, ItemIx, ScanTree};
use crate::settings::{FirstItemOn, Settings, Technique};
use crate::time::{Moment, Span};

/// How far a trial has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stage {
    /// The cue stands alone.
    Cue {
        /// Until then.
        until: Moment,
    },
    /// The random wait of a reaction trial.
    Waiting {
        /// Until then.
        until: Moment,
    },
    /// The scan runs, or waits for the client's next press.
    Scanning {
        /// Without anything happening the trial ends then; never in automatic scanning, where the
        /// loops end it.
        idle: Option<Moment>,
    },
    /// The tile has been held until it was full, and is to be let go.
    Full {
        /// By then.
        until: Moment,
    },
    /// It is judged; the consequence is seen.
    After {
        /// Until then.
        until: Moment,
    },
}

/// A trial that runs.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Running {
    /// What it asks for.
    pub task: Task,
    /// Its number in the block, from 1.
    pub number: u32,
    /// How far it has come.
    pub stage: Stage,
    /// The cue began.
    pub cued: Moment,
    /// The scan or the wait began.
    pub began: Moment,
    /// It was judged.
    pub ended: Moment,
    /// The first thing that went wrong, or how it ended.
    pub outcome: Option<Outcome>,
    /// The target was taken.
    pub reached: bool,
    /// Accepted presses so far.
    pub presses: Vec<Press>,
    /// Passes in which the wanted entry was seen and went by.
    pub passes_missed: u32,
    /// Help given.
    pub prompt: Prompt,
    /// What came between.
    pub interruption: Option<Interruption>,
    /// What is to distract from it, until it has.
    pub distraction: Option<Distraction>,
    /// The press that fills the tile.
    pub held: Option<Held>,
    /// The wanted entry at each level.
    path: Vec<(GroupIx, EntryIx)>,
    /// The group that is scanned.
    group: GroupIx,
    /// Levels below the top.
    level: u8,
    /// The highlight in force: its number, place and due time.
    lit: Option<(u64, Lit, Moment)>,
    /// When the wanted entry was last shown since the group was entered.
    wanted_shown: Option<Moment>,
}

impl Running {
    /// A trial whose cue begins at `now`.
    pub fn new(task: Task, number: u32, now: Moment, lead: Span, path: Vec<(GroupIx, EntryIx)>) -> Running {
        Running {
            task,
            number,
            stage: Stage::Cue { until: now + lead },
            cued: now,
            began: now,
            ended: now,
            outcome: None,
            reached: false,
            presses: Vec::new(),
            passes_missed: 0,
            prompt: Prompt::None,
            interruption: None,
            distraction: None,
            held: None,
            path,
            group: ScanTree::TOP,
            level: 0,
            lit: None,
            wanted_shown: None,
        }
    }

    /// What it is judged as, unless it is broken off: the first thing that went wrong, or whether the target was taken.
    pub fn judged(&self) -> Outcome {
        self.outcome.unwrap_or(if self.reached { Outcome::Hit } else { Outcome::Omission })
    }

    /// When the stage ends, something distracts, or the tile fills, by itself.
    pub fn deadline(&self) -> Option<Moment> {
        let stage = match self.stage {
            Stage::Cue { until } | Stage::Waiting { until } | Stage::Full { until } | Stage::After { until } => {
                Some(until)
            }
            Stage::Scanning { idle } => idle,
        };
        let distraction = self.distraction.as_ref().map(|distraction| distraction.at);
        let fills = self.held.and_then(|held| held.deadline());
        [stage, distraction, fills].into_iter().flatten().min()
    }

    /// The wanted entry of the group that is scanned now: the next step of the path, or the way out
    /// of a group that was entered by mistake.
    pub fn wanted(&self, tree: &ScanTree) -> Option<EntryIx> {
        self.path.iter().find(|(group, _)| *group == self.group).map(|(_, entry)| *entry).or_else(|| {
            let exit = tree.group(self.group).entries.iter().position(|entry| *entry == Entry::Exit);
            exit.map(|index| EntryIx(index as u16))
        })
    }

    /// The group that is scanned.
    pub fn group(&self) -> GroupIx {
        self.group
    }

    /// The wanted entry as a highlight shows it.
    pub fn wanted_place(&self, tree: &ScanTree) -> Option<(GroupIx, EntryIx)> {
        self.wanted(tree).map(|entry| (self.group, entry))
    }

    /// Position of the target in its last group, and the entries in that group.
    pub fn position(&self, tree: &ScanTree) -> (u16, u16) {
        self.path.last().map_or((0, 1), |(group, entry)| (entry.0, tree.group(*group).entries.len() as u16))
    }

    /// The highlight moved.
    pub fn highlight(&mut self, number: u64, lit: Lit, due: Moment, tree: &ScanTree) {
        let judged = matches!(self.stage, Stage::After { .. });
        let on_the_way = self.path.iter().any(|(group, _)| *group == self.group);
        if let Some((_, before, _)) = self.lit
            && before != lit
            && !judged
            && on_the_way
            && self.wanted_shown.is_some()
            && self.is_wanted(before, tree)
        {
            self.passes_missed += 1;
        }
        self.lit = Some((number, lit, due));
    }

    /// The highlight `number` was shown.
    pub fn shown(&mut self, number: u64, at: Moment, tree: &ScanTree) {
        if let Some((lit_number, lit, _)) = self.lit
            && lit_number == number
            && self.is_wanted(lit, tree)
        {
            self.wanted_shown = Some(at);
        }
    }

    fn is_wanted(&self, lit: Lit, tree: &ScanTree) -> bool {
        matches!(lit, Lit::Entry { group, entry, .. } if group == self.group && Some(entry) == self.wanted(tree))
    }

    /// A press took `entry` of the group that is scanned, `latency_us` after it was shown.
    pub fn took(
        &mut self,
        entry: EntryIx,
        latency_us: i64,
        by: Activation,
        tree: &ScanTree,
        settings: &Settings,
    ) -> Outcome {
        let count = tree.group(self.group).entries.len() as u16;
        let wanted = self.wanted(tree).map(|wanted| wanted.0);
        let aim = wanted.map(|wanted| Aim { wanted, count, shown: self.wanted_shown });
        let outcome = aim.map_or(Outcome::Wrong, |aim| judge::outcome(aim, entry.0));
        // A pointer goes where it likes: it has neither neighbours in time nor a latency.
        let points = settings.technique() == Technique::Dwell;
        let outcome = if points && outcome != Outcome::Hit { Outcome::Wrong } else { outcome };
        let latency_us = match outcome {
            _ if points => None,
            Outcome::Hit => Some(latency_us),
            _ => wanted.and_then(|wanted| self.latency_to(wanted, outcome, by.pressed, settings)),
        };
        self.presses.push(Press {
            pressed: by.pressed,
            accepted: by.accepted,
            outcome,
            level: self.level,
            position: Some(entry.0),
            wanted: wanted.unwrap_or(0),
            count,
            latency_us,
        });
        if outcome != Outcome::Hit {
            self.outcome.get_or_insert(outcome);
        }
        outcome
    }

    /// Press minus the moment at which the wanted entry was shown or, before that and for an early
    /// press, is due.
    fn latency_to(&self, wanted: u16, outcome: Outcome, pressed: Moment, settings: &Settings) -> Option<i64> {
        let due = || {
            let (_, Lit::Entry { entry, pass, .. }, due) = self.lit? else { return None };
            let extra = self.first_extra(pass, settings);
            Some(judge::expected(due, entry.0, wanted, settings.scan_interval(), extra))
        };
        let onset = if outcome == Outcome::Early { due() } else { self.wanted_shown.or_else(due) };
        onset.map(|onset| pressed.signed_us_since(onset))
    }

    /// From the moment at which the wanted entry was shown, if it has been.
    pub fn since_shown_us(&self, pressed: Moment) -> Option<i64> {
        self.wanted_shown.map(|shown| pressed.signed_us_since(shown))
    }

    fn first_extra(&self, pass: u32, settings: &Settings) -> Span {
        match (pass, settings.first_item_on(), self.level) {
            (1.., FirstItemOn::FirstPass, _) => Span::ZERO,
            (_, _, 0) => settings.first_after_start(),
            _ => settings.first_in_group(),
        }
    }

    /// A press that took nothing.
    pub fn pressed_in_vain(&mut self, by: Activation, outcome: Outcome, latency_us: Option<i64>) {
        let (position, count) = (None, 1);
        let (pressed, accepted) = (by.pressed, by.accepted);
        self.presses.push(Press {
            pressed,
            accepted,
            outcome,
            level: self.level,
            position,
            wanted: 0,
            count,
            latency_us,
        });
    }

    /// The exit switch left the group: wrong, unless the group was entered by mistake.
    pub fn left_by_switch(&mut self, by: Activation) {
        if self.path.iter().any(|(group, _)| *group == self.group) {
            self.pressed_in_vain(by, Outcome::Wrong, None);
            self.outcome.get_or_insert(Outcome::Wrong);
        }
    }

    /// A group was entered.
    pub fn entered(&mut self, into: GroupIx) {
        self.move_to(into, self.level.saturating_add(1));
    }

    /// The scan went back to the parent of `group`.
    pub fn left(&mut self, group: GroupIx, tree: &ScanTree) {
        if let Some(parent) = tree.group(group).parent {
            self.move_to(parent, self.level.saturating_sub(1));
        }
    }

    fn move_to(&mut self, group: GroupIx, level: u8) {
        (self.group, self.level, self.wanted_shown, self.lit) = (group, level, None, None);
    }

    /// The latency that the stop rules and the precision look at: of the last press that hit or came late.
    pub fn last_latency_us(&self) -> Option<i64> {
        let timed = |press: &&Press| matches!(press.outcome, Outcome::Hit | Outcome::Late);
        self.presses.iter().rev().find(timed).and_then(|press| press.latency_us)
    }

    /// Whether `item` is what the trial asks for.
    pub fn is_target(&self, item: ItemIx) -> bool {
        match self.task.target {
            Target::Item(wanted) => wanted == item,
            Target::Tile { position, .. } => item == ItemIx(position),
            Target::Lamp { .. } => true,
            Target::Pair => false,
        }
    }

    /// Whether the target is one of the simulated home.
    pub fn is_menu_task(&self) -> bool {
        matches!(self.task.target, Target::Item(_))
    }
}
