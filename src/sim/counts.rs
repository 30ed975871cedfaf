//! What many selections add up to: whole numbers, so that parts add up to the same sum in any order.

/// Sums over selections. Times are whole microseconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Selections that ended with the wanted item.
    pub selections: u64,
    /// Selections that were given up, because they took longer than the runner waits.
    pub given_up: u64,
    /// Sum of the times of selections that ended with the wanted item.
    pub total_us: u128,
    /// Sum of the squares of these times.
    pub total_us_squared: u128,
    /// Presses of the switch, debounced.
    pub hits: u64,
    /// Lightings of the entry that leads to the wanted item.
    pub lightings: u64,
    /// Of these, those in which it was taken.
    pub in_time: u64,
    /// Wrong items taken; taking one again to undo it is none.
    pub wrong_items: u64,
    /// Wrong groups entered.
    pub wrong_groups: u64,
    /// Groups left without a choice, because the loops were over.
    pub left_groups: u64,
    /// Passes begun.
    pub passes: u64,
    /// Times that the whole scan stopped and waited for a press.
    pub stops: u64,
}

impl Counts {
    /// Takes in a selection that took `us` microseconds.
    #[inline]
    pub fn selected(&mut self, us: u64) {
        let us = u128::from(us);
        self.selections += 1;
        self.total_us += us;
        self.total_us_squared += us * us;
    }

    /// These and the others together.
    #[must_use]
    pub fn plus(&self, other: &Counts) -> Counts {
        Counts {
            selections: self.selections + other.selections,
            given_up: self.given_up + other.given_up,
            total_us: self.total_us + other.total_us,
            total_us_squared: self.total_us_squared + other.total_us_squared,
            hits: self.hits + other.hits,
            lightings: self.lightings + other.lightings,
            in_time: self.in_time + other.in_time,
            wrong_items: self.wrong_items + other.wrong_items,
            wrong_groups: self.wrong_groups + other.wrong_groups,
            left_groups: self.left_groups + other.left_groups,
            passes: self.passes + other.passes,
            stops: self.stops + other.stops,
        }
    }

    /// Mean seconds of a selection; not a number without one.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        self.total_us as f64 / 1e6 / self.selections as f64
    }

    /// Standard error of [`Counts::seconds`]; not a number with fewer than two selections.
    #[must_use]
    pub fn seconds_error(&self) -> f64 {
        let count = self.selections as f64;
        // In whole numbers first: the difference of two large sums keeps its digits there.
        let spread = u128::from(self.selections) * self.total_us_squared - self.total_us * self.total_us;
        (spread as f64 / 1e12 / count / count / (count - 1.0)).sqrt()
    }

    /// One of the counts for each selection, for example `counts.each(counts.hits)`; not a number without a selection.
    #[must_use]
    pub fn each(&self, count: u64) -> f64 {
        count as f64 / self.selections as f64
    }

    /// Lightings of the wanted entry that went by.
    #[must_use]
    pub fn omissions(&self) -> u64 {
        self.lightings.saturating_sub(self.in_time)
    }

    /// Wrong items as a share of all items taken; not a number where none was.
    #[must_use]
    pub fn error_rate(&self) -> f64 {
        self.wrong_items as f64 / (self.wrong_items + self.selections) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mean_and_standard_error_are_those_of_the_times() {
        let mut counts = Counts::default();
        [2_000_000, 4_000_000, 9_000_000].into_iter().for_each(|us| counts.selected(us));
        // Mean 5, variance 13, standard error √(13/3): by hand.
        assert_eq!(counts.seconds(), 5.0);
        assert!((counts.seconds_error() - (13.0_f64 / 3.0).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn parts_add_up_to_the_whole() {
        let part = Counts { selections: 1, hits: 2, passes: 3, total_us: 4, ..Counts::default() };
        let whole = part.plus(&part).plus(&Counts::default());
        assert_eq!((whole.selections, whole.hits, whole.passes, whole.total_us), (2, 4, 6, 8));
    }
}
