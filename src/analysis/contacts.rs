//! Every closure of the switch: how long it was held, what gap stood before it, what it was for.
//!
//! Presses in the assessor's hands are left out. What cannot be told is said to be unknown: first
//! contact, rest, questions, pauses, and every trial that does not count.

use std::collections::HashMap;
use std::ptr;

use super::evidence::{Aim, Contact};
use super::hands::Hands;
use super::opportunities::by_trial;
use super::reading::{Judged, Reading};
use crate::engine::effect::{Effect, Ignored, Switch};
use crate::session::event::{BlockKind, Event};
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::session::trial::{Outcome, Trial};
use crate::settings::{Settings, Technique};
use crate::time::Moment;

/// The contacts of one session, in order.
pub(super) fn contacts(session: u32, records: &[Record], reading: &Reading) -> Vec<Contact> {
    let judged = by_trial(reading).collect();
    let mut walk = Walk { judged, ..Walk::new() };
    records.iter().for_each(|record| walk.take(record));
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
            aim: self.aim,
        }
    }
}

struct Walk<'a> {
    judged: HashMap<*const Trial, &'a Judged<'a>>,
    hands: Hands,
    /// The block that runs is a quiet watch.
    quiet_block: bool,
    /// The client rests or is asked whether to.
    resting: bool,
    /// The scan runs by itself, so that no press is needed to move it.
    automatic: bool,
    /// The first closure of the trial that runs.
    trial_from: Option<usize>,
    closures: Vec<Closure>,
    /// When each switch was last let go.
    released: Vec<(Switch, Moment)>,
}

impl Walk<'_> {
    fn new() -> Self {
        Walk {
            judged: HashMap::new(),
            hands: Hands::new(),
            quiet_block: false,
            resting: false,
            automatic: true,
            trial_from: None,
            closures: Vec::new(),
            released: Vec::new(),
        }
    }

    fn take(&mut self, record: &Record) {
        self.hands.take(record);
        if self.hands.mine || self.hands.paused {
            self.released.clear();
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
        self.closures.push(Closure { switch, pressed, released: None, before, locked_out: false, aim });
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
                (self.quiet_block, self.resting) = (*kind == BlockKind::QuietWatch, false);
            }
            Event::BlockEnded { .. } => self.quiet_block = false,
            Event::Rest { .. } | Event::Question => self.resting = true,
            Event::CarriedOn => self.resting = false,
            Event::Settings { values, .. } => self.automatic = automatic(values),
            Event::TrialBegan { .. } => self.trial_from = Some(self.closures.len()),
            Event::Trial(trial) => self.trial(trial),
            _ => {}
        }
    }

    /// Every closure since the trial began gets its aim.
    fn trial(&mut self, trial: &Trial) {
        let Some(from) = self.trial_from.take() else { return };
        if !self.judged.get(&ptr::from_ref(trial)).is_some_and(|judged| judged.counts()) {
            return;
        }
        // Without a scan of its own a press may be a step, which is not logged as one.
        let further_is_unwanted =
            self.automatic || trial.kind == BlockKind::Reaction || trial.kind == BlockKind::Repeat;
        let mut answered = false;
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
        }
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
