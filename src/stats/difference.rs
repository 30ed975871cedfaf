//! The difference of two shares, such as of trials that succeeded under two settings.
//!
//! Near a given risk the interval and the test may disagree, as two sound methods do; the interval
//! says more, so print that.

use super::{Interval, Level, proportion};

/// Hits among trials: at least one trial, and no more hits than trials.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    hits: u64,
    trials: u64,
}

impl Share {
    /// `None` when there were no trials, or more hits than trials.
    #[must_use]
    pub fn new(hits: u64, trials: u64) -> Option<Share> {
        (trials > 0 && hits <= trials).then_some(Share { hits, trials })
    }

    /// Hits over trials, from 0 to 1.
    #[must_use]
    pub fn value(self) -> f64 {
        self.hits as f64 / self.trials as f64
    }
}

/// The interval of `first` − `second`, from −1 to 1, by Newcombe's tenth method (Newcombe 1998,
/// Statistics in Medicine 17:873–890; from memory): Wilson's intervals of the two, put together.
#[must_use]
pub fn newcombe(first: Share, second: Share, level: Level) -> Interval {
    let (one, two) = (wilson(first, level), wilson(second, level));
    let (p, q) = (first.value(), second.value());
    Interval {
        low: p - q - libm::hypot(p - one.low, two.high - q),
        high: p - q + libm::hypot(one.high - p, q - two.low),
    }
}

fn wilson(share: Share, level: Level) -> Interval {
    // A share has trials, so there is an interval; the widest one stands in for none.
    proportion::wilson(share.hits, share.trials, level).unwrap_or(Interval { low: 0.0, high: 1.0 })
}

/// The two-sided probability, if the shares were equal, of a table as unlikely as this one or more
/// so (Fisher's exact test; tables are ranked by their probability, as scipy and R do).
///
/// Takes time in proportion to the number of hits.
#[must_use]
pub fn fisher(first: Share, second: Share) -> f64 {
    let hits = first.hits + second.hits;
    let (least, most) = (hits.saturating_sub(second.trials), hits.min(first.trials));
    let weight = |k: u64| {
        libm::exp(
            log_choose(first.trials, k) + log_choose(second.trials, hits - k)
                - log_choose(first.trials + second.trials, hits),
        )
    };
    // Tables of equal probability differ by rounding.
    let limit = weight(first.hits) * (1.0 + 1e-7);
    (least..=most).map(weight).filter(|weight| *weight <= limit).sum::<f64>().min(1.0)
}

fn log_choose(n: u64, k: u64) -> f64 {
    let log_factorial = |n: u64| libm::lgamma(n as f64 + 1.0);
    log_factorial(n) - log_factorial(k) - log_factorial(n - k)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    /// Hits and trials of the first and of the second; Newcombe's 95 % ends by statsmodels and Fisher's
    /// probability by scipy.
    const TABLES: [([u64; 4], [f64; 3]); 5] = [
        ([18, 20, 12, 20], [0.029360758158362588, 0.5252791609301132, 0.06483316160735517]),
        ([9, 10, 3, 10], [0.1705227239345029, 0.809017973535488, 0.019766611097880443]),
        ([20, 20, 20, 20], [-0.16112515805281957, 0.16112515805281957, 1.0]),
        ([0, 15, 7, 12], [-0.8067396863412435, -0.24991098991328953, 0.0008918617614269788]),
        ([95, 100, 80, 90], [-0.018110418893577854, 0.14740474804861248, 0.17699221828185163]),
    ];

    fn shares([first_hits, first_trials, second_hits, second_trials]: [u64; 4]) -> (Share, Share) {
        (Share::new(first_hits, first_trials).unwrap(), Share::new(second_hits, second_trials).unwrap())
    }

    #[test]
    fn intervals_agree_with_statsmodels() {
        for (table, [low, high, _]) in TABLES {
            let (first, second) = shares(table);
            let found = newcombe(first, second, Level::NINETY_FIVE);
            assert!(close(found.low, low, 1e-11) && close(found.high, high, 1e-11), "{table:?}: {found:?}");
        }
    }

    #[test]
    fn probabilities_agree_with_scipy_whichever_comes_first() {
        for (table, [_, _, p]) in TABLES {
            let (first, second) = shares(table);
            assert!(close(fisher(first, second), p, 1e-11), "{table:?}");
            assert!(close(fisher(second, first), p, 1e-11), "{table:?}");
        }
    }

    #[test]
    fn what_is_no_share_is_refused() {
        assert_eq!((Share::new(0, 0), Share::new(3, 2)), (None, None));
        assert_eq!(Share::new(9, 10).map(Share::value), Some(0.9));
    }
}
