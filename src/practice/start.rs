//! Where practice starts: from the last advice, or from a few presses on a tile that waits for them.

use crate::analysis::suggestion::RATIO;
use crate::stats::Sample;

/// What a start from the ratio adds: a quarter.
const KINDER: f64 = 1.25;
/// Presses on the waiting tile: fewest and most.
pub const WAITING_PRESSES: [usize; 2] = [6, 8];
/// How far advice of the same day may lie from what is needed, as a standard deviation of the logarithm.
const SAME_DAY: f64 = 0.15;
/// What each day adds to its square; after a month the deviation is about a third. Common practice, no source.
const PER_DAY: f64 = 0.003;
/// The same for presses on a tile that waits: they are reactions, not presses under a moving highlight.
const FROM_WAITING: f64 = 0.35;
/// Chance that the start has nothing to do with today's client, and the deviation then.
const WRONG: (f64, f64) = (0.2, 1.0);

/// A start: the first interval, and what is believed of the needed one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// The first interval, in seconds.
    pub interval_s: f64,
    /// The needed interval that is most probable beforehand, in seconds.
    pub likely_s: f64,
    /// Standard deviation of its natural logarithm.
    pub log_sd: f64,
}

impl Start {
    /// From an advised interval, in seconds and above 0, that many days old.
    #[must_use]
    pub fn from_advice(interval_s: f64, days: u32) -> Start {
        Start { interval_s, likely_s: interval_s, log_sd: libm::sqrt(SAME_DAY * SAME_DAY + PER_DAY * f64::from(days)) }
    }

    /// From latencies, in seconds, on a tile that waits for them: their mean over the published ratio of 0.65, and a
    /// quarter more.
    ///
    /// `None` for fewer than six latencies, or where their mean is not above 0.
    #[must_use]
    pub fn from_waiting(latencies: &Sample) -> Option<Start> {
        let by_ratio = latencies.mean() / RATIO;
        let enough = latencies.len() >= WAITING_PRESSES[0] && by_ratio > 0.0;
        enough.then_some(Start { interval_s: KINDER * by_ratio, likely_s: by_ratio, log_sd: FROM_WAITING })
    }

    /// Natural logarithm of the weight of a needed interval beforehand, from its own logarithm.
    pub(super) fn log_weight(&self, log_needed: f64) -> f64 {
        let away = log_needed - libm::log(self.likely_s);
        let bell = |sd: f64| libm::exp(-away * away / (2.0 * sd * sd)) / sd;
        let (share, wide) = WRONG;
        libm::log(((1.0 - share) * bell(self.log_sd) + share * bell(wide)).max(1e-300))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ratio_rule_and_a_quarter() {
        // 0.650 s over 0.65 is 1.000 s (Simpson and others 2006, worked example); a quarter more is 1.25 s.
        let start = Start::from_waiting(&Sample::new(vec![0.65; 6]).unwrap()).unwrap();
        assert!((start.interval_s - 1.25).abs() < 1e-12 && (start.likely_s - 1.0).abs() < 1e-12);
    }

    #[test]
    fn too_few_or_impossible_presses_are_no_start() {
        assert_eq!(Start::from_waiting(&Sample::new(vec![0.65; 5]).unwrap()), None);
        assert_eq!(Start::from_waiting(&Sample::new(vec![-0.65; 6]).unwrap()), None);
    }

    #[test]
    fn days_widen_the_advice() {
        assert!(Start::from_advice(1.0, 30).log_sd > 2.0 * Start::from_advice(1.0, 0).log_sd);
    }
}
