//! The scan interval at which the expected time of a selection is least.

use super::draws::draws;
use super::expected_time::{Pace, Ways};
use super::presses::Pressing;
use crate::settings::{Id, Kind, rounding};
use crate::stats::{Sample, least};

/// Guesses that are averaged.
const DRAWS: usize = 250;
/// How much more time the comfortable interval may cost.
const COMFORT: f64 = 1.05;

/// The best intervals for a client on a menu, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Optimum {
    /// The interval of the least expected time.
    pub exact: f64,
    /// The same, rounded up to the setting's step.
    pub fastest_safe: f64,
    /// The slowest step that costs at most 5 % more time.
    pub comfortable: f64,
    /// 90 % interval of the best interval: 5 % and 95 % of the guesses' own best ones.
    pub interval: [f64; 2],
    /// The same of the comfortable one, before rounding.
    pub comfortable_interval: [f64; 2],
    /// Expected time of a selection at `fastest_safe`.
    pub seconds: f64,
    /// The same at `comfortable`.
    pub comfortable_seconds: f64,
    /// Expected time at `comfortable`, 90 % interval.
    pub comfortable_range: [f64; 2],
    /// Share of presses that come after the item has gone, at `comfortable`, averaged.
    pub late: f64,
}

impl Optimum {
    /// From latencies in seconds and the number of lightings that were let go by. `pace` gives
    /// everything but the interval.
    ///
    /// `None` without a positive mean latency, or when no interval of the setting's range will do.
    #[must_use]
    pub fn find(latencies: &Sample, omitted: usize, ways: &Ways, pace: &Pace) -> Option<Optimum> {
        let guesses = draws(latencies, omitted, DRAWS)?;
        let mean = |interval: f64| mean_seconds(&guesses, ways, &Pace { interval, ..*pace });
        let exact = best(mean, latencies);
        let least_seconds = mean(exact);
        if !least_seconds.is_finite() {
            return None;
        }
        let fastest_safe = rounding::up(Id::ScanInterval, exact);
        let comfortable = slowest(fastest_safe, COMFORT * least_seconds, mean);
        let own = |guess: &Pressing| {
            let seconds = |interval: f64| ways.seconds(guess, &Pace { interval, ..*pace });
            let at = best(seconds, latencies);
            (at, crossing(at, COMFORT * seconds(at), seconds))
        };
        let (fastest, slowest): (Vec<f64>, Vec<f64>) = guesses.iter().map(own).unzip();
        let there = Pace { interval: comfortable, ..*pace };
        let times = guesses.iter().map(|g| ways.seconds(g, &there)).filter(|s| s.is_finite()).collect();
        Some(Optimum {
            exact,
            fastest_safe,
            comfortable,
            interval: ninety(fastest)?,
            comfortable_interval: ninety(slowest)?,
            seconds: mean(fastest_safe),
            comfortable_seconds: mean(comfortable),
            comfortable_range: ninety(times)?,
            late: guesses.iter().map(|g| libm::exp(g.latency.log_survival(comfortable))).sum::<f64>() / DRAWS as f64,
        })
    }
}

fn mean_seconds(guesses: &[Pressing], ways: &Ways, pace: &Pace) -> f64 {
    guesses.iter().map(|guess| ways.seconds(guess, pace)).sum::<f64>() / guesses.len() as f64
}

/// The interval of the least time. Where the time is infinite on both sides the slower side is searched:
/// too fast is what makes it infinite.
fn best(seconds: impl Fn(f64) -> f64, latencies: &Sample) -> f64 {
    let [shortest, longest, step] = range();
    // Beyond six mean latencies every second is given away.
    let slowest = (6.0 * latencies.mean() + latencies.greatest()).clamp(shortest, longest);
    least(seconds, shortest, slowest, step / 10.0)
}

/// The slowest step from `from` on at which the time is within `limit`.
fn slowest(from: f64, limit: f64, seconds: impl Fn(f64) -> f64) -> f64 {
    let [_, longest, step] = range();
    let mut found = from;
    while found + step <= longest + 1e-9 && seconds(tidy(found + step)) <= limit {
        found = tidy(found + step);
    }
    found
}

/// Where the time passes `limit` on the slow side of `best`, by bisection.
fn crossing(best: f64, limit: f64, seconds: impl Fn(f64) -> f64) -> f64 {
    let [_, longest, _] = range();
    let (mut low, mut high) = (best, best);
    while high < longest && seconds(high) <= limit {
        (low, high) = (high, (1.25 * high).min(longest));
    }
    for _ in 0..8 {
        let middle = 0.5 * (low + high);
        if seconds(middle) <= limit { low = middle } else { high = middle }
    }
    low
}

/// The middle 90 % of the values.
fn ninety(values: Vec<f64>) -> Option<[f64; 2]> {
    let sample = Sample::new(values).ok()?;
    Some([sample.quantile(0.05), sample.quantile(0.95)])
}

/// The range and the step of the scan interval.
fn range() -> [f64; 3] {
    let Kind::Time { min, max, step } = Id::ScanInterval.setting().kind else {
        unreachable!("the scan interval is a time")
    };
    [min, max, step].map(|microseconds| microseconds as f64 / 1e6)
}

/// Whole microseconds again, after steps were added up.
fn tidy(seconds: f64) -> f64 {
    libm::round(seconds * 1e6) / 1e6
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    const BARE: Pace = Pace { interval: 1.0, first_at_top: 0.0, first_inside: 0.0, pause: 0.0, loops_inside: 2 };

    fn optimum(count: usize) -> Optimum {
        let mut stream = Stream::named(4, "optimum");
        let seconds = (0..count).map(|_| 0.5 + 0.06 * stream.normal() + 0.2 * stream.exponential()).collect();
        Optimum::find(&Sample::new(seconds).unwrap(), 0, &Ways::linear(8).unwrap(), &BARE).unwrap()
    }

    #[test]
    fn many_presses_lead_to_the_true_optimum() {
        // Latency ex-Gaussian (500, 60, 200) ms, eight items in a list: 1.0428 s, by scipy. A
        // lapse rate near nothing moves it by less than the step.
        let found = optimum(2000);
        assert!((found.exact - 1.0428).abs() < 0.05, "{found:?}");
        assert!(found.interval[0] < 1.0428 && 1.0428 < found.interval[1], "{found:?}");
        assert!(found.comfortable >= found.fastest_safe && found.fastest_safe >= found.exact);
        // Rounding down to a step may leave the interval by less than that step.
        let [low, high] = found.comfortable_interval;
        assert!(low - 0.05 < found.comfortable && found.comfortable < high, "{found:?}");
        assert!(found.comfortable_seconds <= 1.05 * found.seconds + 1e-9);
    }

    #[test]
    fn fewer_presses_leave_more_open() {
        let (few, many) = (optimum(15), optimum(200));
        assert!(few.interval[1] - few.interval[0] > many.interval[1] - many.interval[0]);
    }
}
