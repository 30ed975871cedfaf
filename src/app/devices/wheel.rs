//! The mouse wheel: each notch is a press that is let go at once.

use std::time::{Duration, Instant};

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
/// Two notches that a hand means are further apart (common practice, no source).
const APART: Duration = Duration::from_millis(25);

/// The word for it.
#[must_use]
pub fn word(turn: Turn) -> &'static str {
    TURNS.iter().find(|(one, _)| *one == turn).map_or("", |(_, word)| word)
}

fn read(text: &str) -> Option<Binding> {
    let name = after(text, "mouse wheel ")?;
    TURNS.iter().find(|(_, word)| name.eq_ignore_ascii_case(word)).map(|(turn, _)| Binding::Wheel(*turn))
}

/// Gathers what the window reports until it makes a notch.
#[derive(Clone, Debug, Default)]
pub struct Wheel {
    across: f64,
    along: f64,
    last: Option<Instant>,
}

impl Wheel {
    /// The notches that are complete at `at`; at most a handful, whatever the device says. A window system
    /// may tell both edges of one notch, so one that follows at once is none.
    pub fn notches(&mut self, at: Instant, delta: MouseScrollDelta) -> Vec<Binding> {
        let notches = self.complete(delta);
        let again = self.last.is_some_and(|last| at.saturating_duration_since(last) < APART);
        if notches.is_empty() || again {
            return Vec::new();
        }
        self.last = Some(at);
        notches
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
    fn both_edges_of_a_notch_are_one() {
        let (mut wheel, start) = (Wheel::default(), Instant::now());
        let mut notch =
            |ms| wheel.notches(start + Duration::from_millis(ms), MouseScrollDelta::LineDelta(0.0, 1.0)).len();
        assert_eq!([notch(0), notch(1), notch(30)], [1, 0, 1]);
    }
}
