//! Every closure of the switch: how long it was held, what gap stood before it, what it was for.
//!
//! Presses in the assessor's hands are left out. What cannot be told is said to be unknown: first
//! contact, rest, questions, pauses, and every trial that does not count.

use std::vec;

use super::evidence::{Aim, Contact};
use super::hands::Hands;
use super::reading::{Judged, Reading};
use crate::engine::effect::{Effect, Ignored, Switch};
use crate::session::event::{BlockKind, Event};
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::session::trial::{Outcome, Trial};
use crate::settings::{Settings, Technique};
use crate::time::Moment;

/// The contacts of one session, in order.
pub(super) fn contacts(session: u32, reading: &Reading) -> Vec<Contact> {
    let judged = reading.trials().into_iter();
    let mut walk = Walk { judged, ..Walk::new() };
    reading.records.iter().for_each(|record| walk.take(record));
    walk.closures.iter().map(|closure| closure.contact(session)).collect()
}

/// A closure as it is followed.
#[derive(Debug)]
struct Closure {
    switch: Switch,
    pressed: Moment,
    released: Option<Moment>,
    /// When this switch was last let go.
    before: Option<Moment>,
    /// It began inside the repeat lockout.
    locked_out: bool,
    /// The first press of the pair whose second this is.
    pair: Option<Moment>,
    /// When an item was taken, where nothing was lit since.
    choice: Option<Moment>,
    aim: Aim,
}

impl Closure {
    fn contact(&self, session: u32) -> Contact {
        let seconds = |from: Moment, to: Moment| to.since(from).as_seconds();
        Contact {
            session,
            pressed_s: seconds(Moment::START, self.pressed),
            held_s: self.released.map(|released| seconds(self.pressed, released)),
            gap_s: self.before.map(|before| seconds(before, self.pressed)),
            pair_s: self.pair.map(|first| seconds(first, self.pressed)),
            after_choice_s: self.choice.map(|choice| seconds(choice, self.pressed)),
            aim: self.aim,
        }
    }
}

struct Walk<'a> {
    /// The trials to come.
    judged: vec::IntoIter<&'a Judged<'a>>,
    hands: Hands,
    /// The block that runs is a quiet watch.
    quiet_block: bool,
    /// The client rests or is asked whether to.
    resting: bool,
    /// The scan runs by itself, so that no press is needed to move it.
    automatic: bool,
    /// The first closure of the trial that runs.
    trial_from: Option<usize>,
    /// When the last trial took its item, while nothing else came between.
    choice: Option<Moment>,
    closures: Vec<Closure>,
    /// When each switch was last let go.
    released: Vec<(Switch, Moment)>,
}

