//! One sitting: a protocol of blocks, run as a machine over the engine.
//!
//! The session decides what stands on the screen and what a press meant. It never reads a clock:
//! stamps are handed in, its next deadline is handed out. Inputs, engine effects and its own events
//! come out as [`record::Record`]s, in order; the log writes them and replay compares them.

mod block;
mod checking;
mod commands;
pub mod cost;
mod course;
mod distraction;
mod doing;
pub mod event;
mod flow;
mod holding;
pub mod input;
pub mod judge;
pub mod levels;
pub mod offer;
mod pages;
mod phase;
mod pointing;
pub mod practice;
pub mod protocol;
pub mod protocol_file;
mod reactions;
pub mod record;
mod running;
pub mod said;
pub mod scene;
pub mod setup;
pub mod shipped;
pub mod stop;
#[cfg(test)]
mod tests;
pub mod trial;
mod trials;
pub mod words;

use std::collections::VecDeque;
use std::sync::Arc;

use crate::engine::Engine;
use crate::engine::effect::{self, Activation, Effect, Role};
use crate::engine::pattern::Arrangement;
use crate::engine::tree::{EntryIx, GroupIx, ScanTree};
use crate::menu::Menu;
use crate::menu::home::Home;
use crate::settings::{Id, Settings};
use crate::switch_check::{self, Check};
use crate::time::{Moment, Span};

use block::Progress;
pub use block::RestDue;
use event::{BlockKind, Event};
use input::{Input, Rating};
use offer::Offer;
use phase::{Phase, Place, Then};
use protocol::Protocol;
use record::{Record, What};
use running::Stage;
use scene::Scene;
pub(crate) use trials::RESPONSE_WINDOW;

/// Everything that decides how a session runs; the log's header holds all of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The blocks.
    pub protocol: Protocol,
    /// The menu of its tasks.
    pub menu: Menu,
    /// Settings at the start: the protocol's over the defaults, the user's over the protocol's.
    pub settings: Settings,
    /// Seed of all draws.
    pub seed: u64,
}

/// What the client is asked for at this moment, for a virtual client that can see and understand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// Nothing.
    Nothing,
    /// A press at any time: first contact, a rest that has lasted long enough.
    Press,
    /// Two presses.
    Pair,
    /// A press when this entry is lit.
    Entry(GroupIx, EntryIx),
    /// The same, held for as long as that is asked for.
    Hold(GroupIx, EntryIx),
}

/// One session.
#[derive(Clone, Debug)]
pub struct Session {
    plan: Plan,
    engine: Engine,
    /// The tree that the engine scans.
    tree: Arc<ScanTree>,
    arrangement: Arrangement,
    home: Home,
    now: Moment,
    /// The greatest instant that it was advanced to. A stall leaves it behind `now`.
    reached: Moment,
    /// How far replay gets to know that by the records.
    told: Moment,
    /// Changes that the clinician has made since the start.
    changes: Vec<(Id, i64)>,
    /// The settings in force, as last logged, and how often they have been.
    settings: Option<Settings>,
    revision: u32,
    /// What each switch does, where it is not left to the technique.
    roles: Option<Vec<Role>>,
    /// Levels that work switches.
    levels: levels::Levels,
    phase: Phase,
    progress: Option<Progress>,
    /// What the switch check under way has seen.
    check: Option<Box<Check>>,
    next_block: usize,
    /// What the client may choose among now that the blocks are over.
    offered: Vec<Offer>,
    /// The last finished trial, which may still be left out of the findings.
    last_trial: Option<(u16, u32)>,
    /// The question that the clinician may answer with a digit now.
    rating: Option<Rating>,
    /// The client, alone, rests because of many breaths in a row.
    out_of_breath: bool,
    last_press: Option<Activation>,
    /// What the home last said.
    answer: Option<scene::Cue>,
    answered_until: Option<Moment>,
    note: Option<scene::Note>,
    scene: Scene,
    lit: effect::Lit,
    /// How far the edge of the lit tile is filled, in eighths.
    filled: u8,
    /// Highlights that have not been reported as shown.
    unseen: VecDeque<u64>,
    queue: VecDeque<(Moment, Effect)>,
}

