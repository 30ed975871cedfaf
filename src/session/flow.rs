//! From block to block, to rest and back.

use std::sync::Arc;

use super::block::{Next, Progress};
use super::event::{BlockEnd, BlockKind, Event, RestReason};
use super::input::{PauseReason, Rating};
use super::offer::Offer;
use super::phase::{Phase, Place, Then};
use super::protocol::Block;
use super::record::Record;
use super::running::Stage;
use super::{Session, cost, course, words};
use crate::engine::effect::{Input as EngineInput, Lit, Role};
use crate::engine::pattern::Arrangement;
use crate::engine::tree::{ItemIx, ScanTree};
use crate::settings::{Id, Settings, Technique, find, value_from_json};
use crate::time::{Moment, Span};

/// First contact rests when nothing has been pressed for this long.
pub(super) const CONTACT_IDLE: Span = Span::from_ms(60_000);
/// No setting of the scan interval is longer, in microseconds.
const SLOWEST_US: u64 = 20_000_000;
/// The page of the bell stays for this long.
const BELL: Span = Span::from_ms(8_000);
/// Passes over the question without a press before it turns to rest.
const QUESTION_LOOPS: i64 = 2;

impl Session {
    /// The settings of the block that runs: the plan's, the block's over them, the clinician's
    /// changes over both; a slower block slows what comes of these.
    pub(super) fn block_settings(&self) -> Settings {
        self.settings_in(self.progress.as_ref().map(|progress| &progress.block))
    }

    /// The settings in this block, or before any.
    pub(super) fn settings_in(&self, block: Option<&Block>) -> Settings {
        let mut settings = self.plan.settings.clone();
        for (name, value) in block.into_iter().flat_map(|block| &block.settings) {
            // Checked when the protocol was read; what is not valid changes nothing.
            if let Some((id, raw)) = find(name).ok().and_then(|id| Some((id, value_from_json(id, value).ok()?))) {
                let _ = settings.set_raw(id, raw);
            }
        }
        for (id, raw) in &self.changes {
            let _ = settings.set_raw(*id, *raw);
        }
        match block {
            Some(block) => block.slowed(settings),
            None => settings,
        }
    }

    /// The settings in force; logs them when they differ from the last ones.
    pub(super) fn settings_in_force(&mut self, out: &mut Vec<Record>) -> Settings {
        let settings = self.block_settings();
        if self.settings.as_ref() != Some(&settings) {
            if self.settings.is_some() {
                self.revision += 1;
            }
            self.arrangement = Arrangement::new(&self.plan.menu, &settings);
            self.set_levels(&settings, out);
            self.settings = Some(settings.clone());
            let scan_interval_us = settings.scan_interval();
            self.tell(
                Event::Settings { revision: self.revision, scan_interval_us, values: Box::new(settings.clone()) },
                out,
            );
        }
        settings
    }

    /// Goes where carrying on leads.
    pub(super) fn go(&mut self, place: Place, out: &mut Vec<Record>) {
        match place {
            Place::Question(then) => self.ask(then, out),
            Place::Rest(then) => self.show_rest(then, out),
            Place::On(Then::NextBlock) => self.begin_block(out),
            Place::On(Then::Contact) => self.begin_contact(out),
            Place::On(Then::Watch(left)) => self.begin_watch(left, out),
            Place::On(Then::Check) => self.show_check(out),
            // The last trial may have been broken off while its consequence was seen: then none is left.
            Place::On(Then::NextTrial) => self.go_on(Next::Trial, out),
            Place::Mine(then) => self.take_over(Place::On(then), out),
        }
    }

    fn begin_block(&mut self, out: &mut Vec<Record>) {
        let Some(block) = self.plan.protocol.blocks.get(self.next_block).cloned() else {
            return self.finish(true, out);
        };
        let index = self.next_block as u16;
        self.next_block += 1;
        let kind = block.kind;
        let arrangement = &self.arrangement;
        let items = arrangement.items().len() as u16;
        let tasks = course::tasks(&block, index, self.plan.seed, items, |id| arrangement.find(id));
        let rules = block.stop.clone().unwrap_or_else(|| self.plan.protocol.stop.clone());
        let watch = Span::from_seconds(if block.seconds > 0.0 { block.seconds } else { cost::WATCH_SECONDS });
        self.progress = Some(Progress::new(index, block, rules, tasks));
        self.rating = None;
        self.tell(Event::BlockBegan { block: index, kind }, out);
        self.settings_in_force(out);
        match kind {
            BlockKind::FirstContact => self.begin_contact(out),
            BlockKind::SwitchCheck => self.begin_check(out),
            BlockKind::QuietWatch => self.begin_watch(watch.unwrap_or(Span::ZERO), out),
            _ => self.go_on(Next::Trial, out),
        }
    }

    /// The switch is in the assessor's hands.
    pub(super) fn take_over(&mut self, back: Place, out: &mut Vec<Record>) {
        self.phase = Phase::Mine { back, lamp: false };
        self.show(words::MINE, out);
    }

