//! Sample quantiles by linear interpolation between order statistics.
//!
//! Type 7 of Hyndman and Fan 1996 (The American Statistician 50:361–365), which is also the
//! default of numpy.

use super::Sample;

impl Sample {
    /// The quantile at `p`; values outside 0 to 1 are taken as the nearer end.
    #[must_use]
    pub fn quantile(&self, p: f64) -> f64 {
        let sorted = self.sorted();
        let place = p.clamp(0.0, 1.0) * (sorted.len() - 1) as f64;
        let below = libm::floor(place) as usize;
        let above = (below + 1).min(sorted.len() - 1);
        sorted[below] + (place - below as f64) * (sorted[above] - sorted[below])
    }

    /// The median.
    #[must_use]
    pub fn median(&self) -> f64 {
        self.quantile(0.5)
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::tests::forty;
    use crate::stats::{Sample, close};

    #[test]
    fn quantiles_agree_with_numpy() {
        let wanted = [
            (0.0, 423.0),
            (0.05, 477.0),
            (0.25, 560.75),
            (0.5, 647.0),
            (0.75, 782.0),
            (0.9, 951.0),
            (0.95, 1069.1),
            (0.99, 1299.59),
            (1.0, 1385.0),
        ];
        for (p, value) in wanted {
            assert!(close(forty().quantile(p), value, 1e-13), "{p}");
        }
    }

    #[test]
    fn ends_and_single_values_hold() {
        let one = Sample::new(vec![3.0]).unwrap();
        assert_eq!((one.quantile(0.0), one.median(), one.quantile(1.0)), (3.0, 3.0, 3.0));
        assert_eq!(forty().quantile(-1.0), 423.0);
    }
}
