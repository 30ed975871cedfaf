//! Where a function of one number is least: the golden section (Kiefer 1953, Proceedings of the
//! American Mathematical Society 4:502–506; from memory).

/// The golden section.
const GOLDEN: f64 = 0.618_033_988_749_894_8;

/// Where `f`, which falls and then rises, is least between `low` and `high`, to within `width`.
///
/// Where `f` is equal on both sides, as where it is infinite on both, the search goes on to the greater
/// numbers. It asks for one value of `f` a step. `width` has to be well above the rounding of the two ends.
#[must_use]
pub fn least(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64, width: f64) -> f64 {
    let (mut left, mut right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_left, mut at_right) = (f(left), f(right));
    while high - low > width {
        if at_left < at_right {
            (high, right, at_right) = (right, left, at_left);
            left = high - GOLDEN * (high - low);
            at_left = f(left);
        } else {
            (low, left, at_left) = (left, right, at_right);
            right = low + GOLDEN * (high - low);
            at_right = f(right);
        }
    }
    low.midpoint(high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parabola_is_least_at_its_vertex() {
        assert!((least(|x| (x - 1.25).powi(2), 0.0, 10.0, 1e-6) - 1.25).abs() < 1e-6);
    }

    #[test]
    fn an_infinite_side_is_left_for_the_greater_numbers() {
        let f = |x: f64| if x < 6.0 { f64::INFINITY } else { x };
        assert!((least(f, 0.0, 10.0, 1e-6) - 6.0).abs() < 1e-5);
    }

    #[test]
    fn an_end_is_found_too() {
        assert!(least(|x| x, 2.0, 3.0, 1e-6) - 2.0 < 1e-6);
    }
}
