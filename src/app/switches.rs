//! The switches of a session: what works each, what it does, and whether it is there.
//!
//! A pure machine: what happens to the devices goes in, inputs of the session come out.

use super::binding::Binding;
use super::devices::level::{BREATH, SOUND};
use crate::engine::effect::{Role, Switch};
use crate::session::input::{Input, PauseReason};

/// What a switch is on: with it the switch comes and goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carrier {
    /// A pad, from 1.
    Pad(u8),
    /// The microphone.
    Microphone,
}

/// All of them, the first one first.
#[derive(Clone, Debug)]
pub struct Switches {
    bound: Vec<Bound>,
    /// What gives the level that works some of them.
    level: Option<Carrier>,
    /// What was unplugged while the session needs it.
    missing: Option<Carrier>,
    /// Worked once since then, instead.
    candidate: Option<Binding>,
}

#[derive(Clone, Copy, Debug)]
struct Bound {
    binding: Binding,
    role: Role,
    down: bool,
}

impl Switches {
    /// As they were learned; there is a role for each.
    #[must_use]
    pub fn new(bindings: &[Binding], roles: &[Role]) -> Switches {
        let bind = |(binding, role): (&Binding, &Role)| Bound { binding: *binding, role: *role, down: false };
        Switches { bound: bindings.iter().zip(roles).map(bind).collect(), level: None, missing: None, candidate: None }
    }

    /// Presses of a level come from this.
    #[must_use]
    pub fn with_level(self, carrier: Option<Carrier>) -> Switches {
        Switches { level: carrier, ..self }
    }

    /// What works it is on this.
    fn is_on(&self, binding: Binding, carrier: Carrier) -> bool {
        match binding {
            Binding::Pad(on, _) => Carrier::Pad(on) == carrier,
            Binding::Level(BREATH | SOUND, _) => self.level == Some(carrier),
            _ => false,
        }
    }

    /// The switch that this works.
    #[must_use]
    pub fn find(&self, binding: Binding) -> Option<Switch> {
        let place = self.bound.iter().position(|bound| bound.binding == binding)?;
        Some(Switch(place as u8))
    }

    /// A raw edge of a switch; `None` when this works none.
    pub fn edge(&mut self, binding: Binding, down: bool) -> Option<Input> {
        let switch = self.find(binding)?;
        self.bound[usize::from(switch.0)].down = down;
        Some(Input::Edge { switch, down })
    }

    /// It is gone. Where a switch of the session is on it, the session waits; what was held is let go.
    pub fn unplugged(&mut self, carrier: Carrier) -> Vec<Input> {
        let lost: Vec<Binding> =
            self.bound.iter().map(|bound| bound.binding).filter(|binding| self.is_on(*binding, carrier)).collect();
        if lost.is_empty() {
            return Vec::new();
        }
        self.missing = Some(carrier);
        self.wait(PauseReason::Unplugged, |bound| lost.contains(&bound.binding))
    }

    /// It is there; where it is what was missing, the session goes on.
    pub fn plugged(&mut self, carrier: Carrier) -> Vec<Input> {
        if self.missing != Some(carrier) {
            return Vec::new();
        }
        (self.missing, self.candidate) = (None, None);
        vec![Input::Resume]
    }

    /// Something that is no switch was pressed. While one is missing, the second press makes it the new one.
    pub fn offered(&mut self, binding: Binding) -> Vec<Input> {
        let Some(carrier) = self.missing else { return Vec::new() };
        if self.candidate.replace(binding) != Some(binding) {
            return Vec::new();
        }
        self.candidate = None;
        if let Some(lost) = self.bound.iter().position(|bound| self.is_on(bound.binding, carrier)) {
            self.bound[lost].binding = binding;
        }
        if self.bound.iter().any(|bound| self.is_on(bound.binding, carrier)) {
            return vec![self.named()];
        }
        self.missing = None;
        vec![self.named(), Input::Resume]
    }