    fn begin_contact(&mut self, out: &mut Vec<Record>) {
        self.stand_by(ScanTree::linear(1));
        self.phase = Phase::Contact { lamp_until: None, idle: self.now + CONTACT_IDLE, presses: 0 };
        self.show(&self.told(words::CONTACT), out);
    }

    fn begin_watch(&mut self, left: Span, out: &mut Vec<Record>) {
        self.stand_by(ScanTree::linear(1));
        self.phase = Phase::Watch { until: self.now + left };
        self.show(words::WATCH, out);
    }

    /// Goes on within the block, as [`Progress::next`] says.
    pub(super) fn go_on(&mut self, next: Next, out: &mut Vec<Record>) {
        match next {
            Next::Trial if self.progress.as_ref().is_none_or(|progress| progress.tasks.is_empty()) => {
                self.end_block(BlockEnd::Done, out);
            }
            Next::Trial => self.begin_trial(out),
            Next::Offer => self.ask(Then::NextTrial, out),
            Next::Rest(why) => self.rest(why, Then::NextTrial, out),
            Next::Done => self.end_block(BlockEnd::Done, out),
            Next::Precise => self.end_block(BlockEnd::Precise, out),
            Next::Stopped(why) => {
                self.close_block(BlockEnd::StopRule, out);
                if self.is_last_block() { self.finish(true, out) } else { self.rest(why, Then::NextBlock, out) }
            }
        }
    }

    /// Ends the block; between two blocks stands the question.
    pub(super) fn end_block(&mut self, why: BlockEnd, out: &mut Vec<Record>) {
        self.close_block(why, out);
        if self.is_last_block() && !self.alone() { self.finish(true, out) } else { self.ask(Then::NextBlock, out) }
    }

    pub(super) fn close_block(&mut self, why: BlockEnd, out: &mut Vec<Record>) {
        if let Some(progress) = self.progress.take() {
            if progress.number > 0 && !self.alone() {
                self.rating = Some(Rating::Effort);
            }
            self.end_check(out);
            self.tell(Event::BlockEnded { block: progress.index, why }, out);
        }
    }

    pub(super) fn is_last_block(&self) -> bool {
        self.next_block >= self.plan.protocol.blocks.len()
    }

    /// The client works it by the switch alone.
    pub(super) fn alone(&self) -> bool {
        self.plan.protocol.alone
    }

    /// Rest or carry on?
    pub(super) fn ask(&mut self, then: Then, out: &mut Vec<Record>) {
        self.ask_among(self.offers(), then, out);
    }

    /// The same from rest, where a bell can be rung too.
    pub(super) fn ask_rested(&mut self, then: Then, out: &mut Vec<Record>) {
        let mut offers = self.offers();
        if self.alone() {
            offers.insert(offers.len() - 1, Offer::Bell);
        }
        self.ask_among(offers, then, out);
    }

    /// What there is to choose among.
    fn offers(&self) -> Vec<Offer> {
        match (self.alone(), self.progress.is_some(), self.next_block) {
            _ if !self.offered.is_empty() => self.offered.clone(),
            (false, ..) => vec![Offer::Rest, Offer::CarryOn],
            (true, false, 0) => vec![Offer::Rest, Offer::Start, Offer::End],
            (true, false, _) if self.is_last_block() => vec![Offer::Rest, Offer::End],
            (true, ..) => vec![Offer::Rest, Offer::CarryOn, Offer::End],
        }
    }

    /// The scan over the choices begins after a while, at the first.
    pub(super) fn ask_among(&mut self, offers: Vec<Offer>, then: Then, out: &mut Vec<Record>) {
        let settings = question_settings(&self.block_settings());
        self.stand_by(ScanTree::linear(offers.len() as u16));
        self.set_engine(&settings);
        let starts =
            Some(self.now + settings.cue_lead().max(Span::from_seconds(cost::QUESTION_LEAD).unwrap_or_default()));
        self.phase = Phase::Question { then, offers, starts, idle: None, again: 0 };
        self.tell(Event::Question, out);
        self.show(self.question(), out);
    }

    /// The scan over the choices begins.
    pub(super) fn start_question(&mut self) {
        let idle = self.idle_limit();
        if let Phase::Question { starts, idle: limit, .. } = &mut self.phase {
            (*starts, *limit) = (None, idle);
        }
        let now = self.now;
        self.run(|engine, sink| engine.input(now, EngineInput::Start, sink));
    }

    /// Rests; a press leads back to the question.
    pub(super) fn rest(&mut self, why: RestReason, then: Then, out: &mut Vec<Record>) {
        self.tell(Event::Rest { why }, out);
        // Alone nobody is there to ask: the page says what to mind.
        self.out_of_breath = why == RestReason::InARow && self.alone() && self.levels.breathes();
        if why == RestReason::InARow && !self.alone() {
            self.rating = Some(Rating::Dizziness);
        }
        self.end_row();
        self.show_rest(then, out);
    }

