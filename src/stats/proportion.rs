//! Intervals of a share, after `hits` of `trials`.

use super::{Interval, Level, beta, normal};

/// Wilson's score interval (Wilson 1927, Journal of the American Statistical Association
/// 22:209–212; recommended by Brown, Cai and DasGupta 2001, Statistical Science 16:101–133).
///
/// `None` when there were no trials, or more hits than trials.
#[must_use]
pub fn wilson(hits: u64, trials: u64, level: Level) -> Option<Interval> {
    if trials == 0 || hits > trials {
        return None;
    }
    let (n, p) = (trials as f64, hits as f64 / trials as f64);
    let z = normal::quantile(1.0 - level.tail());
    let scale = 1.0 + z * z / n;
    let centre = (p + z * z / (2.0 * n)) / scale;
    let half = z * libm::sqrt(p * (1.0 - p) / n + z * z / (4.0 * n * n)) / scale;
    // At the ends the limit is exact; rounding must not move it.
    let low = if hits == 0 { 0.0 } else { centre - half };
    let high = if hits == trials { 1.0 } else { centre + half };
    Some(Interval { low, high })
}

/// The exact interval of Clopper and Pearson (1934, Biometrika 26:404–413; from memory): it never
/// covers less than it says, and is wider for that.
///
/// `None` when there were no trials, or more hits than trials.
#[must_use]
pub fn clopper_pearson(hits: u64, trials: u64, level: Level) -> Option<Interval> {
    if trials == 0 || hits > trials {
        return None;
    }
    let (k, n, tail) = (hits as f64, trials as f64, level.tail());
    let low = if hits == 0 { 0.0 } else { beta::quantile(k, n - k + 1.0, tail) };
    let high = if hits == trials { 1.0 } else { beta::quantile(k + 1.0, n - k, 1.0 - tail) };
    Some(Interval { low, high })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    fn agrees(found: Option<Interval>, low: f64, high: f64) -> bool {
        found.is_some_and(|found| close(found.low, low, 1e-12) && close(found.high, high, 1e-12))
    }

    #[test]
    fn wilson_agrees_with_statsmodels() {
        for (hits, trials, low, high) in [
            (9, 10, 0.5958499732047614, 0.982123786904927),
            (18, 20, 0.6989663547715127, 0.9721335187862318),
            (27, 30, 0.7437891742081592, 0.9654001112526659),
            (45, 50, 0.7863976856252034, 0.9565242350681095),
            (20, 20, 0.8388748419471804, 1.0),
            (0, 20, 0.0, 0.1611251580528194),
            (1, 20, 0.008881448800795402, 0.2361311934467421),
            (333, 1000, 0.3044779033483562, 0.3628002339858192),
        ] {
            assert!(agrees(wilson(hits, trials, Level::NINETY_FIVE), low, high), "{hits}/{trials}");
        }
    }

    #[test]
    fn clopper_pearson_agrees_with_statsmodels() {
        for (hits, trials, low, high) in [
            (9, 10, 0.5549838829718047, 0.9974714214555382),
            (18, 20, 0.6830172859809177, 0.9876514728297052),
            (27, 30, 0.7347115495257919, 0.9788828629702774),
            (45, 50, 0.7818646335657977, 0.9667249064109775),
            (20, 20, 0.8315665290169146, 1.0),
            (0, 20, 0.0, 0.16843347098308534),
            (1, 20, 0.0012650894979498038, 0.24873276277202783),
            (333, 1000, 0.30381780242015766, 0.36316921785200823),
        ] {
            assert!(agrees(clopper_pearson(hits, trials, Level::NINETY_FIVE), low, high), "{hits}/{trials}");
        }
    }

    #[test]
    fn thirty_without_an_error_rule_out_one_in_ten() {
        // One-sided 95 % bound 1 − 0.05^(1/30) = 0.095034 (closed form).
        let interval = clopper_pearson(0, 30, Level::NINETY).unwrap();
        assert!(close(interval.high, 1.0 - 0.05_f64.powf(1.0 / 30.0), 1e-12));
    }

    #[test]
    fn no_trials_have_no_interval() {
        assert_eq!(wilson(0, 0, Level::NINETY_FIVE), None);
        assert_eq!(clopper_pearson(3, 2, Level::NINETY_FIVE), None);
    }
}
