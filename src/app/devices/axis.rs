//! An axis of a pad or joystick as two switches, one each way, with hysteresis.
//!
//! A side closes at half its travel and opens again below a third of it. It has to have been seen
//! open first: an axis that stands at full when it is plugged in, or forever, presses nothing.

/// Share of the travel at which a side closes (common practice, no source).
const CLOSES: f32 = 0.5;
/// Share of the travel below which it opens.
const OPENS: f32 = 0.35;

/// One axis.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sides {
    more: Side,
    less: Side,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Side {
    /// Not seen open yet.
    #[default]
    Unknown,
    Open,
    Closed,
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

    /// A side has never been seen open: it stands at full.
    #[must_use]
    pub fn stands_at_full(&self) -> bool {
        self.more == Side::Unknown || self.less == Side::Unknown
    }
}

impl Side {
    fn follow(&mut self, travel: f32) -> Option<bool> {
        let next = match *self {
            Side::Unknown | Side::Closed if travel < OPENS => Side::Open,
            Side::Open if travel >= CLOSES => Side::Closed,
            same => same,
        };
        let before = std::mem::replace(self, next);
        (before != next && before != Side::Unknown).then_some(next == Side::Closed)
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
        assert!(sides.stands_at_full());
        assert_eq!(sides.value(0.0), []);
        assert_eq!(sides.value(1.0), [SideChange { more: true, down: true }]);
        assert_eq!(told(&[f32::NAN, f32::INFINITY]), []);
    }
}
