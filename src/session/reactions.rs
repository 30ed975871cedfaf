//! What the session makes of its timers and of each effect of the engine.

use super::course::Target;
use super::event::{BlockEnd, Event, RestReason};
use super::input::PauseReason;
use super::offer::Offer;
use super::phase::{Phase, Place, Then};
use super::record::Record;
use super::running::Stage;
use super::scene::Cue;
use super::trial::Outcome;
use super::trials::BROKEN_OFF;
use super::{Session, words};
use crate::engine::effect::{Activation, Effect, Ignored, Lit, Switch, Why};
use crate::engine::tree::{Entry, EntryIx, GroupIx, ItemIx};
use crate::menu::home::Home;
use crate::time::{Moment, Span};

/// The lamp of first contact stays on for this long.
const LAMP: Span = Span::from_ms(1_500);
/// The small answer to a press stays for this long.
const ANSWERED: Span = Span::from_ms(300);
/// Two presses of a pair.
const PAIR: usize = 2;

impl Session {
    /// Something of the session's own is due.
    pub(super) fn timer(&mut self, due: Moment, out: &mut Vec<Record>) {
        if self.answered_until.is_some_and(|until| until <= due) {
            self.answered_until = None;
            return self.show_again(out);
        }
        match &mut self.phase {
            Phase::Contact { lamp_until, .. } if lamp_until.is_some_and(|until| until <= due) => {
                *lamp_until = None;
                self.answer = None;
                self.show(&self.told(words::CONTACT), out);
            }
            Phase::Contact { .. } => self.rest(RestReason::NoPress, Then::Contact, out),
            Phase::Watch { .. } => self.end_block(BlockEnd::Done, out),
            Phase::Check { .. } => self.move_strip(),
            Phase::Question { starts: Some(_), .. } => self.start_question(),
            Phase::Question { then, .. } => {
                let then = *then;
                self.rest(RestReason::NoPress, then, out);
            }
            Phase::Bell { then, .. } => {
                let then = *then;
                self.rest(RestReason::Asked, then, out);
            }
            Phase::Trial(_) => self.trial_timer(out),
            _ => {}
        }
    }

    /// The engine did something.
    pub(super) fn react(&mut self, effect: Effect, out: &mut Vec<Record>) {
        match effect {
            Effect::Highlight { number, due, lit } => self.highlight(number, due, lit),
            Effect::Pressed { edge, .. } => {
                self.keep_waiting();
                self.hold_began(edge);
            }
            Effect::Activated(by) => self.activated(by, out),
            Effect::NotCounted { switch, pressed, why } => self.not_counted(switch, pressed, why, out),
            Effect::Entered { into, entry, latency_us, by, .. } => self.entered(into, entry, latency_us, by),
            Effect::Taken { entry, item, latency_us, by, .. } => self.taken(entry, item, latency_us, by, out),
            Effect::Left { group, why: Why::ExitSwitch, .. } => self.left_by_switch(group),
            Effect::Left { group, by, .. } => self.left(group, by),
            Effect::Stopped { why } => self.stopped(why, out),
            Effect::Stalled { .. } => self.stalled(out),
            Effect::Stuck { .. } => self.pause(PauseReason::Stuck, out),
            Effect::Unstuck { .. } => self.unstuck(out),
            Effect::Filled { eighths } => self.fill(eighths),
            Effect::Rested { group, entry, since, until, taken } => {
                self.stayed((group, entry), until.since(since), taken, out);
            }
            Effect::Called { .. } => self.called(out),
            Effect::ShutOut { .. } => self.remark(words::SHUT_OUT, out),
            Effect::Released { pressed, .. } => self.let_go(pressed, out),
            Effect::LongPress { .. } => {}
        }
    }

    fn highlight(&mut self, number: u64, due: Moment, lit: Lit) {
        self.unseen.push_back(number);
        (self.lit, self.filled) = (lit, 0);
        if let Phase::Trial(running) = &mut self.phase {
            running.highlight(number, lit, due, &self.tree);
        }
        self.keep_waiting();
        self.scene = self.compose(number);
    }

    /// The scene `number` was shown, and with it the last highlight up to it.
    pub(super) fn seen(&mut self, number: u64, at: Moment) {
        let mut last = None;
        while self.unseen.front().is_some_and(|unseen| *unseen <= number) {
            last = self.unseen.pop_front();
        }
        let Some(number) = last else { return };
        if let Phase::Trial(running) = &mut self.phase {
            running.shown(number, at, &self.tree);
        }
        self.run(|engine, sink| engine.input(at, crate::engine::effect::Input::Shown { number }, sink));
    }