impl Walk<'_> {
    fn new() -> Self {
        Walk {
            judged: Vec::new().into_iter(),
            hands: Hands::new(),
            quiet_block: false,
            resting: false,
            automatic: true,
            trial_from: None,
            choice: None,
            closures: Vec::new(),
            released: Vec::new(),
        }
    }

    fn take(&mut self, record: &Record) {
        self.hands.take(record);
        if self.hands.mine || self.hands.paused {
            self.released.clear();
            self.choice = None;
        }
        match &record.what {
            What::Input(Input::Next) if !self.hands.paused => self.resting = false,
            What::Input(_) => {}
            What::Effect(effect) => self.effect(effect),
            What::Event(event) => self.event(event),
        }
    }

    fn effect(&mut self, effect: &Effect) {
        match *effect {
            Effect::Pressed { switch, edge } if !self.hands.mine => self.pressed(switch, edge),
            Effect::Released { switch, pressed, edge } => self.let_go(switch, pressed, edge),
            Effect::NotCounted { switch, pressed, why: Ignored::Lockout } => {
                if let Some(closure) = self.closure(switch, pressed) {
                    closure.locked_out = true;
                }
            }
            _ => {}
        }
    }

    fn pressed(&mut self, switch: Switch, pressed: Moment) {
        let watched = self.quiet_block && !self.resting && !self.hands.paused;
        let before = self.released.iter().find(|(known, _)| *known == switch).map(|(_, at)| *at);
        let aim = if watched { Aim::Unwanted } else { Aim::Unknown };
        let blank =
            Closure { switch, pressed, released: None, before, locked_out: false, pair: None, choice: None, aim };
        self.closures.push(blank);
    }

    fn let_go(&mut self, switch: Switch, pressed: Moment, edge: Moment) {
        // The assessor's were never added.
        let Some(closure) = self.closure(switch, pressed) else { return };
        closure.released = Some(edge);
        self.released.retain(|(known, _)| *known != switch);
        if !self.hands.mine && !self.hands.paused {
            self.released.push((switch, edge));
        }
    }

    /// The last closure of this switch, if it is this one.
    fn closure(&mut self, switch: Switch, pressed: Moment) -> Option<&mut Closure> {
        let last = self.closures.iter_mut().rev().find(|closure| closure.switch == switch);
        last.filter(|closure| closure.pressed == pressed)
    }

    fn event(&mut self, event: &Event) {
        match event {
            Event::BlockBegan { kind, .. } => {
                self.choice = None;
                (self.quiet_block, self.resting) = (*kind == BlockKind::QuietWatch, false);
            }
            Event::BlockEnded { .. } => self.quiet_block = false,
            Event::Rest { .. } | Event::Question => {
                self.choice = None;
                self.resting = true;
            }
            Event::CarriedOn => self.resting = false,
            Event::Settings { values, .. } => self.automatic = automatic(values),
            Event::TrialBegan { .. } => self.trial_from = Some(self.closures.len()),
            Event::Trial(trial) => self.trial(trial),
            _ => {}
        }
    }

    /// Every closure since the trial began gets its aim.
    fn trial(&mut self, trial: &Trial) {
        let counts = self.judged.next().is_some_and(|judged| judged.counts());
        let before = self.choice.take();
        let Some(from) = self.trial_from.take().filter(|_| counts) else { return };
        // Without a scan of its own a press may be a step, which is not logged as one.
        let further_is_unwanted =
            self.automatic || trial.kind == BlockKind::Reaction || trial.kind == BlockKind::Repeat;
        let took = self.took(trial);
        self.choice = took;
        let (mut answered, mut first_of_pair) = (false, None);
        for closure in &mut self.closures[from..] {
            closure.aim = match outcome(trial, closure) {
                Some(Outcome::Hit | Outcome::Early | Outcome::Late) => {
                    answered = true;
                    Aim::Wanted
                }
                Some(Outcome::Wrong) => Aim::Unknown,
                _ if closure.locked_out || (answered && further_is_unwanted) => Aim::Unwanted,
                _ => Aim::Unknown,
            };
            let since = if closure.pressed < trial.began { before } else { took };
            closure.choice = since.filter(|since| closure.pressed > *since);
            if trial.kind == BlockKind::Repeat && closure.aim == Aim::Wanted {
                closure.pair = first_of_pair;
                first_of_pair = Some(closure.pressed);
            }
        }
    }

    /// When a trial under a scan of its own took an item.
    fn took(&self, trial: &Trial) -> Option<Moment> {
        let scanned = self.automatic && trial.kind != BlockKind::Repeat;
        let took = trial.presses.iter().any(|press| press.accepted == trial.ended);
        (scanned && took).then_some(trial.ended)
    }
}

/// What the trial made of a closure, which it knows by its press or, where letting go acts, by its
/// release.
fn outcome(trial: &Trial, closure: &Closure) -> Option<Outcome> {
    let is = |at: Moment| at == closure.pressed || Some(at) == closure.released;
    trial.presses.iter().find(|press| is(press.pressed)).map(|press| press.outcome)
}

