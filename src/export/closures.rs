//! Every closure of the raw contact in a session, and what became of it.

use crate::analysis::hands::Hands;
use crate::engine::effect::{Effect, Ignored, Switch};
use crate::session::event::{BlockKind, Event};
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::session::trial::Press;
use crate::time::Moment;

/// All of them, in the order in which they began.
pub(super) fn closures(records: &[Record]) -> Vec<Closure> {
    let mut walk = Walk { hands: Hands::new(), resting: false, block: None, trial: None, closures: Vec::new() };
    records.iter().for_each(|record| walk.take(record));
    walk.closures
}

/// What the records say of a closure.
#[derive(Clone, Debug)]
pub(super) struct Closure {
    pub switch: Switch,
    pub closed: Moment,
    pub opened: Option<Moment>,
    pub state: &'static str,
    pub block: Option<(u16, BlockKind)>,
    pub trial: Option<u32>,
    /// The filter took it for a press, and when that press was let go.
    pub pressed: bool,
    pub let_go: Option<Moment>,
    pub accepted: Option<Moment>,
    pub ignored: Option<Ignored>,
    pub judged: Option<Press>,
}

impl Closure {
    /// Whether a press with this stamp is this closure: by its press or, where letting go acts, by
    /// its release.
    fn is(&self, stamp: Moment) -> bool {
        self.pressed && (self.closed == stamp || self.let_go == Some(stamp))
    }
}

struct Walk {
    hands: Hands,
    resting: bool,
    block: Option<(u16, BlockKind)>,
    trial: Option<u32>,
    closures: Vec<Closure>,
}

impl Walk {
    fn take(&mut self, record: &Record) {
        self.hands.take(record);
        match record.what.edge() {
            Some((switch, true)) => self.closed(switch, record.at),
            Some((switch, false)) => self.opened(switch, record.at),
            None => {}
        }
        match &record.what {
            What::Input(Input::Next) if !self.hands.paused => self.resting = false,
            What::Input(_) => {}
            What::Effect(effect) => self.effect(effect),
            What::Event(event) => self.event(event),
        }
    }

    fn closed(&mut self, switch: Switch, closed: Moment) {
        let state = self.state();
        let trial = self.trial.filter(|_| state == "trial");
        self.closures.push(Closure {
            switch,
            closed,
            opened: None,
            state,
            block: self.block,
            trial,
            pressed: false,
            let_go: None,
            accepted: None,
            ignored: None,
            judged: None,
        });
    }

    fn state(&self) -> &'static str {
        match () {
            () if self.hands.mine => "assessor",
            () if self.hands.paused => "paused",
            () if self.resting => "resting",
            () if self.trial.is_some() => "trial",
            () if self.block.is_some_and(|(_, kind)| without_trials(kind)) => "open-block",
            () => "between",
        }
    }

    fn opened(&mut self, switch: Switch, at: Moment) {
        if let Some(last) = self.find(|closure| closure.switch == switch) {
            last.opened = last.opened.or(Some(at));
        }
    }

    /// The last closure of which this holds.
    fn find(&mut self, wanted: impl Fn(&Closure) -> bool) -> Option<&mut Closure> {
        self.closures.iter_mut().rev().find(|closure| wanted(closure))
    }

    fn effect(&mut self, effect: &Effect) {
        match *effect {
            Effect::Pressed { switch, edge } => {
                if let Some(found) = self.find(|closure| closure.switch == switch && closure.closed == edge) {
                    found.pressed = true;
                }
            }
            Effect::Released { switch, pressed, edge } => {
                if let Some(found) = self.find(|closure| closure.switch == switch && closure.is(pressed)) {
                    found.let_go = Some(edge);
                }
            }
            Effect::Activated(by) => {
                if let Some(found) = self.find(|closure| closure.switch == by.switch && closure.is(by.pressed)) {
                    found.accepted = Some(by.accepted);
                }
            }
            Effect::NotCounted { switch, pressed, why } => {
                if let Some(found) = self.find(|closure| closure.switch == switch && closure.is(pressed)) {
                    found.ignored = Some(why);
                }
            }
            _ => {}
        }
    }

    fn event(&mut self, event: &Event) {
        match event {
            Event::BlockBegan { block, kind } => {
                (self.block, self.trial, self.resting) = (Some((*block, *kind)), None, false);
            }
            Event::BlockEnded { .. } => (self.block, self.trial) = (None, None),
            Event::TrialBegan { trial, .. } => (self.trial, self.resting) = (Some(*trial), false),
            Event::Rest { .. } | Event::Question => self.resting = true,
            Event::CarriedOn => self.resting = false,
            Event::Trial(trial) => {
                self.trial = None;
                for press in &trial.presses {
                    if let Some(found) = self.find(|closure| closure.judged.is_none() && closure.is(press.pressed)) {
                        // The last edge of a trial may have come in the same batch as its end.
                        (found.judged, found.trial) = (Some(*press), Some(trial.trial));
                        found.block = Some((trial.block, trial.kind));
                    }
                }
            }
            _ => {}
        }
    }
}

fn without_trials(kind: BlockKind) -> bool {
    matches!(kind, BlockKind::FirstContact | BlockKind::QuietWatch | BlockKind::SwitchCheck)
}