    /// As many presses in a row as there may be lead to rest, and to the question whether that has made dizzy.
    /// A choice that has been made is seen to its end first.
    pub(super) fn rest_when_due(&mut self, out: &mut Vec<Record>) {
        let breaks = match &self.phase {
            Phase::Trial(running) => !matches!(running.stage, Stage::After { .. }),
            Phase::Contact { .. } | Phase::Check { .. } => true,
            _ => false,
        };
        if breaks && self.row_is_full(1) {
            let then = self.break_off(out).then();
            self.rest(RestReason::InARow, then, out);
            self.settle(out);
        }
    }

    fn show_rest(&mut self, then: Then, out: &mut Vec<Record>) {
        self.stand_by(ScanTree::linear(1));
        self.phase = Phase::Rest { then };
        self.rest_with_pointer();
        self.show(&self.rest_words(), out);
    }

    /// Nobody is called: the page says so for a while, then comes rest.
    pub(super) fn ring(&mut self, then: Then, out: &mut Vec<Record>) {
        self.stand_by(ScanTree::linear(1));
        self.phase = Phase::Bell { then, until: self.now + BELL };
        self.show(words::BELL, out);
    }

    /// Breaks off what runs and waits for the clinician.
    pub(super) fn pause(&mut self, why: PauseReason, out: &mut Vec<Record>) {
        let back = self.break_off(out);
        self.wait(why, back, out);
    }

    pub(super) fn wait(&mut self, why: PauseReason, back: Place, out: &mut Vec<Record>) {
        self.phase = Phase::Paused { why, back };
        self.tell(Event::Paused { why }, out);
        self.show(&self.told(words::pause(why, self.alone())), out);
    }

    /// Stops the scan, judges a running trial as broken off and says where to go on.
    pub(super) fn break_off(&mut self, out: &mut Vec<Record>) -> Place {
        let back = self.phase.place(self.now);
        self.abort_trial(true, out);
        self.stand_by(ScanTree::linear(1));
        back
    }

    /// It is over.
    pub(super) fn finish(&mut self, complete: bool, out: &mut Vec<Record>) {
        self.stand_by(ScanTree::linear(1));
        self.answered_until = None;
        self.phase = Phase::Finished;
        self.tell(Event::Finished { complete }, out);
        self.show(words::FINISHED, out);
    }

    /// Gives the engine another tree to stand before; nothing is lit and no press takes anything.
    pub(super) fn stand_by(&mut self, tree: ScanTree) {
        self.load(Arc::new(tree));
        self.answer = None;
        let settings = self.block_settings();
        self.set_engine(&settings);
        self.set_roles(false);
    }

    /// Where any press is right (`any`), every switch takes but the one that calls.
    pub(super) fn set_roles(&mut self, any: bool) {
        let part = |role: &Role| if any && *role != Role::Call { Role::Select } else { *role };
        let roles = self.roles.as_ref().map(|roles| roles.iter().map(part).collect());
        let now = self.now;
        self.run(|engine, sink| engine.set_roles(now, roles, sink));
    }

    pub(super) fn load(&mut self, tree: Arc<ScanTree>) {
        self.tree = Arc::clone(&tree);
        self.lit = Lit::Nothing;
        let now = self.now;
        self.run(|engine, sink| engine.load(now, tree, sink));
    }

    pub(super) fn set_engine(&mut self, settings: &Settings) {
        let now = self.now;
        self.run(|engine, sink| engine.set(now, settings, sink));
    }

    /// How long a scan that only the client moves may stand still: the time of two automatic passes.
    pub(super) fn idle_limit(&self) -> Option<Moment> {
        let settings = match self.phase {
            Phase::Question { .. } => question_settings(&self.block_settings()),
            _ => self.block_settings(),
        };
        let entries = self.tree.group(ScanTree::TOP).entries.len() as u64;
        let pass = settings.first_after_start() + settings.scan_interval().times(entries);
        (settings.technique() != Technique::Automatic).then(|| self.now + pass.times(2))
    }

    /// The item with this index in the menu.
    pub(super) fn item(&self, item: ItemIx) -> &crate::menu::Item {
        self.arrangement.item(item)
    }
}

/// The question is scanned slowly, from rest.
fn question_settings(settings: &Settings) -> Settings {
    let least = Span::from_seconds(cost::QUESTION_INTERVAL).unwrap_or_default();
    let slow = least.max(settings.scan_interval().times(2)).0.min(SLOWEST_US) as i64;
    trial_settings(settings, QUESTION_LOOPS).with(Id::ScanInterval, slow)
}

/// What every scan of a session has in common: it starts by itself, stops after a choice, and comes
/// to an end when nothing is pressed.
pub(super) fn trial_settings(settings: &Settings, loops: i64) -> Settings {
    let inside = if settings.raw(Id::LoopsInside) == 0 { 2 } else { settings.raw(Id::LoopsInside) };
    settings
        .clone()
        .with(Id::Start, 0)
        .with(Id::AfterSelection, 2)
        .with(Id::LoopsTop, loops)
        .with(Id::LoopsInside, inside)
}
