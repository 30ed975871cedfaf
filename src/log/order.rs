//! Whether the records of a log follow each other as they were written.

use crate::time::Moment;

/// What is wrong with the place of a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Disorder {
    /// This many lines are missing before it.
    Missing(u64),
    /// It was read before, or belongs further up.
    Again,
}

/// Follows the sequence numbers and the time.
#[derive(Debug, Default)]
pub(super) struct Order {
    next: u64,
    damaged: u64,
    latest: Moment,
}

impl Order {
    /// A line could not be read: its sequence number is about to be missing.
    pub(super) fn damaged(&mut self) {
        self.damaged += 1;
    }

    /// Follows one sequence number. Damaged lines account for as many missing ones.
    pub(super) fn follow(&mut self, seq: u64) -> Result<(), Disorder> {
        if seq < self.next {
            return Err(Disorder::Again);
        }
        let missing = seq - self.next;
        let explained = std::mem::take(&mut self.damaged);
        self.next = seq.saturating_add(1);
        if missing <= explained { Ok(()) } else { Err(Disorder::Missing(missing - explained)) }
    }

    /// Follows the instants of effects and events; tells by how many microseconds one goes back.
    pub(super) fn time(&mut self, at: Moment) -> Option<u64> {
        let back = self.latest.since(at).0;
        self.latest = self.latest.max(at);
        (back > 0).then_some(back)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_and_repeats_are_told_apart() {
        let mut order = Order::default();
        assert_eq!(order.follow(0), Ok(()));
        assert_eq!(order.follow(3), Err(Disorder::Missing(2)));
        assert_eq!(order.follow(3), Err(Disorder::Again));
        assert_eq!(order.follow(4), Ok(()));
    }

    #[test]
    fn damaged_lines_explain_a_gap_of_their_number() {
        let mut order = Order::default();
        order.damaged();
        order.damaged();
        assert_eq!(order.follow(2), Ok(()));
        order.damaged();
        assert_eq!(order.follow(5), Err(Disorder::Missing(1)));
    }

    #[test]
    fn time_goes_on_from_the_latest() {
        let mut order = Order::default();
        assert_eq!([order.time(Moment(5)), order.time(Moment(3)), order.time(Moment(5))], [None, Some(2), None]);
    }
}
