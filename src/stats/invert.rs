//! Inverts an increasing function by halving.

/// The `x` in `low..=high` at which the increasing function `f` reaches `target`, to the last few
/// bits of a double. Below or above the range the nearer end is returned.
///
/// Halving takes at most about 1,100 calls (from the least double up) and normally under 70; it
/// cannot run away, which is worth more here than speed.
pub(super) fn increasing(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64, target: f64) -> f64 {
    loop {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high || high - low <= 1e-15 * high.abs() {
            return middle;
        }
        if f(middle) < target {
            low = middle;
        } else {
            high = middle;
        }
    }
}

/// A power of two at or above `start` at which the increasing function `f` has reached `target`.
pub(super) fn bound(f: impl Fn(f64) -> f64, start: f64, target: f64) -> f64 {
    let mut high = start;
    while f(high) < target && high < 1e300 {
        high *= 2.0;
    }
    high
}

#[cfg(test)]
mod tests {
    #[test]
    fn squares_are_inverted_to_roots() {
        let square = |x: f64| x * x;
        let high = super::bound(square, 1.0, 1e6);
        assert_eq!(high, 1024.0);
        assert!((super::increasing(square, 0.0, high, 1e6) - 1e3).abs() < 1e-11);
        assert!(super::increasing(square, 0.0, 4.0, 0.0) < 1e-300);
        assert!((super::increasing(square, 0.0, 4.0, 99.0) - 4.0).abs() < 1e-12);
    }
}
