//! Exact limits of the mean of a Poisson count (Garwood 1936, Biometrika 28:437–442).

use super::{Interval, Level, chi_square};

/// The exact two-sided interval of the mean, after `events` were counted.
#[must_use]
pub fn interval(events: u64, level: Level) -> Interval {
    let low = if events == 0 { 0.0 } else { chi_square::quantile(level.tail(), 2.0 * events as f64) / 2.0 };
    Interval { low, high: upper_at(events, level.tail()) }
}

/// The exact one-sided upper limit of the mean, after `events` were counted.
///
/// With no events at 95 % it is −ln 0.05 = 2.996, the "rule of three".
#[must_use]
pub fn upper_limit(events: u64, level: Level) -> f64 {
    upper_at(events, 1.0 - level.share())
}

fn upper_at(events: u64, above: f64) -> f64 {
    chi_square::quantile(1.0 - above, 2.0 * events as f64 + 2.0) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    #[test]
    fn the_interval_agrees_with_scipy() {
        for (events, low, high) in [
            (0, 0.0, 3.6888794541139354),
            (1, 0.025317807984289876, 5.571643390938898),
            (3, 0.6186721228956014, 8.767273069742323),
            (10, 4.7953886961324335, 18.39035604201778),
            (50, 37.110963737461866, 65.91876666433681),
        ] {
            let found = interval(events, Level::NINETY_FIVE);
            assert!(close(found.low, low, 1e-11) && close(found.high, high, 1e-11), "{events}: {found:?}");
        }
    }

    #[test]
    fn the_upper_limit_agrees_with_scipy_and_the_rule_of_three() {
        for (events, limit) in
            [(0, 2.9957322735539895), (1, 4.743864518390577), (3, 7.753656527932725), (10, 16.962219235721903)]
        {
            assert!(close(upper_limit(events, Level::NINETY_FIVE), limit, 1e-11), "{events}");
        }
        assert!(close(upper_limit(0, Level::NINETY_FIVE), -(0.05_f64.ln()), 1e-12));
    }
}
