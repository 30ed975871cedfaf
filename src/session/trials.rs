//! One trial from its cue to its judgement.

use std::sync::Arc;

use super::block::Next;
use super::course::{Target, Task};
use super::event::{Event, RestReason};
use super::flow::trial_settings;
use super::holding::held_settings;
use super::input::PauseReason;
use super::phase::{Phase, Place, Then};
use super::record::Record;
use super::running::{Running, Stage};
use super::scene::Cue;
use super::trial::{Outcome, Trial};
use super::{Session, words};
use crate::engine::effect::Input as EngineInput;
use crate::engine::tree::{ItemIx, ScanTree};
use crate::settings::{Id, Settings};
use crate::time::Span;

/// How long the tile of a reaction trial stays lit, and how long two presses may take.
pub(crate) const RESPONSE_WINDOW: Span = Span::from_ms(5_000);
/// From this hold on the client has to be told of it.
const HOLD_TOLD: Span = Span::from_ms(200);
/// A wrong choice is explained for at least this long.
const EXPLAINED: Span = Span::from_ms(2_500);
/// A trial is tried again after a wrong choice, once.
const ATTEMPTS: u8 = 2;
/// A trial broken off, or a question asked again, this often running pauses the session.
pub(super) const BROKEN_OFF: u32 = 3;

impl Session {
    /// The cue of the next trial.
    pub(super) fn begin_trial(&mut self, out: &mut Vec<Record>) {
        let settings = self.settings_in_force(out);
        let Some(progress) = &mut self.progress else { return };
        let Some(task) = progress.tasks.pop_front() else { return };
        progress.number += 1;
        let (block, number) = (progress.index, progress.number);
        let target = task.target;
        if let Target::Item(item) = target {
            let item = self.item(item).clone();
            self.home.prepare(&item);
        }
        self.load(self.tree_of(target));
        self.set_engine(&scan_settings(&settings, target));
        self.set_roles(matches!(target, Target::Lamp { .. } | Target::Pair));
        self.answer = None;
        let path = self.path_to(target);
        let mut running = Running::new(task, number, self.now, settings.cue_lead(), path);
        running.distraction = self.draw_distraction(target);
        self.phase = Phase::Trial(Box::new(running));
        self.tell(Event::TrialBegan { block, trial: number, target: self.target_id(target) }, out);
        self.show_cue(out);
    }

    fn tree_of(&self, target: Target) -> Arc<ScanTree> {
        match target {
            Target::Lamp { .. } | Target::Pair => Arc::new(ScanTree::linear(1)),
            Target::Tile { tiles, .. } => Arc::new(ScanTree::linear(tiles)),
            Target::Item(_) => Arc::clone(&self.arrangement.tree),
        }
    }

    fn path_to(&self, target: Target) -> Vec<(crate::engine::tree::GroupIx, crate::engine::tree::EntryIx)> {
        let item = match target {
            Target::Lamp { .. } | Target::Pair => ItemIx(0),
            Target::Tile { position, .. } => ItemIx(position),
            Target::Item(item) => item,
        };
        self.tree.path(item).unwrap_or_default()
    }

    /// Name of the target in the log.
    fn target_id(&self, target: Target) -> String {
        match target {
            Target::Lamp { .. } => "lamp".to_string(),
            Target::Pair => "pair".to_string(),
            Target::Tile { position, .. } => format!("tile-{}", position + 1),
            Target::Item(item) => self.item(item).id.clone(),
        }
    }

    /// What the client is asked.
    pub(super) fn cue(&self, target: Target) -> Cue {
        let of = |text: &str, icon: Option<&str>| Cue { text: text.to_string(), icon: icon.map(str::to_string) };
        let told = |text: &'static str, icon| of(&self.told(text), icon);
        match target {
            Target::Lamp { .. } if target.holds() => told(self.hold_words(), Some("lamp")),
            Target::Lamp { .. } => told(words::REACTION, Some("lamp")),
            Target::Pair => told(words::REPEAT, None),
            Target::Tile { .. } if self.alone() && self.block_settings().hold() >= HOLD_TOLD => {
                told(words::TIMED_HOLD, None)
            }
            Target::Tile { .. } if self.points() => of(words::TIMED_POINTER, None),
            Target::Tile { .. } => told(words::TIMED, None),
            Target::Item(item) => of(&self.item(item).cue, Some(&self.item(item).icon)),
        }
    }