impl Session {
    /// A session in which the switch is still in the assessor's hands.
    #[must_use]
    pub fn new(plan: Plan) -> Session {
        let arrangement = Arrangement::new(&plan.menu, &plan.settings);
        let tree = Arc::new(ScanTree::linear(1));
        let mut session = Session {
            engine: Engine::new(Arc::clone(&tree), &plan.settings),
            tree,
            arrangement,
            home: Home::new(&plan.menu),
            now: Moment::START,
            reached: Moment::START,
            told: Moment::START,
            changes: Vec::new(),
            settings: None,
            revision: 0,
            roles: None,
            levels: levels::Levels::default(),
            phase: Phase::Mine { back: Place::On(Then::NextBlock), lamp: false },
            progress: None,
            check: None,
            next_block: 0,
            offered: Vec::new(),
            last_trial: None,
            rating: None,
            out_of_breath: false,
            last_press: None,
            answer: None,
            answered_until: None,
            note: None,
            scene: pages::blank(),
            lit: effect::Lit::Nothing,
            filled: 0,
            unseen: VecDeque::new(),
            queue: VecDeque::new(),
            plan,
        };
        let number = session.engine.take_number();
        session.scene = session.compose(number);
        session
    }

    /// Something happened at `at`. Everything that was due before is done first; a stamp that lies
    /// before that is kept, and handled now. The input itself and all that follows from it are
    /// added to `out`; a sample of a level that changes nothing is not even recorded.
    pub fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        if self.levels.ignores(at, &input) {
            return;
        }
        let stalled = input == Input::Stalled;
        if !stalled {
            self.tell_overdue(at, out);
            self.advance(at, out);
        }
        self.tell_clock(at, stalled, out);
        self.record(at, What::Input(input.clone()), out);
        self.now = self.now.max(at);
        self.take(at, input, out);
        self.settle(out);
    }

    /// Does all that is due up to and including `now`.
    pub fn advance(&mut self, now: Moment, out: &mut Vec<Record>) {
        self.reached = self.reached.max(now);
        while let Some(due) = self.deadline().filter(|due| *due <= now) {
            self.now = self.now.max(due);
            if self.engine.deadline() == Some(due) {
                self.run(|engine, sink| engine.advance(due, sink));
            } else if self.levels.deadline() == Some(due) {
                self.advance_levels(due, out);
            } else {
                self.timer(due, out);
            }
            self.settle(out);
        }
        self.now = self.now.max(now);
    }

    /// When [`Session::advance`] has to be called next; `None` when only an input goes on.
    #[must_use]
    pub fn deadline(&self) -> Option<Moment> {
        let levels = self.levels.deadline();
        [self.engine.deadline(), self.phase.deadline(), self.answered_until, levels].into_iter().flatten().min()
    }

    /// Everything that decides how it runs.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// What is to be seen now.
    #[must_use]
    pub fn scene(&self) -> &Scene {
        &self.scene
    }

    /// It is over: the log can be closed once the last scene has been seen.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.phase == Phase::Finished
    }

    /// A wake later than this is a stall, to be reported as [`Input::Stalled`] instead of advancing.
    #[must_use]
    pub fn stall_limit(&self) -> Span {
        self.engine.stall_limit()
    }

    /// The question that the clinician may answer now with [`Input::Rate`].
    #[must_use]
    pub fn rating_asked(&self) -> Option<Rating> {
        self.rating
    }

    /// The switch is in the assessor's hands: its presses are marked and never counted.
    #[must_use]
    pub fn in_assessors_hands(&self) -> bool {
        matches!(self.phase, Phase::Mine { .. })
    }

    /// It waits until somebody, or in a session worked alone the client, goes on.
    #[must_use]
    pub fn is_paused(&self) -> bool {
        matches!(self.phase, Phase::Paused { .. })
    }

    /// It waits because the clinician asked it to: no switch works anything until somebody goes on.
    #[must_use]
    pub fn paused_by_clinician(&self) -> bool {
        matches!(self.phase, Phase::Paused { why: input::PauseReason::Clinician, .. })
    }

    /// The scan interval of the block that runs, changes included.
    #[must_use]
    pub fn scan_interval(&self) -> Span {
        self.block_settings().scan_interval()
    }

    /// What a client who understands the screen would do now.
    #[must_use]
    pub fn asked(&self) -> Asked {
        match &self.phase {
            Phase::Contact { .. } | Phase::Check { .. } | Phase::Rest { .. } => Asked::Press,
            Phase::Question { starts: None, offers, .. } => {
                let on = |offer: &Offer| !matches!(offer, Offer::Rest | Offer::Bell | Offer::End | Offer::EndNow);
                let wanted = offers.iter().position(on).unwrap_or_default();
                Asked::Entry(ScanTree::TOP, EntryIx(wanted as u16))
            }
            Phase::Trial(running) => match (running.stage, running.task.target) {
                (Stage::Scanning { .. }, course::Target::Pair) => Asked::Pair,
                (Stage::Scanning { .. }, target) => {
                    let asked = if target.holds() { Asked::Hold } else { Asked::Entry };
                    running.wanted_place(&self.tree).map_or(Asked::Nothing, |(group, entry)| asked(group, entry))
                }
                _ => Asked::Nothing,
            },
            _ => Asked::Nothing,
        }
    }

    /// Where the session stands: the block's place, its kind, and the trials left in it.
    #[must_use]
    pub fn block(&self) -> Option<(u16, BlockKind, u32)> {
        self.progress.as_ref().map(|progress| (progress.index, progress.block.kind, progress.tasks.len() as u32))
    }

    /// Trials begun in the block that runs, and those behind them.
    #[must_use]
    pub fn trials(&self) -> Option<(u32, u32)> {
        self.progress.as_ref().map(|progress| (progress.number, progress.tasks.len() as u32))
    }

    /// What the switch check that runs has found out by now.
    #[must_use]
    pub fn checked(&self) -> Vec<switch_check::Finding> {
        self.check.as_ref().map(|check| check.findings(self.now)).unwrap_or_default()
    }

    /// What is left until the block that runs rests or asks.
    #[must_use]
    pub fn rest_due(&self) -> Option<RestDue> {
        let running = matches!(self.phase, Phase::Trial(_));
        self.progress.as_ref().map(|progress| progress.rest_due(self.plan.protocol.rest_every, running))
    }

    /// Lets the engine do something; its effects wait in the queue for [`Session::settle`].
    fn run(&mut self, action: impl FnOnce(&mut Engine, &mut Vec<(Moment, Effect)>)) {
        let mut effects = Vec::new();
        action(&mut self.engine, &mut effects);
        self.queue.extend(effects);
    }

    /// Records the engine's effects and reacts to each, until none is left.
    fn settle(&mut self, out: &mut Vec<Record>) {
        while let Some((at, effect)) = self.queue.pop_front() {
            self.record(at, What::Effect(effect.clone()), out);
            self.check_effect(at, &effect);
            self.react(effect, out);
        }
        self.rest_when_due(out);
    }

    /// Before a stamp that comes late, and before a stall, which does nothing that is due: replay has to know
    /// how far the session had come.
    fn tell_clock(&mut self, at: Moment, stalled: bool, out: &mut Vec<Record>) {
        if (stalled || at < self.reached) && self.told < self.reached {
            self.record(self.reached, What::Event(Event::Clock), out);
        }
    }

    /// Behind a stall something may be overdue. What a stamp from before the stall lets happen of it is
    /// recorded at `now`; replay must not take that for all that was due by then.
    fn tell_overdue(&mut self, at: Moment, out: &mut Vec<Record>) {
        if at < self.now && self.deadline().is_some_and(|due| due <= at) {
            self.record(at, What::Event(Event::Clock), out);
        }
    }

    fn tell(&mut self, event: Event, out: &mut Vec<Record>) {
        self.tell_at(self.now, event, out);
    }

    fn tell_at(&mut self, at: Moment, event: Event, out: &mut Vec<Record>) {
        self.record(at, What::Event(event), out);
    }

    fn record(&mut self, at: Moment, what: What, out: &mut Vec<Record>) {
        self.told = self.told.max(at.min(self.reached));
        out.push(Record { at, what });
    }
}
