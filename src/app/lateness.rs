//! How late the window woke for its deadlines.

use hdrhistogram::Histogram;

use crate::time::Span;

/// Lateness of every deadline, in microseconds; the memory it takes does not grow.
#[derive(Clone, Debug)]
pub struct Lateness {
    late_us: Histogram<u64>,
}

/// Anything later counts as this.
const MOST_US: u64 = 60_000_000;

impl Default for Lateness {
    fn default() -> Self {
        let late_us = Histogram::new_with_bounds(1, MOST_US, 3).expect("the bounds are constants that fit");
        Lateness { late_us }
    }
}

impl Lateness {
    /// Adds one deadline.
    pub fn add(&mut self, late: Span) {
        self.late_us.saturating_record(late.0);
    }

    /// How many deadlines there were.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.late_us.len()
    }

    /// The lateness that `percent` of the deadlines did not exceed, in microseconds, to 0.1 %.
    #[must_use]
    pub fn percentile_us(&self, percent: f64) -> u64 {
        self.late_us.value_at_percentile(percent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentiles_are_those_of_the_spans() {
        let mut lateness = Lateness::default();
        (1..=100).for_each(|late| lateness.add(Span(late)));
        let found = (lateness.count(), lateness.percentile_us(50.0), lateness.percentile_us(100.0));
        assert_eq!(found, (100, 50, 100));
    }
}