    /// The stage of the running trial has come to its end.
    pub(super) fn trial_timer(&mut self, out: &mut Vec<Record>) {
        let now = self.now;
        let Phase::Trial(running) = &mut self.phase else { return };
        if let Some(distraction) = running.distraction.take_if(|distraction| distraction.at <= now) {
            return self.distract(&distraction, out);
        }
        if self.fills() {
            return;
        }
        let Phase::Trial(running) = &mut self.phase else { return };
        match (running.stage, running.task.target) {
            (Stage::Cue { .. }, Target::Lamp { wait, .. }) => {
                running.began = now;
                running.stage = Stage::Waiting { until: now + wait };
            }
            (Stage::Cue { .. }, Target::Pair) => {
                running.began = now;
                running.stage = Stage::Scanning { idle: Some(now + RESPONSE_WINDOW) };
            }
            (Stage::Cue { .. }, _) => {
                running.began = now;
                self.start_scan();
            }
            (Stage::Waiting { .. }, _) => self.start_scan(),
            (Stage::Scanning { idle: Some(idle) }, _) if running.held.is_some() => {
                // It fills, or is let go before.
                running.stage = Stage::Scanning { idle: Some(idle + RESPONSE_WINDOW) };
            }
            (Stage::Full { .. }, _) => {
                running.outcome = Some(Outcome::Late);
                self.judge(out);
            }
            (Stage::Scanning { .. }, _) => self.judge(out),
            (Stage::After { .. }, _) => self.close_trial(out),
        }
    }

    fn start_scan(&mut self) {
        let idle = self.idle_limit();
        if let Phase::Trial(running) = &mut self.phase {
            let lamp = matches!(running.task.target, Target::Lamp { .. });
            running.stage = Stage::Scanning { idle: if lamp { Some(self.now + RESPONSE_WINDOW) } else { idle } };
        }
        let now = self.now;
        self.run(|engine, sink| engine.input(now, EngineInput::Start, sink));
    }

    /// Something happened: a scan that only the client moves waits anew.
    pub(super) fn keep_waiting(&mut self) {
        let limit = self.idle_limit();
        match &mut self.phase {
            Phase::Trial(running) if !matches!(running.task.target, Target::Lamp { .. } | Target::Pair) => {
                if let Stage::Scanning { idle: Some(idle) } = &mut running.stage {
                    *idle = limit.unwrap_or(*idle);
                }
            }
            Phase::Question { idle: Some(idle), starts: None, .. } => *idle = limit.unwrap_or(*idle),
            _ => {}
        }
    }

    /// The scan of the trial is over: what is left is to see what came of it.
    pub(super) fn judge(&mut self, out: &mut Vec<Record>) {
        let pause = self.settings.as_ref().map_or(Span::ZERO, Settings::pause_after_selection);
        let now = self.now;
        let Phase::Trial(running) = &mut self.phase else { return };
        running.ended = now;
        (running.distraction, running.held) = (None, None);
        let wrong = running.is_menu_task() && !running.reached && running.outcome.is_some();
        let pause = if wrong { pause.max(EXPLAINED) } else { pause };
        running.stage = Stage::After { until: now + pause };
        self.run(|engine, sink| engine.input(now, EngineInput::Halt, sink));
        self.show_cue(out);
    }

    /// The home answers the choice of `item`.
    pub(super) fn answer(&mut self, item: ItemIx, out: &mut Vec<Record>) {
        let Phase::Trial(running) = &self.phase else { return };
        let wanted = match running.task.target {
            Target::Item(wanted) if wanted != item => Some(self.item(wanted).label.clone()),
            _ => None,
        };
        let taken = self.item(item).clone();
        let said = self.home.apply(&taken);
        let text = match wanted {
            // What the practice alarm says is never left out.
            Some(wanted) if said != crate::menu::home::PRACTICE => words::wrong(&taken.label, &wanted),
            _ => said,
        };
        self.tell(Event::Answered { item: taken.id, text: text.clone() }, out);
        self.answer = Some(Cue { text, icon: Some(taken.icon) });
    }

    /// The consequence has been seen: the trial goes to the log, and the block goes on.
    fn close_trial(&mut self, out: &mut Vec<Record>) {
        let Some(running) = self.take_trial() else { return };
        let outcome = running.judged();
        let again = running.is_menu_task() && !running.reached && running.outcome.is_some();
        let retry = (again && running.task.attempt < ATTEMPTS)
            .then(|| Task { attempt: running.task.attempt + 1, ..running.task.clone() });
        self.log_trial(&running, outcome, out);
        if retry.is_none() {
            self.choice_made(&running, outcome, out);
        }
        let rest_every = self.plan.protocol.rest_every;
        let Some(progress) = &mut self.progress else { return };
        if let Some(task) = retry {
            progress.tasks.push_front(task);
        }
        let next = progress.next(rest_every);
        // The next trial would not fit into the row; it takes as many presses as this one.
        let full = matches!(next, Next::Trial | Next::Offer) && self.row_is_full(running.presses.len().max(1) as u32);
        let next = if full { Next::Rest(RestReason::InARow) } else { next };
        self.go_on(next, out);
    }

