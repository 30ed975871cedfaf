//! How far latencies grow with the interval, while the level they grow from wanders over a session.
//!
//! Who tires presses later and later, and sooner again after a rest: where the slower scan came late in the session,
//! that looks like growth with the interval. So the level is a random walk, and mostly presses that are near in time
//! are compared (local level model with one regressor, by the Kalman filter: Harvey 1989, Forecasting, structural time
//! series models and the Kalman filter, chapters 2 and 3, from memory). How much it wanders is open.

use crate::stats::normal;

/// A press under a moving highlight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paced {
    /// Its session; from one to another the level may change much at once.
    pub session: u32,
    /// Since the session began, not less than that of the press before.
    pub minutes: f64,
    /// The interval between two lights, in seconds.
    pub interval: f64,
    /// From the onset, in seconds; an early press is negative.
    pub latency: f64,
}

/// Growth as far as the presses tell it, for one way of wandering.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Growth {
    /// By what share of the interval's change the latency changes, and its standard error.
    pub share: f64,
    pub error: f64,
    /// Logarithm of the likelihood, up to a constant that is the same for every way of wandering.
    pub log_likelihood: f64,
}

/// Standard deviation of the level's change over a minute, in standard deviations of a press; each as likely beforehand
/// as another (common practice, no source).
const WANDERS: [f64; 4] = [0.0, 0.1, 0.2, 0.4];
/// Standard deviation of its change from one session to the next, likewise: at the usual coefficient of variation, 0.269,
/// 8 % of the mean latency (common practice, no source).
const BETWEEN_SESSIONS: f64 = 0.3;
/// Variance of what is not known at all, in variances of a press.
const OPEN: f64 = 1e7;

/// The growth for each way of wandering; none where the presses do not tell it.
pub(super) fn growths(presses: &[Paced]) -> Vec<Growth> {
    let middle = presses.iter().map(|press| press.interval).sum::<f64>() / presses.len() as f64;
    WANDERS.iter().filter_map(|wander| growth(presses, middle, wander * wander)).collect()
}

/// `wander` is the variance of the level's change over a minute, in variances of a press.
fn growth(presses: &[Paced], middle: f64, wander: f64) -> Option<Growth> {
    let mut filter = Filter::new();
    let (mut squares, mut logs) = (0.0, 0.0);
    let mut before = presses.first()?;
    for press in presses {
        filter.level_variance += if before.session == press.session {
            wander * (press.minutes - before.minutes).max(0.0)
        } else {
            BETWEEN_SESSIONS * BETWEEN_SESSIONS
        };
        let (surprise, variance) = filter.see(press.interval - middle, press.latency);
        squares += surprise * surprise / variance;
        logs += libm::log(variance);
        before = press;
    }
    // The level and the share are found from the same presses.
    let free = presses.len() as f64 - 2.0;
    let variance = squares / free;
    let found = Growth {
        share: filter.share,
        error: libm::sqrt(variance * filter.share_variance),
        log_likelihood: -0.5 * (free * libm::log(variance) + logs),
    };
    // Intervals that are all alike leave the share as open as it was.
    let told = free >= 1.0 && filter.share_variance < OPEN / 2.0;
    (told && found.error > 0.0 && found.share.is_finite() && found.log_likelihood.is_finite()).then_some(found)
}

/// Level and share, and their covariance in variances of a press.
struct Filter {
    level: f64,
    share: f64,
    level_variance: f64,
    covariance: f64,
    share_variance: f64,
}

impl Filter {
    fn new() -> Filter {
        Filter { level: 0.0, share: 0.0, level_variance: OPEN, covariance: 0.0, share_variance: OPEN }
    }

    /// How far a latency is from what was expected under an interval so far from the middle one, and the variance of that.
    fn see(&mut self, interval: f64, latency: f64) -> (f64, f64) {
        let surprise = latency - self.level - self.share * interval;
        let [with_level, with_share] =
            [self.level_variance + interval * self.covariance, self.covariance + interval * self.share_variance];
        let variance = with_level + interval * with_share + 1.0;
        self.level += with_level / variance * surprise;
        self.share += with_share / variance * surprise;
        self.level_variance -= with_level * with_level / variance;
        self.covariance -= with_level * with_share / variance;
        self.share_variance -= with_share * with_share / variance;
        (surprise, variance)
    }
}

