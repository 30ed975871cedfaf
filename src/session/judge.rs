//! Judging a press against what was wanted (outcomes of the scanning literature: timing errors are
//! early, late and omitted presses; selection errors fall on entries that are not neighbours).

use super::trial::Outcome;
use crate::time::{Moment, Span};

/// What was wanted and what had been seen of it when a press came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Aim {
    /// Position of the wanted entry, from 0.
    pub wanted: u16,
    /// Entries in the group.
    pub count: u16,
    /// When the wanted entry was last shown since the group was entered.
    pub shown: Option<Moment>,
}

/// Judges a press that took the entry at position `took`.
#[must_use]
pub fn outcome(aim: Aim, took: u16) -> Outcome {
    let after = |position: u16| (position + 1) % aim.count.max(1);
    if took == aim.wanted {
        Outcome::Hit
    } else if aim.shown.is_some() && took == after(aim.wanted) {
        Outcome::Late
    } else if after(took) == aim.wanted {
        Outcome::Early
    } else {
        Outcome::Wrong
    }
}

/// When the entry `wanted` would have been lit, seen from the entry `lit` that was due at `due`.
///
/// `first_extra` is the first-item time of this pass; it lies between entry 0 and entry 1.
#[must_use]
pub fn expected(due: Moment, lit: u16, wanted: u16, interval: Span, first_extra: Span) -> Moment {
    let extra = if lit == 0 && wanted > 0 { first_extra } else { Span::ZERO };
    due + interval.times(u64::from(wanted.saturating_sub(lit))) + extra
}

#[cfg(test)]
mod tests {
    use super::*;

    fn aim(wanted: u16, count: u16, seen: bool) -> Aim {
        Aim { wanted, count, shown: seen.then_some(Moment(1)) }
    }

    #[test]
    fn neighbours_are_timing_errors_and_others_selection_errors() {
        assert_eq!(outcome(aim(2, 6, true), 2), Outcome::Hit);
        assert_eq!(outcome(aim(2, 6, true), 3), Outcome::Late);
        assert_eq!(outcome(aim(2, 6, false), 1), Outcome::Early);
        assert_eq!(outcome(aim(2, 6, false), 3), Outcome::Wrong);
        assert_eq!(outcome(aim(2, 6, true), 5), Outcome::Wrong);
    }

    #[test]
    fn a_late_press_on_the_last_item_lands_on_the_first() {
        assert_eq!(outcome(aim(5, 6, true), 0), Outcome::Late);
    }

    #[test]
    fn of_two_items_the_other_one_is_late_once_the_wanted_one_was_seen() {
        assert_eq!(outcome(aim(1, 2, false), 0), Outcome::Early);
        assert_eq!(outcome(aim(1, 2, true), 0), Outcome::Late);
    }

    #[test]
    fn the_first_item_time_lies_behind_the_first_item() {
        let (interval, extra) = (Span::from_ms(1_000), Span::from_ms(500));
        assert_eq!(expected(Moment(0), 0, 2, interval, extra), Moment(2_500_000));
        assert_eq!(expected(Moment(1_500_000), 1, 2, interval, extra), Moment(2_500_000));
    }
}
