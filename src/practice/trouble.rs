//! Signs that the client tires: presses that get slower, lightings that are let go by.

use crate::session::trial::Outcome;
use crate::stats::trend::mann_kendall;

/// Attempts looked back on for a trend.
const LOOK_BACK: usize = 60;
/// Fewer latencies show no trend.
const FEWEST: usize = 8;
/// Attempts of the latest stretch.
const LATEST: usize = 10;
/// Omissions in it from which they may be rising.
const OMISSIONS: usize = 2;

/// The attempts of a session so far.
#[derive(Clone, Debug, Default)]
pub(super) struct Trouble {
    latencies: Vec<f64>,
    omitted: Vec<bool>,
}

impl Trouble {
    /// Takes note of an attempt.
    pub fn add(&mut self, outcome: Outcome, latency_s: Option<f64>) {
        self.omitted.push(outcome == Outcome::Omission);
        self.latencies.extend(latency_s.filter(|latency| latency.is_finite()));
    }

    /// Presses get slower: a rise of at least this many standard deviations of chance.
    pub fn tiring(&self, deviations: f64) -> bool {
        let from = self.latencies.len().saturating_sub(LOOK_BACK);
        let latest = &self.latencies[from..];
        latest.len() < FEWEST || mann_kendall(latest).is_some_and(|trend| trend.z > deviations)
    }

    /// More is let go by in the latest attempts than before.
    pub fn omissions_rise(&self) -> bool {
        let count = |attempts: &[bool]| attempts.iter().filter(|omitted| **omitted).count();
        let (before, latest) = self.omitted.split_at(self.omitted.len().saturating_sub(LATEST));
        let (early, late) = (count(before), count(latest));
        late >= OMISSIONS && late * before.len() >= early * latest.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rising_latencies_tire_and_falling_ones_do_not() {
        // .62 .60 .65 … : z = 3.041 (worked with the published formula of Mann and Kendall).
        let mut trouble = Trouble::default();
        for latency in [0.62, 0.60, 0.65, 0.66, 0.64, 0.70, 0.69, 0.73, 0.71, 0.76] {
            trouble.add(Outcome::Hit, Some(latency));
        }
        assert!(trouble.tiring(3.0) && !trouble.tiring(3.1));
        trouble.latencies.reverse();
        assert!(!trouble.tiring(0.0));
    }

    #[test]
    fn too_few_presses_count_as_tiring() {
        assert!(Trouble::default().tiring(1.0));
    }

    #[test]
    fn omissions_rise_when_the_latest_hold_more() {
        let mut trouble = Trouble::default();
        (0..20).for_each(|_| trouble.add(Outcome::Hit, None));
        assert!(!trouble.omissions_rise());
        (0..2).for_each(|_| trouble.add(Outcome::Omission, None));
        assert!(trouble.omissions_rise());
        (0..10).for_each(|_| trouble.add(Outcome::Hit, None));
        assert!(!trouble.omissions_rise());
    }
}
