//! The interval of any statistic by drawing again from the sample, corrected for bias and for
//! skew (BCa: Efron 1987, Journal of the American Statistical Association 82:171–185; from memory).
//!
//! The same stream gives the same numbers on every machine. From a handful of observations the
//! interval is too short, whatever the correction: below about 20 say so.

use super::{Interval, Level, Sample, normal};
use crate::rng::Stream;

/// What drawing again found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bootstrap {
    /// The statistic of the sample itself.
    pub estimate: f64,
    /// Its standard error: the standard deviation over the draws.
    pub error: f64,
    /// Its interval.
    pub interval: Interval,
}

/// Draws `repeats` samples and takes the `statistic` of each; it may put what it gets in order.
///
/// Takes time in proportion to `repeats` times the statistic's, and one buffer. `None` with fewer
/// than two observations or repeats, or where the statistic is ever not finite.
#[must_use]
pub fn bca(
    sample: &Sample,
    statistic: impl Fn(&mut [f64]) -> f64,
    level: Level,
    repeats: usize,
    stream: &mut Stream,
) -> Option<Bootstrap> {
    if sample.len() < 2 || repeats < 2 {
        return None;
    }
    let mut buffer = sample.sorted().to_vec();
    let estimate = statistic(&mut buffer);
    let acceleration = acceleration(sample, &statistic, &mut buffer)?;
    let draws = (0..repeats).map(|_| {
        draw(sample, &mut buffer, stream);
        statistic(&mut buffer)
    });
    let draws = Sample::new(draws.collect()).ok().filter(|_| estimate.is_finite())?;
    let interval = corrected(&draws, estimate, acceleration, level);
    Some(Bootstrap { estimate, error: spread(&draws), interval })
}

fn draw(sample: &Sample, buffer: &mut [f64], stream: &mut Stream) {
    for place in buffer {
        *place = sample.sorted()[stream.below(sample.len() as u64) as usize];
    }
}

/// The standard deviation over all draws, with n below the line.
fn spread(draws: &Sample) -> f64 {
    let mean = draws.mean();
    libm::sqrt(draws.sorted().iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / draws.len() as f64)
}

/// How fast the standard error changes with the statistic, by leaving out one observation a time.
fn acceleration(sample: &Sample, statistic: impl Fn(&mut [f64]) -> f64, buffer: &mut [f64]) -> Option<f64> {
    let rest = &mut buffer[1..];
    let left_out = (0..sample.len()).map(|place| {
        rest[..place].copy_from_slice(&sample.sorted()[..place]);
        rest[place..].copy_from_slice(&sample.sorted()[place + 1..]);
        statistic(rest)
    });
    let left_out = Sample::new(left_out.collect()).ok()?;
    let mean = left_out.mean();
    let moment = |power| left_out.sorted().iter().map(|value| (mean - value).powi(power)).sum::<f64>();
    let (squares, cubes) = (moment(2), moment(3));
    Some(if squares > 0.0 { cubes / (6.0 * squares * libm::sqrt(squares)) } else { 0.0 })
}

/// The draws at the shares to which bias and acceleration move the two ends.
fn corrected(draws: &Sample, estimate: f64, acceleration: f64, level: Level) -> Interval {
    let bias = normal::quantile(share_below(draws, estimate));
    let share = |tail| {
        let moved = bias + normal::quantile(tail);
        // Beyond its pole the correction asks for the outermost draw.
        normal::cumulative(bias + moved / (1.0 - acceleration * moved).max(0.0))
    };
    Interval { low: draws.quantile(share(level.tail())), high: draws.quantile(share(1.0 - level.tail())) }
}

/// The share of draws below the estimate, an equal one counting half, kept off 0 and 1 by half a draw.
fn share_below(draws: &Sample, estimate: f64) -> f64 {
    let below = draws.sorted().partition_point(|value| *value < estimate);
    let not_above = draws.sorted().partition_point(|value| *value <= estimate);
    let count = draws.len() as f64;
    ((below + not_above) as f64 / (2.0 * count)).clamp(0.5 / count, 1.0 - 0.5 / count)
}

#[cfg(test)]
mod tests {
    use super::super::sample::tests::forty;
    use super::*;
    use crate::stats::close;

    fn mean(values: &mut [f64]) -> f64 {
        values.iter().sum::<f64>() / values.len() as f64
    }

    fn one_two_six() -> Sample {
        Sample::new(vec![1.0, 2.0, 6.0]).unwrap()
    }

    /// The means of all 27 samples that can be drawn from 1, 2, 6.
    fn every_draw() -> Sample {
        let values = [1.0, 2.0, 6.0];
        let pick = |place: usize| mean(&mut [values[place / 9], values[place / 3 % 3], values[place % 3]]);
        Sample::new((0..27).map(pick).collect()).unwrap()
    }

    #[test]
    fn all_draws_of_three_have_the_exact_spread_and_the_corrected_ends_by_scipy() {
        let draws = every_draw();
        assert!(close(spread(&draws), 1.2472191289246473, 1e-13));
        let accelerated = acceleration(&one_two_six(), mean, &mut [0.0; 3]).unwrap();
        assert!(close(accelerated, 0.05727026612409094, 1e-12));
        let interval = corrected(&draws, 3.0, accelerated, Level::NINETY);
        assert!(close(interval.low, 4.0 / 3.0, 1e-12), "{interval:?}");
        assert!(close(interval.high, 5.047187778167721, 1e-10), "{interval:?}");
    }

    #[test]
    fn draws_come_near_what_all_of_them_would_give() {
        let mut stream = Stream::named(11, "bootstrap");
        let found = bca(&one_two_six(), mean, Level::NINETY, 40_000, &mut stream).unwrap();
        assert_eq!(found.estimate, 3.0);
        // The spread of a spread is about 1.25/√80,000 = 0.0044.
        assert!((found.error - 1.2472191).abs() < 0.02, "{}", found.error);
    }

    #[test]
    fn the_interval_of_a_skewed_mean_is_the_one_of_scipy() {
        let mut stream = Stream::named(12, "bootstrap");
        let found = bca(&forty(), mean, Level::NINETY_FIVE, 40_000, &mut stream).unwrap();
        // By scipy from 400,000 draws: 645.3 and 772.2; the ends of 40,000 waver by about 0.6.
        assert!((found.interval.low - 645.3).abs() < 3.0, "{found:?}");
        assert!((found.interval.high - 772.2).abs() < 3.0, "{found:?}");
        assert!((found.error - 31.66).abs() < 0.6, "{found:?}");
    }

    #[test]
    fn the_same_stream_gives_the_same_interval() {
        let draw = |seed| bca(&forty(), mean, Level::NINETY, 200, &mut Stream::named(seed, "bootstrap"));
        assert_eq!(draw(1), draw(1));
        assert_ne!(draw(1), draw(2));
    }

    #[test]
    fn what_cannot_waver_has_no_width_and_nonsense_no_interval() {
        let mut stream = Stream::named(1, "bootstrap");
        let flat = Sample::new(vec![2.0; 4]).unwrap();
        let found = bca(&flat, mean, Level::NINETY, 100, &mut stream).unwrap();
        assert_eq!((found.error, found.interval), (0.0, Interval { low: 2.0, high: 2.0 }));
        assert_eq!(bca(&flat, |_| f64::NAN, Level::NINETY, 100, &mut stream), None);
        assert_eq!(bca(&Sample::new(vec![1.0]).unwrap(), mean, Level::NINETY, 100, &mut stream), None);
    }
}