    fn activated(&mut self, by: Activation, out: &mut Vec<Record>) {
        self.last_press = Some(by);
        self.count_in_a_row();
        let now = self.now;
        match &mut self.phase {
            Phase::Mine { lamp, .. } => {
                *lamp = !*lamp;
                self.show(words::MINE, out);
            }
            Phase::Contact { lamp_until, idle, presses } => {
                (*lamp_until, *idle) = (Some(now + LAMP), now + super::flow::CONTACT_IDLE);
                let before = *presses;
                *presses += 1;
                if self.plan.protocol.alone {
                    self.work_the_home(before, out);
                }
                self.show(&self.told(words::CONTACT), out);
            }
            Phase::Watch { .. } => {
                if let Some(block) = self.progress.as_ref().map(|progress| progress.index) {
                    self.tell(Event::Unwanted { block }, out);
                }
            }
            Phase::Rest { then } | Phase::Bell { then, .. } => {
                let then = *then;
                self.ask_rested(then, out);
            }
            Phase::Trial(_) => self.pressed_in_trial(by, out),
            Phase::Paused { back, .. } if self.plan.protocol.alone => {
                let then = back.then();
                self.tell(Event::Resumed, out);
                self.ask_rested(then, out);
            }
            Phase::Check { .. } | Phase::Question { .. } | Phase::Paused { .. } | Phase::Finished => {}
        }
    }

    /// In first contact alone each press works the next thing of the home; the alarm call is left out.
    fn work_the_home(&mut self, before: usize, out: &mut Vec<Record>) {
        let items = self.arrangement.items().iter().filter(|item| !self.home.calls_alarm(item));
        let Some(item) = items.clone().nth(before % items.count().max(1)).cloned() else { return };
        if self.home.on(&item) {
            // All of them have had their turn.
            self.home = Home::new(&self.plan.menu);
        }
        let text = self.home.apply(&item);
        self.tell(Event::Answered { item: item.id, text: text.clone() }, out);
        self.answer = Some(Cue { text, icon: Some(item.icon) });
    }

    fn pressed_in_trial(&mut self, by: Activation, out: &mut Vec<Record>) {
        if self.progress.as_ref().is_some_and(|progress| progress.is_measuring()) {
            self.answered_until = Some(self.now + ANSWERED);
            self.show_again(out);
        }
        let Phase::Trial(running) = &mut self.phase else { return };
        let scanning = matches!(running.stage, Stage::Scanning { .. });
        if running.task.target == Target::Pair && scanning {
            let since = running.presses.last().map_or(running.began, |press| press.pressed);
            running.pressed_in_vain(by, Outcome::Hit, Some(by.pressed.signed_us_since(since)));
            running.reached = running.presses.len() >= PAIR;
            if running.reached {
                self.judge(out);
            }
        }
    }

    /// A press that took nothing: an early one before the lamp, otherwise an extra one.
    fn not_counted(&mut self, switch: Switch, pressed: Moment, why: Ignored, out: &mut Vec<Record>) {
        if self.held_in_vain(why, switch, pressed, out) {
            return;
        }
        let by = match (why, self.last_press) {
            (Ignored::NothingLit, Some(by)) if by.pressed == pressed => by,
            (Ignored::Lockout, _) => Activation { switch, pressed, accepted: pressed },
            _ => return,
        };
        let Phase::Trial(running) = &mut self.phase else { return };
        match (running.stage, running.task.target) {
            (Stage::Scanning { .. }, Target::Pair) => {}
            (Stage::Waiting { until }, _) if why == Ignored::NothingLit => {
                running.pressed_in_vain(by, Outcome::Early, Some(pressed.signed_us_since(until)));
                running.outcome = Some(Outcome::Early);
                self.judge(out);
            }
            _ => running.pressed_in_vain(by, Outcome::Extra, None),
        }
    }

    fn entered(&mut self, into: GroupIx, entry: EntryIx, latency_us: i64, by: Activation) {
        let settings = self.settings.clone().unwrap_or_default();
        if let Phase::Trial(running) = &mut self.phase {
            running.took(entry, latency_us, by, &self.tree, &settings);
            running.entered(into);
        }
    }

    fn taken(&mut self, entry: EntryIx, item: ItemIx, latency_us: i64, by: Activation, out: &mut Vec<Record>) {
        if let Phase::Question { then, offers, starts: None, .. } = &self.phase {
            let (then, offer) = (*then, offers.get(usize::from(entry.0)).copied());
            return offer.into_iter().for_each(|offer| self.chosen(offer, then, out));
        }
        if let Phase::Rest { then } = self.phase {
            return self.ask(then, out);
        }
        let settings = self.settings.clone().unwrap_or_default();
        let Phase::Trial(running) = &mut self.phase else { return };
        let outcome = running.took(entry, latency_us, by, &self.tree, &settings);
        if running.task.target.holds() {
            return self.full(out);
        }
        running.reached = outcome == Outcome::Hit && running.is_target(item);
        if running.is_menu_task() {
            self.answer(item, out);
        }
        self.judge(out);
    }