    /// A choice is over; behind the last one of its task it is told how that went as a whole.
    fn choice_made(&mut self, running: &Running, outcome: Outcome, out: &mut Vec<Record>) {
        let Some(progress) = &mut self.progress else { return };
        if let Some(end) = progress.chosen(running, outcome) {
            let (block, choices) = (progress.index, running.task.choices);
            self.tell(Event::TaskEnded { block, choices, end }, out);
        }
    }

    fn take_trial(&mut self) -> Option<Box<Running>> {
        match std::mem::replace(&mut self.phase, Phase::Finished) {
            Phase::Trial(running) => Some(running),
            other => {
                self.phase = other;
                None
            }
        }
    }

    fn log_trial(&mut self, running: &Running, outcome: Outcome, out: &mut Vec<Record>) {
        let Some(progress) = &self.progress else { return };
        let (position, count) = running.position(&self.tree);
        let trial = Trial {
            block: progress.index,
            kind: progress.block.kind,
            trial: running.number,
            scored: running.task.scored,
            outcome,
            reached: running.reached,
            target: self.target_id(running.task.target),
            attempt: running.task.attempt,
            cued: running.cued,
            began: running.began,
            ended: running.ended,
            wait_us: if let Target::Lamp { wait, .. } = running.task.target { Some(wait) } else { None },
            position,
            count,
            interval_us: self.settings.as_ref().map_or(Span::ZERO, Settings::scan_interval),
            settings: self.revision,
            passes_missed: running.passes_missed,
            presses: running.presses.clone(),
            previous: progress.previous,
            prompt: running.prompt,
            interruption: running.interruption,
            excluded: None,
        };
        self.last_trial = Some((trial.block, trial.trial));
        if let Some(progress) = &mut self.progress {
            progress.finished(&trial, running.last_latency_us());
        }
        self.tell(Event::Trial(Box::new(trial)), out);
    }

    /// Judges the running trial as broken off. With `again` it is the next one to be run.
    pub(super) fn abort_trial(&mut self, again: bool, out: &mut Vec<Record>) {
        let Some(mut running) = self.take_trial() else { return };
        running.ended = self.now;
        if matches!(running.stage, Stage::After { .. }) {
            // Already judged: the break came too late to spoil it.
            let outcome = running.judged();
            self.log_trial(&running, outcome, out);
            return self.choice_made(&running, outcome, out);
        }
        self.log_trial(&running, Outcome::Aborted, out);
        if let Some(progress) = self.progress.as_mut().filter(|_| again) {
            progress.tasks.push_front(running.task.clone());
        }
    }

    /// Frames or wakes came too late: the trial is tried again from its cue.
    pub(super) fn try_again(&mut self, out: &mut Vec<Record>) {
        self.abort_trial(true, out);
        if self.progress.as_ref().is_some_and(|progress| progress.broken_off >= BROKEN_OFF) {
            if let Some(progress) = &mut self.progress {
                progress.broken_off = 0;
            }
            self.stand_by(ScanTree::linear(1));
            return self.wait(PauseReason::Lag, Place::On(Then::NextTrial), out);
        }
        self.go_on(Next::Trial, out);
    }
}

/// The engine's settings in a trial with this target.
fn scan_settings(settings: &Settings, target: Target) -> Settings {
    match target {
        Target::Lamp { .. } => {
            let lit = trial_settings(settings, 1)
                .with(Id::Technique, 0)
                .with(Id::ScanInterval, RESPONSE_WINDOW.0 as i64)
                .with(Id::FirstAfterStart, 0);
            if target.holds() { held_settings(lit, target) } else { lit }
        }
        Target::Pair => trial_settings(settings, 1).with(Id::Technique, 0).with(Id::Lockout, 0),
        Target::Tile { passes, .. } => trial_settings(settings, passes.into()),
        Target::Item(_) => trial_settings(settings, top_loops(settings)),
    }
}

/// Two passes at most: doing nothing leads to rest.
fn top_loops(settings: &Settings) -> i64 {
    match settings.raw(Id::LoopsTop) {
        0 => 2,
        loops => loops.min(2),
    }
}
