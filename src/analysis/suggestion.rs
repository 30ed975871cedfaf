//! The first suggestion of a scan rate: mean latency over 0.65.
//!
//! The ratio is published: Simpson, Koester and LoPresti 2006 (29th RESNA conference) and 2007
//! (Assistive Technology 19, doi 10.1080/10400435.2007.10131865). It equals mean + 2 SD exactly
//! when the coefficient of variation is (1/0.65 − 1)/2 = 0.26923; beyond that it is too fast.
//!
//! Late presses are part of the mean: their latency to the wanted item is known, and leaving them
//! out would suggest a scan that is too fast. Early, wrong and extra presses are not. The result is
//! rounded up to the setting's step, for a scan that is a little too slow costs less than one that
//! is a little too fast.

use super::findings::Suggestion;
use super::reading::Judged;
use crate::session::cost::LATENCY_SHARE;
use crate::session::event::BlockKind;
use crate::session::trial::{Outcome, Press};
use crate::settings::{Id, rounding};
use crate::stats::{Level, Sample, student};

/// The published ratio of mean latency to scan interval.
pub const RATIO: f64 = LATENCY_SHARE;
/// The coefficient of variation at which the ratio equals mean + 2 SD.
pub const CV_LIMIT: f64 = (1.0 / RATIO - 1.0) / 2.0;
/// Latencies wanted for a suggestion (common practice, no source).
pub const WANTED: usize = 12;

/// Kinds of block in the order in which they are trusted: a moving highlight, then tasks, then a
/// single light, which cannot be foreseen.
const TRUSTED: [BlockKind; 4] = [BlockKind::TimedPress, BlockKind::MenuTasks, BlockKind::Confirm, BlockKind::Reaction];

/// The suggestion from the first trusted kind with enough latencies, or else from the one with
/// most. `None` without a latency, and for techniques in which no scan runs by itself.
pub(super) fn suggestion(trials: &[&Judged]) -> Option<Suggestion> {
    let kinds = TRUSTED.map(|kind| Latencies::of(kind, trials));
    let enough = kinds.iter().find(|latencies| latencies.seconds.len() >= WANTED);
    // The last of equals is taken, so the list is turned round to take the most trusted.
    enough.or_else(|| kinds.iter().rev().max_by_key(|latencies| latencies.seconds.len()))?.suggest()
}

struct Latencies {
    kind: BlockKind,
    seconds: Vec<f64>,
    late: u32,
    held_s: f64,
}

impl Latencies {
    fn of(kind: BlockKind, trials: &[&Judged]) -> Latencies {
        let mut latencies = Latencies { kind, seconds: Vec::new(), late: 0, held_s: 0.0 };
        for judged in trials.iter().filter(|judged| judged.counts() && judged.paced && judged.trial.kind == kind) {
            for press in &judged.trial.presses {
                latencies.add(press, judged.hold_counts);
            }
        }
        latencies
    }

    fn add(&mut self, press: &Press, hold_counts: bool) {
        let (Outcome::Hit | Outcome::Late, Some(latency_us)) = (press.outcome, press.latency_us) else { return };
        let held_s = if hold_counts { press.accepted.since(press.pressed).as_seconds() } else { 0.0 };
        self.seconds.push(latency_us as f64 / 1e6 + held_s);
        self.late += u32::from(press.outcome == Outcome::Late);
        self.held_s += held_s;
    }

    fn suggest(&self) -> Option<Suggestion> {
        let sample = Sample::new(self.seconds.clone()).ok()?;
        let mean_s = Some(sample.mean()).filter(|mean| *mean > 0.0)?;
        let interval = student::mean_interval(&sample, Level::NINETY).map(|interval| interval.times(1.0 / RATIO));
        Some(Suggestion {
            scan_interval_s: rounding::up(Id::ScanInterval, mean_s / RATIO),
            exact_s: mean_s / RATIO,
            low_s: interval.map(|interval| interval.low),
            high_s: interval.map(|interval| interval.high),
            count: sample.len() as u32,
            late: self.late,
            kind: self.kind,
            mean_s,
            held_s: self.held_s / sample.len() as f64,
            cv: sample.cv(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn latencies(seconds: &[f64]) -> Latencies {
        Latencies { kind: BlockKind::TimedPress, seconds: seconds.to_vec(), late: 0, held_s: 0.0 }
    }

    #[test]
    fn worked_values_of_the_ratio() {
        // Mean over 0.65 (Simpson, Koester and LoPresti 2006): computed by hand.
        for (mean, interval) in [(0.520, 0.8), (0.650, 1.0), (0.780, 1.2), (0.910, 1.4), (1.0, 1.55)] {
            let found = latencies(&[mean - 0.1, mean + 0.1]).suggest().unwrap();
            assert_eq!(found.scan_interval_s, interval, "{mean}");
        }
        assert!((latencies(&[1.0]).suggest().unwrap().exact_s - 1.538462).abs() < 1e-6);
    }

    #[test]
    fn the_limit_is_where_the_ratio_is_mean_and_two_sd() {
        assert!((CV_LIMIT - 0.269231).abs() < 1e-6);
        let mean = 0.7;
        assert!((mean / RATIO - (mean + 2.0 * CV_LIMIT * mean)).abs() < 1e-12);
    }

    #[test]
    fn the_interval_is_that_of_the_mean() {
        // Means of 0.7 s and 0.9 s at n = 2: t(0.95, 1) = 6.3138 (handbook table), SD 0.141421.
        let found = latencies(&[0.7, 0.9]).suggest().unwrap();
        let half = 6.313752 * 0.141421356 / 2.0_f64.sqrt() / 0.65;
        assert!((found.high_s.unwrap() - (0.8 / 0.65 + half)).abs() < 1e-5);
        assert_eq!(latencies(&[0.7]).suggest().unwrap().low_s, None);
    }

    #[test]
    fn the_range_of_the_setting_holds() {
        assert_eq!(latencies(&[0.01]).suggest().unwrap().scan_interval_s, 0.3);
        assert_eq!(latencies(&[1e12]).suggest().unwrap().scan_interval_s, 20.0);
        assert_eq!(latencies(&[-0.5]).suggest(), None);
        assert_eq!(latencies(&[]).suggest(), None);
    }
}
