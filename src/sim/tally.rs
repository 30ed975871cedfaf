//! What sittings of counted selections add up to, and how sure that is.
//!
//! All sums are whole numbers, so that parts add up to the same whole in any order. Selections of one
//! sitting hang together (a late press spoils the next one, a client tires), so the intervals rest on
//! the spread between sittings: each figure is a ratio of two sums over sittings, with the standard
//! error of a ratio estimate (W. G. Cochran, Sampling Techniques, chapter 6; from memory) and
//! Student's t. They cover the chance of the simulation, not what is unknown of the client.

use hdrhistogram::Histogram;

use super::counts::Counts;
use crate::stats::{Interval, Level, poisson, student};

/// A selection takes at most so long before it is given up, in microseconds.
pub const PATIENCE_US: u64 = 600_000_000;
/// Digits of the times in the histogram.
const DIGITS: u8 = 3;

/// A figure for each selection that reached its item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Seconds.
    Seconds,
    /// Wrong items.
    Errors,
    /// Presses.
    Hits,
    /// Lightings of the wanted entry that went by.
    Omissions,
}

impl Measure {
    /// All of them.
    pub const ALL: [Measure; 4] = [Measure::Seconds, Measure::Errors, Measure::Hits, Measure::Omissions];

    fn of(self, counts: &Counts) -> u128 {
        match self {
            Measure::Seconds => counts.total_us,
            Measure::Errors => counts.wrong_items.into(),
            Measure::Hits => counts.hits.into(),
            Measure::Omissions => counts.omissions().into(),
        }
    }

    /// What the sums are counted in.
    fn unit(self) -> f64 {
        if self == Measure::Seconds { 1e-6 } else { 1.0 }
    }
}

/// Sums over sittings.
#[derive(Clone, Debug, PartialEq)]
pub struct Tally {
    /// What all sittings add up to.
    pub counts: Counts,
    /// How many there were.
    pub sittings: u64,
    /// Squares of the selections that reached their item.
    pub selections_squared: u128,
    /// Of each measure: squares, and products with the selections.
    pub spreads: [[u128; 2]; 4],
    /// Microseconds of the selections that reached their item.
    pub times: Histogram<u64>,
}

impl Default for Tally {
    fn default() -> Tally {
        let times = Histogram::new_with_bounds(1, PATIENCE_US, DIGITS).expect("bounds that a histogram can have");
        Tally { counts: Counts::default(), sittings: 0, selections_squared: 0, spreads: [[0; 2]; 4], times }
    }
}

/// A figure and its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure {
    /// The figure.
    pub value: f64,
    /// `None` for fewer than two sittings.
    pub interval: Option<Interval>,
}

impl Tally {
    /// Takes in a sitting; its times have been recorded.
    pub fn sat(&mut self, counts: &Counts) {
        let selections = u128::from(counts.selections);
        self.counts = self.counts.plus(counts);
        self.sittings += 1;
        self.selections_squared += selections * selections;
        for (spread, measure) in self.spreads.iter_mut().zip(Measure::ALL) {
            let sum = measure.of(counts);
            spread[0] += sum * sum;
            spread[1] += sum * selections;
        }
    }

    /// Takes in all of another one.
    pub fn add(&mut self, other: &Tally) {
        self.counts = self.counts.plus(&other.counts);
        self.sittings += other.sittings;
        self.selections_squared += other.selections_squared;
        for (spread, more) in self.spreads.iter_mut().zip(other.spreads) {
            spread[0] += more[0];
            spread[1] += more[1];
        }
        // Both have the same bounds.
        let _ = self.times.add(&other.times);
    }

    /// A figure for each selection; `None` when none reached its item.
    #[must_use]
    pub fn figure(&self, measure: Measure) -> Option<Figure> {
        let (sum, count) = (measure.of(&self.counts), self.counts.selections);
        if count == 0 {
            return None;
        }
        let value = sum as f64 / count as f64;
        let interval = if sum == 0 { self.of_none() } else { self.of_spread(measure, value) };
        let scale = measure.unit();
        Some(Figure { value: value * scale, interval: interval.map(|interval| interval.times(scale)) })
    }

