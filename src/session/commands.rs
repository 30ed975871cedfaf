//! What the session does with each input.

use super::Session;
use super::event::{BlockEnd, Event};
use super::input::{Input, PauseReason, Rating};
use super::offer::Offer;
use super::phase::{Phase, Place, Then};
use super::record::Record;
use super::running::Stage;
use crate::engine::effect::Input as EngineInput;
use crate::settings::{find, value_from_json};
use crate::time::Moment;

impl Session {
    /// Takes an input that has been recorded; nothing that is due is left undone before it.
    pub(super) fn take(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        match input {
            Input::Edge { switch, down } => {
                self.check_edge(at, switch, down);
                self.run(|engine, sink| engine.input(at, EngineInput::Edge { switch, down }, sink));
            }
            Input::Shown { number } => self.seen(number, at),
            Input::Stalled => self.stall(at, out),
            Input::MyPresses { on } => self.my_presses(on, out),
            Input::Next => self.next(out),
            Input::Pause { why } => self.pause_asked(why, out),
            Input::Resume => self.resume(out),
            Input::SkipBlock => self.skip_block(out),
            Input::End => self.end(out),
            Input::Prompt { prompt } => self.in_trial(|running| running.prompt = prompt),
            Input::Interruption { interruption } => self.in_trial(|running| running.interruption = Some(interruption)),
            Input::Exclude { reason } => self.exclude(reason, out),
            Input::Rate { question, value } => self.rated(question, value, out),
            Input::Set { name, value } => self.set(&name, &value, out),
            Input::Offer { offers } => self.offer(offers, out),
            Input::InARow { presses } => self.row_goes_on(presses),
            Input::Switches { roles, .. } => {
                self.roles = Some(roles);
                self.set_roles(false);
            }
            Input::Calibrated(source) => self.calibrated(*source, out),
            Input::Level { source, value } => {
                self.check_level(at, value);
                self.level(source, out, |level, told| level.level(at, value, told));
            }
            Input::LevelUnusable { source } => self.level(source, out, |level, told| level.unusable(at, told)),
            Input::LevelLost { source } => self.level(source, out, |level, told| level.lose(at, told)),
            Input::Tiles { spots } => self.tiles(at, &spots),
            Input::Pointer { x, y } => self.point(at, Some((x, y))),
            Input::PointerLeft => self.point(at, None),
            // They stand in the log; nothing else follows from them.
            Input::Note { .. } | Input::Driver { .. } | Input::Sound { .. } => {}
        }
    }

    /// The shell woke too late. What the engine then lights again is judged by [`Session::react`].
    fn stall(&mut self, at: Moment, out: &mut Vec<Record>) {
        self.run(|engine, sink| engine.input(at, EngineInput::Stalled, sink));
        if let Phase::Trial(running) = &self.phase
            && !matches!(running.stage, Stage::After { .. })
            && self.queue.is_empty()
        {
            // No scan ran: the cue or the wait is spoilt all the same.
            self.try_again(out);
        }
    }

    fn my_presses(&mut self, on: bool, out: &mut Vec<Record>) {
        match (&self.phase, on) {
            (Phase::Mine { .. } | Phase::Finished, true) | (Phase::Finished, false) => {}
            (Phase::Mine { back, .. }, false) => {
                let back = *back;
                self.hand_over(back, out);
            }
            (_, true) => {
                let back = self.break_off(out);
                self.take_over(back, out);
            }
            (_, false) => {}
        }
    }

    /// The clinician goes on: past a page, a question, a rest or a pause, or to the end of a block
    /// that only the clinician ends. In a trial it does nothing.
    fn next(&mut self, out: &mut Vec<Record>) {
        self.note = None;
        match &self.phase {
            Phase::Mine { back, .. } => {
                let back = *back;
                self.hand_over(back, out);
            }
            Phase::Contact { .. } | Phase::Watch { .. } | Phase::Check { .. } => self.end_block(BlockEnd::Done, out),
            Phase::Question { then, .. } | Phase::Rest { then } | Phase::Bell { then, .. } => {
                let then = *then;
                self.go(Place::On(then), out);
            }
            Phase::Paused { .. } => self.leave_pause(out),
            Phase::Finished if self.rating.take().is_some() => self.show_again(out),
            Phase::Trial(_) | Phase::Finished => {}
        }
    }

