//! An axis of a pad or joystick as two switches, one each way, with hysteresis.
//!
//! A side closes at half its travel and opens again below a third of it. It has to have been seen open or on its way
//! first: an axis that stands at full when it is plugged in, or forever, presses nothing. Drivers tell changes only, so
//! the first thing that is heard of an axis may be a push that has begun already; that one counts.

use gilrs::Axis;

use super::pads::Control;

/// Share of the travel at which a side closes (common practice, no source).
const CLOSES: f32 = 0.5;
/// Share of the travel below which it opens.
const OPENS: f32 = 0.35;
/// Share of the travel that no noise of an axis at full makes up (common practice, no source).
const MOVES: f32 = 0.2;

/// One axis.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sides {
    more: Side,
    less: Side,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Side {
    /// Not seen open yet; the least travel that was seen.
    Unknown(f32),
    Open,
    Closed,
}

impl Default for Side {
    fn default() -> Side {
        Side::Unknown(f32::INFINITY)
    }
}

/// A side of an axis changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SideChange {
    /// The side of the greater values.
    pub more: bool,
    /// It closed.
    pub down: bool,
}

impl Sides {
    /// Those of an axis of which nothing has been heard. A directional pad knows three places, so whatever is told of it
    /// first, it has been elsewhere before.
    #[must_use]
    pub fn of(axis: Control) -> Sides {
        match axis {
            Control::Axis { axis: Axis::DPadX | Axis::DPadY, .. } => Sides { more: Side::Open, less: Side::Open },
            _ => Sides::default(),
        }
    }

    /// What this value, from −1 to 1, changes; the side that opens comes first.
    pub fn value(&mut self, value: f32) -> Vec<SideChange> {
        if !value.is_finite() {
            return Vec::new();
        }
        let more = self.more.follow(value).map(|down| SideChange { more: true, down });
        let less = self.less.follow(-value).map(|down| SideChange { more: false, down });
        let mut changes: Vec<SideChange> = more.into_iter().chain(less).collect();
        changes.sort_by_key(|change| change.down);
        changes
    }

    /// The side on which it stands at full, where it has never been seen open there; `true` is that of the greater values.
    #[must_use]
    pub fn stands_at_full(&self) -> Option<bool> {
        let stands = |side: Side| matches!(side, Side::Unknown(least) if least >= CLOSES && least.is_finite());
        [(self.more, true), (self.less, false)].into_iter().find(|(side, _)| stands(*side)).map(|(_, more)| more)
    }
}

impl Side {
    fn follow(&mut self, travel: f32) -> Option<bool> {
        let next = match *self {
            Side::Unknown(_) | Side::Closed if travel < OPENS => Side::Open,
            Side::Unknown(least) if travel >= CLOSES && travel - least >= MOVES => Side::Closed,
            Side::Unknown(least) => Side::Unknown(least.min(travel)),
            Side::Open if travel >= CLOSES => Side::Closed,
            same => same,
        };
        match (std::mem::replace(self, next), next) {
            (Side::Unknown(_) | Side::Open, Side::Closed) => Some(true),
            (Side::Closed, Side::Open) => Some(false),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(values: &[f32]) -> Vec<(bool, bool)> {
        let mut sides = Sides::default();
        values.iter().flat_map(|value| sides.value(*value)).map(|change| (change.more, change.down)).collect()
    }

    #[test]
    fn a_side_closes_at_half_and_opens_below_a_third() {
        assert_eq!(told(&[0.0, 0.49, 0.5, 0.4, 0.6, 0.36, 0.34]), [(true, true), (true, false)]);
        assert_eq!(told(&[0.0, -0.7, 0.0]), [(false, true), (false, false)]);
    }

    #[test]
    fn thrown_from_one_side_to_the_other_the_first_opens_before_the_second_closes() {
        assert_eq!(told(&[0.0, 1.0, -1.0]), [(true, true), (true, false), (false, true)]);
    }

    #[test]
    fn an_axis_that_stands_at_full_presses_nothing_until_it_has_been_open() {
        let mut sides = Sides::default();
        (0..100).for_each(|_| assert_eq!(sides.value(1.0), []));
        assert_eq!(sides.stands_at_full(), Some(true));
        assert_eq!((sides.value(0.0), sides.stands_at_full()), (Vec::new(), None));
        assert_eq!(sides.value(1.0), [SideChange { more: true, down: true }]);
        assert_eq!(told(&[f32::NAN, f32::INFINITY]), []);
        assert_eq!(told(&[0.9, 1.0, 0.85, 1.0]), [], "noise of a stuck one");
    }

    #[test]
    fn a_push_that_has_begun_before_anything_was_heard_counts() {
        assert_eq!(told(&[0.4, 0.55, 0.6, 1.0, 0.0]), [(true, true), (true, false)]);
        assert_eq!(told(&[-0.6, -0.9, 0.0]), [(false, true), (false, false)]);
        let mut hat = Sides::of(Control::Axis { axis: Axis::DPadX, more: true });
        assert_eq!(hat.value(-1.0), [SideChange { more: false, down: true }], "it has no way between");
    }
}