fn automatic(settings: &Settings) -> bool {
    settings.technique() == Technique::Automatic
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::header::Header;
    use crate::menu;
    use crate::session::input::{PauseReason, Prompt};
    use crate::session::trial::Press;
    use crate::session::{Plan, shipped};
    use crate::time::Span;

    fn header() -> Header {
        let (protocol, _) = shipped::find("first-look").unwrap();
        let menu = menu::shipped::find("six").unwrap();
        Header::for_plan(&Plan { protocol, menu, settings: Settings::default(), seed: 1 })
    }

    fn event(at: u64, event: Event) -> Record {
        Record { at: Moment(at), what: What::Event(event) }
    }

    fn closure(pressed: u64, released: u64) -> [Record; 2] {
        let (switch, pressed, edge) = (Switch(0), Moment(pressed), Moment(released));
        let effect = |at, effect| Record { at, what: What::Effect(effect) };
        [
            effect(pressed, Effect::Pressed { switch, edge: pressed }),
            effect(edge, Effect::Released { switch, pressed, edge }),
        ]
    }

    fn block(kind: BlockKind) -> Record {
        event(0, Event::BlockBegan { block: 0, kind })
    }

    /// A timed press with a hit at `pressed`.
    fn trial(pressed: u64, prompt: Prompt) -> Record {
        let at = Moment(pressed);
        let press = Press {
            pressed: at,
            accepted: at,
            outcome: Outcome::Hit,
            level: 0,
            position: Some(1),
            wanted: 1,
            count: 5,
            latency_us: Some(1),
        };
        let trial = Trial {
            block: 0,
            kind: BlockKind::TimedPress,
            trial: 1,
            scored: true,
            outcome: Outcome::Hit,
            reached: true,
            target: "tile-2".into(),
            attempt: 1,
            cued: Moment(0),
            began: Moment(0),
            ended: at,
            wait_us: None,
            position: 1,
            count: 5,
            interval_us: Span(1),
            settings: 0,
            passes_missed: 0,
            presses: vec![press],
            previous: None,
            prompt,
            interruption: None,
            excluded: None,
        };
        event(1_000_000, Event::Trial(Box::new(trial)))
    }

    fn began() -> Record {
        event(0, Event::TrialBegan { block: 0, trial: 1, target: "tile-2".into() })
    }

    fn found(records: &[Record]) -> Vec<Contact> {
        let header = header();
        contacts(0, &Reading::of(&header, records))
    }

    fn aims(records: &[Record]) -> Vec<Aim> {
        found(records).iter().map(|contact| contact.aim).collect()
    }

    #[test]
    fn before_the_answer_unknown_the_answer_wanted_and_after_it_unwanted() {
        let presses = [closure(100, 200), closure(300, 400), closure(500, 600)].concat();
        let with =
            |prompt| [vec![block(BlockKind::TimedPress), began()], presses.clone(), vec![trial(300, prompt)]].concat();
        assert_eq!(aims(&with(Prompt::None)), [Aim::Unknown, Aim::Wanted, Aim::Unwanted]);
        assert_eq!(aims(&with(Prompt::Spoken)), [Aim::Unknown; 3]);
    }

    #[test]
    fn a_press_after_a_choice_knows_how_long_after_until_the_next_scan_begins() {
        // The log holds a press in vain after the choice too.
        let with = |pressed, began, vain| match trial(pressed, Prompt::None).what {
            What::Event(Event::Trial(trial)) => {
                let hit = trial.presses[0];
                let extra = Press { pressed: Moment(vain), accepted: Moment(vain), outcome: Outcome::Extra, ..hit };
                let one = Trial { began: Moment(began), presses: vec![hit, extra], ..*trial };
                event(5_000_000, Event::Trial(Box::new(one)))
            }
            _ => unreachable!("a trial was made"),
        };
        let all = [
            vec![block(BlockKind::TimedPress), began()],
            closure(100, 200).to_vec(),
            closure(400_100, 400_200).to_vec(),
            vec![with(100, 0, 400_100), began()],
            closure(1_500_100, 1_500_200).to_vec(),
            closure(4_000_000, 4_100_000).to_vec(),
            vec![with(4_000_000, 3_000_000, 1_500_100)],
        ]
        .concat();
        let since: Vec<_> = found(&all).iter().map(|contact| contact.after_choice_s).collect();
        assert_eq!(since, [None, Some(0.4), Some(1.5), None]);
    }

    #[test]
    fn the_second_press_of_a_pair_knows_the_first() {
        let pair = |from: u64| match trial(from, Prompt::None).what {
            What::Event(Event::Trial(trial)) => {
                let first = trial.presses[0];
                let second = Press { pressed: Moment(from + 300_000), ..first };
                let pair = Trial { kind: BlockKind::Repeat, presses: vec![first, second], ..*trial };
                event(from + 400_000, Event::Trial(Box::new(pair)))
            }
            _ => unreachable!("a trial was made"),
        };
        let presses = |from| [closure(from, from + 100), closure(from + 300_000, from + 300_100)].concat();
        let all = [
            vec![block(BlockKind::Repeat), began()],
            presses(1_000),
            vec![pair(1_000), began()],
            presses(2_000_000),
            vec![pair(2_000_000)],
        ]
        .concat();
        let pairs: Vec<_> = found(&all).iter().map(|contact| contact.pair_s).collect();
        assert_eq!(pairs, [None, Some(0.3), None, Some(0.3)]);
    }

    #[test]
    fn a_closure_inside_the_lockout_is_unwanted() {
        let ignored = Effect::NotCounted { switch: Switch(0), pressed: Moment(100), why: Ignored::Lockout };
        let ignored = Record { at: Moment(100), what: What::Effect(ignored) };
        let [down, up] = closure(100, 200);
        let [hit, away] = closure(300, 400);
        let all = [block(BlockKind::TimedPress), began(), down, ignored, up, hit, away, trial(300, Prompt::None)];
        assert_eq!(aims(&all), [Aim::Unwanted, Aim::Wanted]);
    }

    #[test]
    fn in_a_quiet_watch_all_are_unwanted_but_not_while_it_rests() {
        let rest = || event(250, Event::Rest { why: crate::session::event::RestReason::Released });
        let carried_on = event(450, Event::CarriedOn);
        let all = [
            vec![block(BlockKind::QuietWatch)],
            closure(100, 200).to_vec(),
            vec![rest()],
            closure(300, 400).to_vec(),
            vec![carried_on],
            closure(500, 600).to_vec(),
        ]
        .concat();
        assert_eq!(aims(&all), [Aim::Unwanted, Aim::Unknown, Aim::Unwanted]);
    }

    #[test]
    fn the_assessors_presses_are_left_out_and_no_gap_spans_them_or_a_pause() {
        let mine = |on| Record { at: Moment(250), what: What::Input(Input::MyPresses { on }) };
        let pause = event(650, Event::Paused { why: PauseReason::Clinician });
        let all = [
            closure(10, 20).to_vec(),
            vec![block(BlockKind::FirstContact)],
            closure(100, 200).to_vec(),
            vec![mine(true)],
            closure(300, 400).to_vec(),
            vec![mine(false)],
            closure(500, 600).to_vec(),
            vec![pause, event(700, Event::Resumed)],
            closure(800, 900).to_vec(),
            closure(1_000, 1_300).to_vec(),
        ]
        .concat();
        let gaps: Vec<_> = found(&all).iter().map(|contact| contact.gap_s).collect();
        assert_eq!(gaps, [None, None, None, Some(0.0001)]);
        assert_eq!(found(&all)[3].held_s, Some(0.0003));
    }

    #[test]
    fn a_switch_that_is_never_let_go_has_no_duration() {
        let [down, _] = closure(100, 200);
        let all = [block(BlockKind::FirstContact), down];
        assert_eq!(found(&all)[0].held_s, None);
    }
}
