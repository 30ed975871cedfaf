//! A touch screen: all of it is a switch, or each half, or a field of it that the client sees.

use winit::event::TouchPhase;

use super::{Kind, after};
use crate::app::binding::Binding;

pub(super) const KIND: Kind = Kind {
    name: "touch",
    example: "touch anywhere",
    remark: "It stays pressed until the last finger has left. Where two switches are wanted, each half is one. With \
             `touch field` only a field counts that stands at the lower edge: a hand may rest on the screen above it.",
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
    /// The field that the board shows for it.
    Field,
}

const ZONES: [(Zone, &str); 4] =
    [(Zone::Anywhere, "anywhere"), (Zone::Left, "left half"), (Zone::Right, "right half"), (Zone::Field, "field")];

/// How the screen is divided into switches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Division {
    /// It is one.
    #[default]
    Whole,
    /// Each half is one.
    Halves,
    /// Only the field is one.
    Field,
}

impl Division {
    /// As these switches need it; where none of them is a touch, halves for more switches than one.
    #[must_use]
    pub fn of(switches: &[Binding], count: usize) -> Division {
        let unknown = if count > 1 { Division::Halves } else { Division::Whole };
        divisions(switches).next().map_or(unknown, |(_, division)| division)
    }

    fn zone(self, across: f64, on_field: bool) -> Option<Zone> {
        match self {
            Division::Whole => Some(Zone::Anywhere),
            Division::Halves => Some(if across < 0.5 { Zone::Left } else { Zone::Right }),
            Division::Field => on_field.then_some(Zone::Field),
        }
    }
}

fn divisions(switches: &[Binding]) -> impl Iterator<Item = (Binding, Division)> {
    switches.iter().filter_map(|switch| match switch {
        Binding::Touch(Zone::Anywhere) => Some((*switch, Division::Whole)),
        Binding::Touch(Zone::Left | Zone::Right) => Some((*switch, Division::Halves)),
        Binding::Touch(Zone::Field) => Some((*switch, Division::Field)),
        _ => None,
    })
}

/// Two of the switches that one touch would work at once.
#[must_use]
pub fn at_odds(switches: &[Binding]) -> Option<(Binding, Binding)> {
    let (first, division) = divisions(switches).next()?;
    divisions(switches).find(|(_, other)| *other != division).map(|(other, _)| (first, other))
}

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
    division: Division,
}

impl Touch {
    /// The screen is divided like this from now on.
    pub fn divide(&mut self, division: Division) {
        self.division = division;
    }

    /// What a finger at this share of the width, on the field or not, changed, if it changed anything.
    pub fn change(&mut self, finger: u64, phase: TouchPhase, across: f64, on_field: bool) -> Option<(Binding, bool)> {
        match phase {
            TouchPhase::Started => self.down(finger, self.division.zone(across, on_field)?),
            TouchPhase::Moved => None,
            TouchPhase::Ended | TouchPhase::Cancelled => self.up(finger),
        }
    }

    fn down(&mut self, finger: u64, zone: Zone) -> Option<(Binding, bool)> {
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

    const DOWN: TouchPhase = TouchPhase::Started;
    const UP: TouchPhase = TouchPhase::Ended;

    fn touch(division: Division) -> Touch {
        Touch { division, ..Touch::default() }
    }

    #[test]
    fn the_switch_is_pressed_from_the_first_finger_to_the_last() {
        let mut touch = touch(Division::Whole);
        let whole = Binding::Touch(Zone::Anywhere);
        assert_eq!(touch.change(1, DOWN, 0.2, false), Some((whole, true)));
        assert_eq!(touch.change(2, DOWN, 0.9, false), None);
        assert_eq!(touch.change(1, TouchPhase::Moved, 0.8, false), None);
        assert_eq!(touch.change(1, UP, 0.8, false), None);
        assert_eq!(touch.change(2, TouchPhase::Cancelled, 0.9, false), Some((whole, false)));
        assert_eq!(touch.change(2, UP, 0.9, false), None);
    }

    #[test]
    fn halves_are_two_switches_and_a_finger_belongs_to_the_one_it_came_down_on() {
        let mut touch = touch(Division::Halves);
        assert_eq!(touch.change(1, DOWN, 0.2, false), Some((Binding::Touch(Zone::Left), true)));
        assert_eq!(touch.change(2, DOWN, 0.5, false), Some((Binding::Touch(Zone::Right), true)));
        assert_eq!(touch.change(1, UP, 0.7, false), Some((Binding::Touch(Zone::Left), false)));
    }

    #[test]
    fn with_a_field_a_hand_that_rests_elsewhere_neither_presses_nor_holds() {
        let (mut touch, field) = (touch(Division::Field), Binding::Touch(Zone::Field));
        assert_eq!(touch.change(1, DOWN, 0.5, false), None, "the hand rests");
        assert_eq!(touch.change(2, DOWN, 0.5, true), Some((field, true)));
        assert_eq!(touch.change(1, TouchPhase::Moved, 0.5, true), None, "it slides onto the field");
        assert_eq!(touch.change(2, UP, 0.5, false), Some((field, false)), "a finger may slide off it");
        assert_eq!(touch.change(1, UP, 0.5, true), None);
    }

    #[test]
    fn the_screen_is_divided_as_the_switches_need_it_and_two_ways_at_once_are_told() {
        let read = |names: &[&str]| names.iter().map(|name| name.parse().unwrap()).collect::<Vec<Binding>>();
        let of = |names: &[&str], count| Division::of(&read(names), count);
        assert_eq!((of(&[], 1), of(&["key Space"], 2)), (Division::Whole, Division::Halves));
        assert_eq!(of(&["key Space", "touch anywhere"], 2), Division::Whole);
        assert_eq!((of(&["touch field"], 2), of(&["touch left half"], 1)), (Division::Field, Division::Halves));
        assert_eq!(at_odds(&read(&["touch left half", "key Space", "touch right half"])), None);
        let odd = read(&["touch field", "touch anywhere"]);
        assert_eq!(at_odds(&odd), Some((odd[0], odd[1])));
    }
}