/// The chance beforehand `timed` that the latency grows by a share from 0 to 1, each as likely, against no growth at all,
/// after these presses; `more` is added to the standard error of every growth.
pub(super) fn chance_of_growth(growths: &[Growth], timed: f64, more: f64) -> Option<f64> {
    let most = growths.iter().map(|one| one.log_likelihood).fold(f64::NEG_INFINITY, f64::max);
    let (mut none, mut some) = (0.0, 0.0);
    for one in growths {
        let (weight, error) = (libm::exp(one.log_likelihood - most), libm::hypot(one.error, more));
        none += weight * normal::density(one.share / error) / error;
        some += weight * (normal::cumulative((1.0 - one.share) / error) - normal::cumulative(-one.share / error));
    }
    let (none, some) = ((1.0 - timed) * none, timed * some);
    (none + some > 0.0).then(|| some / (none + some))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    /// Presses every six seconds, the middle third under the slower of two intervals.
    fn session(count: usize, share: f64, level: impl Fn(f64) -> f64) -> Vec<Paced> {
        let mut stream = Stream::named(3, "growth");
        let press = |nth: usize| {
            let (interval, minutes) =
                (if (count / 3..2 * count / 3).contains(&nth) { 1.95 } else { 1.5 }, 0.1 * nth as f64);
            Paced { session: 0, minutes, interval, latency: level(minutes) + share * interval + 0.1 * stream.normal() }
        };
        (0..count).map(press).collect()
    }

    fn chance(presses: &[Paced]) -> f64 {
        chance_of_growth(&growths(presses), 0.2, 0.0).unwrap()
    }

    #[test]
    fn a_level_that_stays_gives_least_squares() {
        let presses = session(90, 0.3, |_| 0.5);
        let found = growths(&presses)[0];
        let mean = |of: &dyn Fn(&Paced) -> f64| presses.iter().map(of).sum::<f64>() / 90.0;
        let (x, y) = (mean(&|one| one.interval), mean(&|one| one.latency));
        let width = 90.0 * mean(&|one| (one.interval - x) * (one.interval - x));
        let slope = 90.0 * mean(&|one| (one.interval - x) * (one.latency - y)) / width;
        let left = 90.0 * mean(&|one| libm::pow(one.latency - y - slope * (one.interval - x), 2.0));
        let error = (left / 88.0 / width).sqrt();
        assert!(
            (found.share - slope).abs() < 1e-5 && (found.error / error - 1.0).abs() < 1e-5,
            "{found:?} {slope} {error}"
        );
    }

    #[test]
    fn every_way_of_wandering_is_generalised_least_squares() {
        // By numpy, `tests/reference/comparisons.py`.
        let presses = [
            (0, 0.0, 1.5, 0.62),
            (0, 0.1, 1.5, 0.55),
            (0, 0.25, 1.95, 0.71),
            (0, 0.4, 1.95, 0.66),
            (0, 0.5, 1.5, 0.70),
            (0, 0.65, 1.5, 0.60),
            (1, 0.2, 1.5, 0.77),
            (1, 0.3, 1.95, 0.74),
            (1, 0.5, 1.95, 0.93),
            (1, 0.7, 1.5, 0.81),
        ]
        .map(|(session, minutes, interval, latency)| Paced { session, minutes, interval, latency });
        let wanted = [
            (0.178_420_569, 0.146_655_191, 0.0),
            (0.178_166_850, 0.146_284_249, 0.015_387_350),
            (0.177_435_064, 0.145_209_691, 0.060_037_950),
            (0.174_885_877, 0.141_414_661, 0.218_511_182),
        ];
        let found = growths(&presses);
        assert_eq!(found.len(), wanted.len());
        for (one, (share, error, likelihood)) in found.iter().zip(wanted) {
            let off = [one.share - share, one.error - error, one.log_likelihood - found[0].log_likelihood - likelihood];
            assert!(off.iter().all(|off| off.abs() < 1e-6), "{one:?} {off:?}");
        }
    }

    #[test]
    fn who_tires_and_rests_does_not_follow_the_interval() {
        // Half a second slower by the end of the slower scan, then rested.
        let tiring = |minutes: f64| if minutes < 6.5 { 0.5 + 0.08 * minutes } else { 0.6 };
        let presses = session(90, 0.0, tiring);
        let least_squares = growths(&presses)[0];
        assert!(least_squares.share > 4.0 * least_squares.error, "{least_squares:?}");
        assert!(chance(&presses) < 0.5, "{}", chance(&presses));
        assert!(chance(&session(90, 0.4, |_| 0.1)) > 0.95);
        assert!(chance(&session(90, 0.0, |_| 0.6)) < 0.05);
    }

    #[test]
    fn another_day_may_begin_elsewhere_and_still_tells() {
        // Slower scan and slower presses on another day, which has the first rate as well.
        let at_one_rate = |level: f64, session: u32, interval: f64, share: f64| {
            let presses = self::session(30, 0.0, move |_| level + share * interval).into_iter();
            presses.map(move |one| Paced { session, interval, ..one })
        };
        let first = at_one_rate(0.5, 0, 1.5, 0.0);
        let second = session(60, 0.0, |_| 0.7).into_iter().map(|one| Paced { session: 1, ..one });
        let presses: Vec<Paced> = first.chain(second).collect();
        assert!(chance(&presses) < 0.1, "{}", chance(&presses));
        // One rate a day: far more than days differ by is timed, as much as they do may be either.
        let days =
            |share: f64| at_one_rate(0.1, 0, 1.2, share).chain(at_one_rate(0.1, 1, 2.0, share)).collect::<Vec<_>>();
        assert!(chance(&days(0.33)) > 0.95 && (0.05..0.5).contains(&chance(&days(0.1))), "{}", chance(&days(0.1)));
    }

    #[test]
    fn what_tells_nothing_has_no_growth() {
        assert!(growths(&[]).is_empty() && growths(&session(2, 0.0, |_| 0.5)).is_empty());
        let alike = session(30, 0.0, |_| 0.5).into_iter().map(|one| Paced { interval: 1.5, ..one });
        assert!(growths(&alike.collect::<Vec<_>>()).is_empty());
        let equal = session(30, 0.0, |_| 0.5).into_iter().map(|one| Paced { latency: 0.5, ..one });
        assert!(growths(&equal.collect::<Vec<_>>()).iter().all(|one| one.error.is_finite()));
        assert_eq!(chance_of_growth(&[], 0.2, 0.0), None);
    }
}