    /// The switch is the client's; who works it alone starts alone too.
    fn hand_over(&mut self, back: Place, out: &mut Vec<Record>) {
        if self.alone() && back == Place::On(Then::NextBlock) {
            // The question is worked by them, before any block.
            self.settings_in_force(out);
            return self.ask(Then::NextBlock, out);
        }
        self.go(back, out);
    }

    /// The block is over; what comes next is the client's choice.
    fn offer(&mut self, offers: Vec<Offer>, out: &mut Vec<Record>) {
        if self.phase != Phase::Finished && !offers.is_empty() {
            self.abort_trial(false, out);
            self.close_block(BlockEnd::Done, out);
            self.next_block = self.plan.protocol.blocks.len();
            self.offered = offers;
            self.ask(Then::NextBlock, out);
        }
    }

    /// The clinician's pause stands above the others: no focus that comes back ends it.
    fn pause_asked(&mut self, why: PauseReason, out: &mut Vec<Record>) {
        match (&self.phase, why) {
            (Phase::Finished, _) => {}
            (Phase::Paused { back, .. }, PauseReason::Clinician) => {
                let back = *back;
                self.wait(why, back, out);
            }
            (Phase::Paused { .. }, _) => {}
            _ => self.pause(why, out),
        }
    }

    fn resume(&mut self, out: &mut Vec<Record>) {
        if let Phase::Paused { why: PauseReason::FocusLost | PauseReason::Unplugged, .. } = self.phase {
            self.leave_pause(out);
        }
    }

    fn leave_pause(&mut self, out: &mut Vec<Record>) {
        if let Phase::Paused { back, .. } = self.phase {
            self.tell(Event::Resumed, out);
            self.go(back, out);
        }
    }

    fn skip_block(&mut self, out: &mut Vec<Record>) {
        if self.phase == Phase::Finished {
            return;
        }
        self.abort_trial(false, out);
        if self.progress.is_some() {
            self.close_block(BlockEnd::Skipped, out);
        } else if matches!(self.phase.place(self.now).then(), Then::NextBlock) && !self.is_last_block() {
            // Between two blocks, or before the first: the next one is left out.
            self.next_block += 1;
        }
        self.go(Place::On(Then::NextBlock), out);
    }

    fn end(&mut self, out: &mut Vec<Record>) {
        if self.phase != Phase::Finished {
            self.abort_trial(false, out);
            self.close_block(BlockEnd::SessionEnded, out);
            self.finish(false, out);
        }
    }

    fn in_trial(&mut self, change: impl FnOnce(&mut super::running::Running)) {
        if let Phase::Trial(running) = &mut self.phase {
            change(running);
        }
    }

    fn exclude(&mut self, reason: String, out: &mut Vec<Record>) {
        if let Some((block, trial)) = self.last_trial.take() {
            self.tell(Event::Excluded { block, trial, reason }, out);
        }
    }

    /// The next question is asked; an answer that is none leaves the question standing.
    fn rated(&mut self, question: Rating, value: u8, out: &mut Vec<Record>) {
        if self.rating == Some(question) && value <= question.greatest() {
            self.rating = match question {
                Rating::Effort => Some(Rating::Discomfort),
                Rating::Discomfort => Some(Rating::Preference),
                Rating::Preference | Rating::Dizziness => None,
            };
            self.show_again(out);
        }
    }

    /// A change of setting is in force from the next trial; one that is not valid is told and left.
    fn set(&mut self, name: &str, value: &serde_json::Value, out: &mut Vec<Record>) {
        match find(name).and_then(|id| Ok((id, value_from_json(id, value)?))) {
            Ok((id, raw)) => {
                self.changes.retain(|(changed, _)| *changed != id);
                self.changes.push((id, raw));
            }
            Err(error) => self.remark(&error.to_string(), out),
        }
    }
}
