//! How much a selection tells (Wolpaw and others 2000, IEEE Transactions on Rehabilitation
//! Engineering 8:164–173; from memory).
//!
//! It assumes that all choices are wanted equally often and that errors spread evenly over the
//! others. In a scanning menu neither holds, so use it to compare, never to promise.

/// Bits a selection from `choices`, of which the share `accuracy` is right; 0 below chance.
///
/// `None` unless there are at least two choices and `accuracy` lies from 0 to 1.
#[must_use]
pub fn bits(choices: u64, accuracy: f64) -> Option<f64> {
    if choices < 2 || !(0.0..=1.0).contains(&accuracy) {
        return None;
    }
    let (n, wrong) = (choices as f64, 1.0 - accuracy);
    if accuracy <= 1.0 / n {
        return Some(0.0);
    }
    let lost = if wrong == 0.0 { 0.0 } else { wrong * libm::log2(wrong / (n - 1.0)) };
    Some((libm::log2(n) + accuracy * libm::log2(accuracy) + lost).max(0.0))
}

/// Bits a minute at so many selections a minute, right and wrong together.
///
/// `None` where [`bits`] is, and for a rate that is negative or not finite.
#[must_use]
pub fn bits_per_minute(choices: u64, accuracy: f64, selections_per_minute: f64) -> Option<f64> {
    let possible = selections_per_minute >= 0.0 && selections_per_minute.is_finite();
    bits(choices, accuracy).filter(|_| possible).map(|bits| bits * selections_per_minute)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::close;

    #[test]
    fn bits_agree_with_the_formula_by_numpy() {
        for (choices, accuracy, wanted) in [
            (2, 0.9, 0.5310044064107189),
            (4, 0.8, 0.9610794049684066),
            (8, 0.9, 2.2502689142049586),
            (8, 0.95, 2.5732352967811636),
            (9, 0.9, 2.400929407853031),
            (16, 0.7, 1.9466419220867515),
            (36, 0.9, 4.188001106158534),
            (8, 1.0, 3.0),
        ] {
            assert!(close(bits(choices, accuracy).unwrap(), wanted, 1e-12), "{choices} {accuracy}");
        }
        assert!((bits_per_minute(8, 0.9, 6.0).unwrap() - 13.5016).abs() < 1e-4);
    }

    #[test]
    fn chance_and_worse_tell_nothing() {
        assert_eq!((bits(8, 0.125), bits(8, 0.05), bits(2, 0.0)), (Some(0.0), Some(0.0), Some(0.0)));
    }

    #[test]
    fn impossible_inputs_are_refused() {
        assert_eq!((bits(1, 0.9), bits(8, 1.1), bits(8, f64::NAN)), (None, None, None));
        assert_eq!((bits_per_minute(8, 0.9, -1.0), bits_per_minute(8, 0.9, f64::INFINITY)), (None, None));
    }
}
