//! A touch screen: all of it is a switch, or each half.

use winit::event::TouchPhase;

use super::{Kind, after};
use crate::app::binding::Binding;

pub(super) const KIND: Kind = Kind {
    name: "touch",
    example: "touch anywhere",
    remark: "It stays pressed until the last finger has left. Where two switches are wanted, each half is one.",
    read,
};

/// A part of the screen that is a switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Zone {
    /// All of it.
    Anywhere,
    /// The left half.
    Left,
    /// The right half.
    Right,
}

const ZONES: [(Zone, &str); 3] = [(Zone::Anywhere, "anywhere"), (Zone::Left, "left half"), (Zone::Right, "right half")];

/// The words for it.
#[must_use]
pub fn words(zone: Zone) -> &'static str {
    ZONES.iter().find(|(one, _)| *one == zone).map_or("", |(_, words)| words)
}

fn read(text: &str) -> Option<Binding> {
    let name = after(text, "touch ")?;
    ZONES.iter().find(|(_, words)| name.eq_ignore_ascii_case(words)).map(|(zone, _)| Binding::Touch(*zone))
}

/// The fingers on the screen.
#[derive(Clone, Debug, Default)]
pub struct Touch {
    fingers: Vec<(u64, Zone)>,
    halves: bool,
}

impl Touch {
    /// Each half is a switch of its own from now on.
    pub fn halve(&mut self, halves: bool) {
        self.halves = halves;
    }

    /// What a finger at this share of the width changed, if it changed anything.
    pub fn change(&mut self, finger: u64, phase: TouchPhase, across: f64) -> Option<(Binding, bool)> {
        match phase {
            TouchPhase::Started => self.down(finger, across),
            TouchPhase::Moved => None,
            TouchPhase::Ended | TouchPhase::Cancelled => self.up(finger),
        }
    }

    fn down(&mut self, finger: u64, across: f64) -> Option<(Binding, bool)> {
        let zone = match (self.halves, across < 0.5) {
            (false, _) => Zone::Anywhere,
            (true, true) => Zone::Left,
            (true, false) => Zone::Right,
        };
        let first = !self.fingers.iter().any(|(_, touched)| *touched == zone);
        self.fingers.retain(|(known, _)| *known != finger);
        self.fingers.push((finger, zone));
        first.then_some((Binding::Touch(zone), true))
    }

    fn up(&mut self, finger: u64) -> Option<(Binding, bool)> {
        let place = self.fingers.iter().position(|(known, _)| *known == finger)?;
        let (_, zone) = self.fingers.swap_remove(place);
        let last = !self.fingers.iter().any(|(_, touched)| *touched == zone);
        last.then_some((Binding::Touch(zone), false))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_switch_is_pressed_from_the_first_finger_to_the_last() {
        let mut touch = Touch::default();
        let whole = Binding::Touch(Zone::Anywhere);
        assert_eq!(touch.change(1, TouchPhase::Started, 0.2), Some((whole, true)));
        assert_eq!(touch.change(2, TouchPhase::Started, 0.9), None);
        assert_eq!(touch.change(1, TouchPhase::Moved, 0.8), None);
        assert_eq!(touch.change(1, TouchPhase::Ended, 0.8), None);
        assert_eq!(touch.change(2, TouchPhase::Cancelled, 0.9), Some((whole, false)));
        assert_eq!(touch.change(2, TouchPhase::Ended, 0.9), None);
    }

    #[test]
    fn halves_are_two_switches_and_a_finger_belongs_to_the_one_it_came_down_on() {
        let mut touch = Touch::default();
        touch.halve(true);
        assert_eq!(touch.change(1, TouchPhase::Started, 0.2), Some((Binding::Touch(Zone::Left), true)));
        assert_eq!(touch.change(2, TouchPhase::Started, 0.5), Some((Binding::Touch(Zone::Right), true)));
        assert_eq!(touch.change(1, TouchPhase::Ended, 0.7), Some((Binding::Touch(Zone::Left), false)));
    }
}
