//! How much a measure wavers by itself, and so how much it must change before the change is real.
//!
//! All of it is about chance alone: a change that is surely real may still make no difference to
//! the person. No published least important change of a press latency was found.

use super::{Level, Sample, normal};

/// The fewest baseline sessions from which a person's own wavering is told.
const FEWEST_SESSIONS: usize = 3;

/// The standard error of measurement, SD·√(1 − ICC), in the unit of `sd`.
///
/// `None` unless `sd` is finite and not negative, and `icc` lies from 0 to 1.
#[must_use]
pub fn error_of_measurement(sd: f64, icc: f64) -> Option<f64> {
    (sd >= 0.0 && sd.is_finite() && (0.0..=1.0).contains(&icc)).then(|| sd * libm::sqrt(1.0 - icc))
}

/// The minimal detectable change at 95 %, 1.959964·√2·SEM: the least difference between two
/// measurements that chance alone seldom makes.
#[must_use]
pub fn detectable_change(error_of_measurement: f64) -> f64 {
    normal::quantile(1.0 - Level::NINETY_FIVE.tail()) * std::f64::consts::SQRT_2 * error_of_measurement
}

/// One person's own minimal detectable change at 95 %, from a measure taken in `sessions` between
/// which nothing was changed; their standard deviation stands for the error of measurement.
///
/// `None` below three sessions. With few it is still rough, as any spread from few values is.
#[must_use]
pub fn own_detectable_change(sessions: &Sample) -> Option<f64> {
    (sessions.len() >= FEWEST_SESSIONS).then(|| sessions.sd())?.map(detectable_change)
}

/// The reliable change index (Jacobson and Truax 1991, Journal of Consulting and Clinical
/// Psychology 59:12–19; from memory): `change` over √2·SEM. Beyond ±1.96 it is seldom chance.
///
/// `None` unless the error is greater than 0.
#[must_use]
pub fn change_index(change: f64, error_of_measurement: f64) -> Option<f64> {
    (error_of_measurement > 0.0).then(|| change / (std::f64::consts::SQRT_2 * error_of_measurement))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    #[test]
    fn a_spread_of_ninety_milliseconds_needs_a_change_of_ninety_seven() {
        // Worked with the published formulas: SD 90 ms, ICC 0.85, change 150 ms.
        let error = error_of_measurement(90.0, 0.85).unwrap();
        assert!(close(error, 34.856850115866756, 1e-13));
        assert!(close(detectable_change(error), 96.6164837607265, 1e-12));
        assert!(close(change_index(150.0, error).unwrap(), 3.042903097250923, 1e-13));
    }

    #[test]
    fn a_change_of_its_own_needs_three_sessions() {
        let own = |values: &[f64]| own_detectable_change(&Sample::new(values.to_vec()).unwrap());
        assert_eq!(own(&[700.0, 720.0]), None);
        // Standard deviation 20.
        assert!(close(own(&[700.0, 720.0, 740.0]).unwrap(), detectable_change(20.0), 1e-12));
    }

    #[test]
    fn the_error_left_in_a_test_and_retest_is_the_error_of_measurement() {
        // Mean square 315 of five pairs, as `intraclass` pins it.
        assert!(close(detectable_change(libm::sqrt(315.0)), 49.194705579333416, 1e-12));
    }

    #[test]
    fn impossible_inputs_are_refused() {
        assert_eq!(error_of_measurement(-1.0, 0.5), None);
        assert_eq!(error_of_measurement(1.0, 1.5), None);
        assert_eq!((change_index(1.0, 0.0), change_index(1.0, f64::NAN)), (None, None));
    }
}
