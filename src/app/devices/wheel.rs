//! The mouse wheel: each notch is a press that is let go at once.

use winit::event::MouseScrollDelta;

use super::{Kind, after};
use crate::app::binding::Binding;

pub(super) const KIND: Kind = Kind {
    name: "mouse wheel",
    example: "mouse wheel up",
    remark: "A notch has no length: hold time, press duration and inverse scanning cannot be measured through it.",
    read,
};

/// Which way the wheel turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Turn {
    /// Away from the hand.
    Up,
    /// Towards the hand.
    Down,
    /// To the left.
    Left,
    /// To the right.
    Right,
}

const TURNS: [(Turn, &str); 4] = [(Turn::Up, "up"), (Turn::Down, "down"), (Turn::Left, "left"), (Turn::Right, "right")];
/// Pixels that make a notch where the wheel has none (common practice, no source).
const NOTCH_PX: f64 = 20.0;
/// The numbers that X gives to the wheel's four ways, as if they were buttons.
const X11_BUTTONS: std::ops::RangeInclusive<u32> = 4..=7;

/// The word for it.
#[must_use]
pub fn word(turn: Turn) -> &'static str {
    TURNS.iter().find(|(one, _)| *one == turn).map_or("", |(_, word)| word)
}

fn read(text: &str) -> Option<Binding> {
    let name = after(text, "mouse wheel ")?;
    TURNS.iter().find(|(_, word)| name.eq_ignore_ascii_case(word)).map(|(turn, _)| Binding::Wheel(*turn))
}

/// Whether the wheel is one of these switches, or can still be learned as one of so many.
#[must_use]
pub fn may_work(switches: &[Binding], count: usize) -> bool {
    switches.len() < count || switches.iter().any(|switch| matches!(switch, Binding::Wheel(_)))
}

/// Gathers what the window reports until it makes a notch.
#[derive(Clone, Debug, Default)]
pub struct Wheel {
    across: f64,
    along: f64,
    /// What the window is told next is a notch that comes to its end, which is no other notch.
    ends: bool,
}

impl Wheel {
    /// A button went down or up, by its number in X. There a wheel without steps of its own (a remote screen, an
    /// adapter) is a button, and winit tells its going down and its coming up as the same notch; this comes before each.
    pub fn button(&mut self, number: u32, down: bool) {
        if X11_BUTTONS.contains(&number) {
            self.ends = !down;
        }
    }

    /// The notches that are complete; at most a handful, whatever the device says.
    pub fn notches(&mut self, delta: MouseScrollDelta) -> Vec<Binding> {
        if std::mem::take(&mut self.ends) { Vec::new() } else { self.complete(delta) }
    }

    fn complete(&mut self, delta: MouseScrollDelta) -> Vec<Binding> {
        let (across, along) = match delta {
            MouseScrollDelta::LineDelta(across, along) => (f64::from(across), f64::from(along)),
            MouseScrollDelta::PixelDelta(by) => (by.x / NOTCH_PX, by.y / NOTCH_PX),
        };
        let mut all = turns(&mut self.along, along, Turn::Up, Turn::Down);
        all.extend(turns(&mut self.across, across, Turn::Right, Turn::Left));
        all
    }
}

fn turns(sum: &mut f64, by: f64, more: Turn, less: Turn) -> Vec<Binding> {
    // Turned back, or no number: what was gathered counts no longer.
    if !by.is_finite() || *sum * by < 0.0 {
        *sum = 0.0;
    }
    *sum += if by.is_finite() { by.clamp(-8.0, 8.0) } else { 0.0 };
    let whole = sum.trunc();
    *sum -= whole;
    vec![Binding::Wheel(if whole > 0.0 { more } else { less }); whole.abs() as usize]
}

#[cfg(test)]
mod tests {
    use super::*;
    use winit::dpi::PhysicalPosition;

    #[test]
    fn a_line_is_a_notch_and_pixels_are_gathered() {
        let mut wheel = Wheel::default();
        assert_eq!(wheel.complete(MouseScrollDelta::LineDelta(0.0, 1.0)), [Binding::Wheel(Turn::Up)]);
        assert_eq!(wheel.complete(MouseScrollDelta::LineDelta(0.0, -2.0)), [Binding::Wheel(Turn::Down); 2]);
        let mut pixels = |y| wheel.complete(MouseScrollDelta::PixelDelta(PhysicalPosition::new(0.0, y)));
        assert_eq!(pixels(-12.0), []);
        assert_eq!(pixels(-12.0), [Binding::Wheel(Turn::Down)]);
    }

    #[test]
    fn what_is_no_number_turns_nothing() {
        let mut wheel = Wheel::default();
        assert_eq!(wheel.complete(MouseScrollDelta::LineDelta(f32::NAN, f32::INFINITY)), []);
        assert_eq!(wheel.complete(MouseScrollDelta::LineDelta(0.0, 1.0e30)).len(), 8);
    }

    #[test]
    fn it_may_work_a_switch_that_is_it_or_that_nobody_knows_yet() {
        let read = |names: &[&str]| names.iter().map(|name| name.parse().unwrap()).collect::<Vec<Binding>>();
        assert!(may_work(&[], 1) && may_work(&read(&["key Space"]), 2));
        assert!(may_work(&read(&["mouse wheel up", "key Space"]), 2));
        assert!(!may_work(&read(&["mouse button 1", "key Space"]), 2));
    }

    #[test]
    fn a_notch_that_is_a_button_counts_once_however_long_it_lasts() {
        let mut wheel = Wheel::default();
        let up = MouseScrollDelta::LineDelta(0.0, 1.0);
        let told = [true, false, true, false].map(|down| {
            wheel.button(4, down);
            wheel.notches(up).len()
        });
        assert_eq!(told, [1, 0, 1, 0]);
        // A notch over another window is not told here.
        [(4, true), (4, false), (4, true)].into_iter().for_each(|(number, down)| wheel.button(number, down));
        assert_eq!(wheel.notches(up).len(), 1);
        wheel.button(1, false);
        assert_eq!(wheel.notches(up).len(), 1, "that is no button of the wheel");
    }
}