    /// A switch changes faster than any hand: the session waits, and it is let go.
    pub fn flooded(&mut self, binding: Binding) -> Vec<Input> {
        if self.find(binding).is_none() {
            return Vec::new();
        }
        self.wait(PauseReason::Flooded, |bound| bound.binding == binding)
    }

    fn wait(&mut self, why: PauseReason, lost: impl Fn(&Bound) -> bool) -> Vec<Input> {
        // Said first, so that what is let go takes nothing.
        let mut inputs = vec![Input::Pause { why }];
        for (bound, place) in self.bound.iter_mut().zip(0..) {
            if lost(bound) && std::mem::take(&mut bound.down) {
                inputs.push(Input::Edge { switch: Switch(place), down: false });
            }
        }
        inputs
    }

    /// What they are, for the log.
    #[must_use]
    pub fn named(&self) -> Input {
        Input::Switches {
            roles: self.bound.iter().map(|bound| bound.role).collect(),
            devices: self.bound.iter().map(|bound| bound.binding.to_string()).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn binding(text: &str) -> Binding {
        text.parse().unwrap()
    }

    fn stick() -> Switches {
        let bindings = [binding("pad 1 axis LeftStickX +"), binding("key Space")];
        Switches::new(&bindings, &[Role::Step, Role::Select])
    }

    #[test]
    fn unplugging_pauses_lets_go_of_what_was_held_and_plugging_in_goes_on() {
        let mut switches = stick();
        switches.edge(binding("pad 1 axis LeftStickX +"), true);
        let pause = Input::Pause { why: PauseReason::Unplugged };
        assert_eq!(switches.unplugged(Carrier::Pad(1)), [pause, Input::Edge { switch: Switch(0), down: false }]);
        assert_eq!(switches.plugged(Carrier::Pad(2)), []);
        assert_eq!(switches.plugged(Carrier::Pad(1)), [Input::Resume]);
        assert_eq!(switches.plugged(Carrier::Pad(1)), []);
    }

    #[test]
    fn a_microphone_that_is_gone_pauses_only_what_it_works() {
        let voice = Switches::new(&[binding("microphone soft sound")], &[Role::Select]);
        let mut voice = voice.with_level(Some(Carrier::Microphone));
        assert_eq!(voice.unplugged(Carrier::Pad(1)), []);
        assert_eq!(voice.unplugged(Carrier::Microphone), [Input::Pause { why: PauseReason::Unplugged }]);
        assert_eq!(voice.plugged(Carrier::Microphone), [Input::Resume]);
        assert_eq!(stick().unplugged(Carrier::Microphone), []);
    }

    #[test]
    fn a_pad_that_nobody_uses_may_come_and_go() {
        let mut switches = stick();
        let pad = Carrier::Pad(2);
        assert_eq!((switches.unplugged(pad), switches.plugged(pad)), (Vec::new(), Vec::new()));
        assert_eq!(switches.offered(binding("key KeyA")), []);
    }

    #[test]
    fn another_switch_worked_twice_takes_the_place_of_the_missing_one() {
        let mut switches = stick();
        switches.unplugged(Carrier::Pad(1));
        let key = binding("key KeyA");
        assert_eq!(switches.offered(key), []);
        assert_eq!(switches.offered(binding("key KeyB")), []);
        assert_eq!(switches.offered(key), []);
        let roles = vec![Role::Step, Role::Select];
        let devices = vec!["key KeyA".to_string(), "key Space".to_string()];
        assert_eq!(switches.offered(key), [Input::Switches { roles, devices }, Input::Resume]);
        assert_eq!(switches.find(key), Some(Switch(0)));
    }

    #[test]
    fn a_flooding_switch_pauses_and_anything_else_that_floods_does_not() {
        let mut switches = stick();
        assert_eq!(switches.flooded(binding("key KeyA")), []);
        assert_eq!(switches.flooded(binding("key Space")), [Input::Pause { why: PauseReason::Flooded }]);
    }
}