    fn chosen(&mut self, offer: Offer, then: Then, out: &mut Vec<Record>) {
        match offer {
            Offer::Rest => self.rest(RestReason::Asked, then, out),
            Offer::Start | Offer::CarryOn => {
                self.tell(Event::CarriedOn, out);
                self.go(Place::On(then), out);
            }
            Offer::Bell => {
                self.tell(Event::Chosen { offer }, out);
                self.ring(then, out);
            }
            Offer::End => {
                // A press that comes too late for another offer must not end it.
                self.tell(Event::Chosen { offer }, out);
                self.ask_among(vec![Offer::Rest, Offer::EndNow], then, out);
            }
            Offer::NextStep | Offer::Again | Offer::Easier | Offer::EndNow => {
                self.tell(Event::Chosen { offer }, out);
                let complete = self.progress.is_none() && self.is_last_block();
                self.close_block(BlockEnd::SessionEnded, out);
                self.finish(complete, out);
            }
        }
    }

    fn left(&mut self, group: GroupIx, by: Option<(Activation, Moment)>) {
        let settings = self.settings.clone().unwrap_or_default();
        let exit = self.tree.group(group).entries.iter().position(|entry| *entry == Entry::Exit);
        let Phase::Trial(running) = &mut self.phase else { return };
        if let (Some((by, shown)), Some(exit)) = (by, exit) {
            running.took(EntryIx(exit as u16), by.pressed.signed_us_since(shown), by, &self.tree, &settings);
        }
        running.left(group, &self.tree);
    }

    fn left_by_switch(&mut self, group: GroupIx) {
        if let (Phase::Trial(running), Some(by)) = (&mut self.phase, self.last_press) {
            running.left_by_switch(by);
            running.left(group, &self.tree);
        }
    }

    /// Nobody has been called: the page says so. What runs is broken off, so that somebody can look.
    fn called(&mut self, out: &mut Vec<Record>) {
        match self.phase {
            Phase::Mine { .. } | Phase::Finished => {}
            Phase::Paused { back, .. } => self.wait(PauseReason::Call, back, out),
            _ => self.pause(PauseReason::Call, out),
        }
    }

    fn stopped(&mut self, why: Why, out: &mut Vec<Record>) {
        match (why, &self.phase) {
            (Why::Lag, Phase::Trial(_) | Phase::Question { .. }) => self.pause(PauseReason::Lag, out),
            (Why::LongPress, Phase::Trial(_) | Phase::Question { .. }) => {
                let then = self.break_off(out).then();
                self.rest(RestReason::LongPress, then, out);
            }
            (Why::ExitSwitch, Phase::Trial(_) | Phase::Question { .. }) => {
                let then = self.break_off(out).then();
                self.rest(RestReason::Asked, then, out);
            }
            (Why::Loops, Phase::Trial(running)) if matches!(running.stage, Stage::Scanning { .. }) => self.judge(out),
            (Why::Loops, Phase::Question { then, starts: None, .. }) => {
                let then = *then;
                self.rest(RestReason::NoPress, then, out);
            }
            _ => {}
        }
    }

    fn stalled(&mut self, out: &mut Vec<Record>) {
        match &self.phase {
            Phase::Trial(running) if !matches!(running.stage, Stage::After { .. }) => self.try_again(out),
            Phase::Question { again, .. } if *again + 1 >= BROKEN_OFF => self.pause(PauseReason::Lag, out),
            Phase::Question { then, offers, again, .. } => {
                let (then, offers, so_often) = (*then, offers.clone(), *again + 1);
                self.ask_among(offers, then, out);
                if let Phase::Question { again, .. } = &mut self.phase {
                    *again = so_often;
                }
            }
            _ => {}
        }
    }

    fn unstuck(&mut self, out: &mut Vec<Record>) {
        if let Phase::Paused { why: PauseReason::Stuck, back } = self.phase {
            self.tell(Event::Resumed, out);
            self.rest(RestReason::Released, back.then(), out);
        }
    }

    /// Something that the clinician should know, at the edge of the screen.
    pub(super) fn remark(&mut self, text: &str, out: &mut Vec<Record>) {
        self.note = Some(super::scene::Note { text: text.to_string(), urgent: true });
        self.show_again(out);
    }
}