    /// Wrong items as a share of all items taken.
    #[must_use]
    pub fn error_rate(&self) -> Option<Figure> {
        let share = |ratio: f64| ratio / (1.0 + ratio);
        let errors = self.figure(Measure::Errors)?;
        let interval = errors.interval.map(|Interval { low, high }| Interval { low: share(low), high: share(high) });
        Some(Figure { value: share(errors.value), interval })
    }

    /// What has not happened once may still happen as often as a Poisson count allows.
    fn of_none(&self) -> Option<Interval> {
        let interval = poisson::interval(0, Level::NINETY_FIVE);
        (self.sittings > 1).then(|| interval.times(1.0 / self.counts.selections as f64))
    }

    fn of_spread(&self, measure: Measure, ratio: f64) -> Option<Interval> {
        let sittings = self.sittings as f64;
        if self.sittings < 2 {
            return None;
        }
        let [square, product] = self.spreads[measure as usize];
        let rest = square as f64 - 2.0 * ratio * product as f64 + ratio * ratio * self.selections_squared as f64;
        let error = libm::sqrt(rest.max(0.0) * sittings / (sittings - 1.0)) / self.counts.selections as f64;
        let half = error * student::quantile(1.0 - Level::NINETY_FIVE.tail(), sittings - 1.0);
        Some(Interval { low: (ratio - half).max(0.0), high: ratio + half })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sitting(times_us: &[u64], wrong_items: u64) -> Counts {
        let mut counts = Counts { wrong_items, ..Counts::default() };
        times_us.iter().for_each(|us| counts.selected(*us));
        counts
    }

    #[test]
    fn figures_are_ratios_with_the_error_of_a_ratio() {
        let mut tally = Tally::default();
        for (times, wrong) in [(&[2_000_000, 4_000_000][..], 1), (&[6_000_000, 4_000_000], 0), (&[5_000_000], 2)] {
            tally.sat(&sitting(times, wrong));
        }
        // By hand: sums 6, 10, 5 of 2, 2, 1; ratio 21/5; remainders −2.4, 1.6, 0.8, their squares 8.96;
        // error √(8.96·3/2)/5, t of 2 degrees of freedom 4.302653.
        let figure = tally.figure(Measure::Seconds).unwrap();
        let half = 4.302_652_73 * (8.96_f64 * 1.5).sqrt() / 5.0;
        let interval = figure.interval.unwrap();
        assert!((figure.value - 4.2).abs() < 1e-12);
        assert!((interval.high - 4.2 - half).abs() < 1e-6 && (4.2 - interval.low - half).abs() < 1e-6);
        // Three wrong items and five right ones.
        assert!((tally.error_rate().unwrap().value - 0.375).abs() < 1e-12);
    }

    #[test]
    fn parts_add_up_to_the_whole() {
        let parts = [sitting(&[1_000_000, 9_000_000], 1), sitting(&[3_000_000], 0), sitting(&[], 4)];
        let mut whole = Tally::default();
        let mut sum = Tally::default();
        for part in &parts {
            let mut own = Tally::default();
            for tally in [&mut whole, &mut own] {
                tally.sat(part);
                tally.times.record(u64::try_from(part.total_us).unwrap()).unwrap();
            }
            sum.add(&own);
        }
        assert_eq!(sum, whole);
    }

    #[test]
    fn nothing_is_said_of_nothing_and_no_event_is_not_sure_to_be_none() {
        assert_eq!(Tally::default().figure(Measure::Hits), None);
        let mut tally = Tally::default();
        tally.sat(&sitting(&[1_000_000; 50], 0));
        assert_eq!(tally.figure(Measure::Errors), Some(Figure { value: 0.0, interval: None }));
        tally.sat(&sitting(&[1_000_000; 50], 0));
        let high = tally.figure(Measure::Errors).unwrap().interval.unwrap().high;
        // Exact Poisson limit of no event, 3.688879, over 100.
        assert!((high - 0.036_888_79).abs() < 1e-7);
    }
}
