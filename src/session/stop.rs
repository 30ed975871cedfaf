//! When a block rests, and when it has learned enough.
//!
//! The stop rules are common practice, no source; each can be changed in the protocol.

use serde::{Deserialize, Serialize};

use super::event::RestReason;
use super::trial::Outcome;
use crate::time::Span;

/// When a block calls for a rest. The second such rest ends the block.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct StopRules {
    /// Omissions running; 0 is off.
    pub omissions: u32,
    /// Early, late or wrong outcomes among the last [`StopRules::window`]; 0 is off.
    pub errors: u32,
    /// How many of the last trials the errors are counted in.
    pub window: u32,
    /// Median of the last eight latencies over that of the first eight; 0 is off.
    pub slowing: f64,
    /// Minutes of a block; 0 is off.
    pub minutes: f64,
}

impl Default for StopRules {
    fn default() -> StopRules {
        StopRules { omissions: 2, errors: 3, window: 5, slowing: 1.3, minutes: 5.0 }
    }
}

/// How many latencies the slowing rule compares at either end of a block.
pub const SLOWING_SPAN: usize = 8;

/// What a block has seen since it began, or since its last rest by a rule.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Course {
    outcomes: Vec<Outcome>,
    latencies_us: Vec<i64>,
}

impl Course {
    /// Takes note of a judged trial and of the latency of its last right or late press.
    pub fn add(&mut self, outcome: Outcome, latency_us: Option<i64>) {
        self.outcomes.push(outcome);
        self.latencies_us.extend(latency_us);
    }

    /// The rest that the rules call for, after `running` in this block.
    #[must_use]
    pub fn due(&self, rules: &StopRules, running: Span) -> Option<RestReason> {
        if rules.omissions > 0 && self.ends_with_omissions(rules.omissions as usize) {
            return Some(RestReason::Omissions);
        }
        if rules.errors > 0 && self.errors_within(rules.window as usize) >= rules.errors as usize {
            return Some(RestReason::Errors);
        }
        if rules.slowing > 0.0 && self.slowing().is_some_and(|ratio| ratio > rules.slowing) {
            return Some(RestReason::Slowing);
        }
        (rules.minutes > 0.0 && running.as_seconds() > rules.minutes * 60.0).then_some(RestReason::Time)
    }

    fn ends_with_omissions(&self, count: usize) -> bool {
        self.outcomes.len() >= count
            && self.outcomes.iter().rev().take(count).all(|outcome| *outcome == Outcome::Omission)
    }

    fn errors_within(&self, window: usize) -> usize {
        let error = |outcome: &&Outcome| matches!(outcome, Outcome::Early | Outcome::Late | Outcome::Wrong);
        self.outcomes.iter().rev().take(window).filter(error).count()
    }

    /// Median of the last latencies over that of the first; `None` while the two would overlap.
    fn slowing(&self) -> Option<f64> {
        let count = self.latencies_us.len();
        (count >= 2 * SLOWING_SPAN).then(|| {
            let first = median(&self.latencies_us[..SLOWING_SPAN]);
            let last = median(&self.latencies_us[count - SLOWING_SPAN..]);
            if first > 0.0 { last / first } else { 1.0 }
        })
    }
}

fn median(values: &[i64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_unstable();
    let middle = sorted.len() / 2;
    if sorted.len() % 2 == 1 { sorted[middle] as f64 } else { (sorted[middle - 1] + sorted[middle]) as f64 / 2.0 }
}

/// When the advice that a block feeds is precise enough for the block to end early.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Precision {
    /// Trials that must have been scored.
    pub trials: u32,
    /// Half-width of the 90 % interval of the mean latency, as a share of the mean.
    pub half_width: f64,
}

impl Default for Precision {
    fn default() -> Precision {
        Precision { trials: 12, half_width: 0.10 }
    }
}

impl Precision {
    /// Whether these latencies (in any unit) fix their mean, and so the published ratio, well enough.
    #[must_use]
    pub fn reached(&self, latencies_us: &[i64]) -> bool {
        let count = latencies_us.len();
        if count < 2 || count < self.trials as usize {
            return false;
        }
        let n = count as f64;
        let mean = latencies_us.iter().map(|x| *x as f64).sum::<f64>() / n;
        let square = latencies_us.iter().map(|x| (*x as f64 - mean).powi(2)).sum::<f64>() / (n - 1.0);
        mean > 0.0 && student_95(n - 1.0) * (square / n).sqrt() < self.half_width * mean
    }
}

/// The 95 % point of Student's t, by the expansion about the Normal one (Cornish and Fisher; from
/// memory). Good to 0.001 from 8 degrees of freedom on.
fn student_95(freedom: f64) -> f64 {
    let z = 1.644_853_627_f64;
    let first = (z.powi(3) + z) / 4.0;
    let second = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
    let third = (3.0 * z.powi(7) + 19.0 * z.powi(5) + 17.0 * z.powi(3) - 15.0 * z) / 384.0;
    z + first / freedom + second / freedom.powi(2) + third / freedom.powi(3)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn course(outcomes: &[Outcome]) -> Course {
        let mut course = Course::default();
        outcomes.iter().for_each(|outcome| course.add(*outcome, None));
        course
    }

    #[test]
    fn two_omissions_running_call_for_rest() {
        let rules = StopRules::default();
        assert_eq!(course(&[Outcome::Omission, Outcome::Hit, Outcome::Omission]).due(&rules, Span::ZERO), None);
        let due = course(&[Outcome::Hit, Outcome::Omission, Outcome::Omission]).due(&rules, Span::ZERO);
        assert_eq!(due, Some(RestReason::Omissions));
    }

    #[test]
    fn three_errors_in_five_call_for_rest() {
        use Outcome::{Early, Hit, Late, Wrong};
        let rules = StopRules::default();
        assert_eq!(course(&[Late, Hit, Early, Hit, Wrong]).due(&rules, Span::ZERO), Some(RestReason::Errors));
        assert_eq!(course(&[Late, Hit, Early, Hit, Hit, Wrong]).due(&rules, Span::ZERO), None);
    }

    #[test]
    fn slowing_compares_the_first_eight_with_the_last_eight() {
        let mut course = Course::default();
        (0..8).for_each(|_| course.add(Outcome::Hit, Some(500_000)));
        (0..8).for_each(|_| course.add(Outcome::Hit, Some(660_000)));
        assert_eq!(course.due(&StopRules::default(), Span::ZERO), Some(RestReason::Slowing));
    }

    #[test]
    fn five_minutes_call_for_rest() {
        let due = Course::default().due(&StopRules::default(), Span::from_ms(300_001));
        assert_eq!(due, Some(RestReason::Time));
    }

    #[test]
    fn the_t_point_agrees_with_the_tables() {
        // Student's t, upper 5 % point: 1.860 at 8, 1.796 at 11, 1.697 at 30 degrees of freedom (handbook tables).
        for (freedom, point) in [(8.0, 1.860), (11.0, 1.796), (30.0, 1.697)] {
            assert!((student_95(freedom) - point).abs() < 0.001, "{freedom}");
        }
    }

    #[test]
    fn precision_needs_enough_trials_and_little_scatter() {
        let even: Vec<i64> = (0..12).map(|i| 700_000 + 10_000 * (i % 3)).collect();
        let wild: Vec<i64> = (0..12).map(|i| 300_000 + 900_000 * (i % 2)).collect();
        assert!(Precision::default().reached(&even));
        assert!(!Precision::default().reached(&even[..11]));
        assert!(!Precision::default().reached(&wild));
    }
}
