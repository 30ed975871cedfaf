//! A set of observations, checked and sorted once.

use std::fmt;

/// Finite observations, at least one, in ascending order. Any unit; results have the same.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    sorted: Vec<f64>,
}

/// Why a list of numbers is no sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SampleError {
    /// There is nothing in it.
    Empty,
    /// A value is infinite or not a number.
    NotFinite {
        /// Its place in the list, from 0.
        index: usize,
    },
}

impl fmt::Display for SampleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SampleError::Empty => write!(f, "a sample needs at least one value"),
            SampleError::NotFinite { index } => write!(f, "value {} of the sample is not a finite number", index + 1),
        }
    }
}

impl std::error::Error for SampleError {}

impl Sample {
    /// Takes the observations, in any order.
    ///
    /// # Errors
    /// When there are none, or one is infinite or not a number.
    pub fn new(mut values: Vec<f64>) -> Result<Sample, SampleError> {
        if let Some(index) = values.iter().position(|value| !value.is_finite()) {
            return Err(SampleError::NotFinite { index });
        }
        if values.is_empty() {
            return Err(SampleError::Empty);
        }
        values.sort_by(f64::total_cmp);
        Ok(Sample { sorted: values })
    }

    /// The observations in ascending order.
    #[must_use]
    pub fn sorted(&self) -> &[f64] {
        &self.sorted
    }

    /// How many there are; at least 1.
    #[must_use]
    #[expect(clippy::len_without_is_empty, reason = "a sample is never empty")]
    pub fn len(&self) -> usize {
        self.sorted.len()
    }

    /// The least observation.
    #[must_use]
    pub fn least(&self) -> f64 {
        self.sorted[0]
    }

    /// The greatest observation.
    #[must_use]
    pub fn greatest(&self) -> f64 {
        self.sorted[self.sorted.len() - 1]
    }

    /// The arithmetic mean.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.sorted.iter().sum::<f64>() / self.sorted.len() as f64
    }

    /// The standard deviation with n − 1 below the line; `None` for a single observation.
    #[must_use]
    pub fn sd(&self) -> Option<f64> {
        let mean = self.mean();
        let squares: f64 = self.sorted.iter().map(|value| (value - mean) * (value - mean)).sum();
        (self.len() > 1).then(|| libm::sqrt(squares / (self.len() - 1) as f64))
    }

    /// The coefficient of variation: standard deviation over mean. `None` for a single observation
    /// and where the mean is not positive, since it says nothing there.
    #[must_use]
    pub fn cv(&self) -> Option<f64> {
        let mean = self.mean();
        self.sd().filter(|_| mean > 0.0).map(|sd| sd / mean)
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::stats::close;

    /// Forty latencies in milliseconds, right-skewed as such data are.
    pub fn forty() -> Sample {
        let values = [
            423, 458, 478, 493, 506, 517, 527, 537, 546, 554, 563, 571, 580, 588, 597, 605, 614, 623, 633, 642, 652,
            663, 674, 686, 699, 712, 726, 742, 758, 777, 797, 819, 844, 872, 906, 946, 996, 1064, 1166, 1385,
        ];
        Sample::new(values.iter().rev().map(|ms| f64::from(*ms)).collect()).unwrap()
    }

    #[test]
    fn moments_agree_with_numpy() {
        let sample = forty();
        assert_eq!((sample.len(), sample.least(), sample.greatest()), (40, 423.0, 1385.0));
        assert!(close(sample.mean(), 698.475, 1e-14));
        assert!(close(sample.sd().unwrap(), 202.73210661185874, 1e-13));
        assert!(close(sample.cv().unwrap(), 0.2902496246993217, 1e-13));
    }

    #[test]
    fn what_is_no_sample_is_refused() {
        assert_eq!(Sample::new(vec![]), Err(SampleError::Empty));
        assert_eq!(Sample::new(vec![1.0, f64::NAN]), Err(SampleError::NotFinite { index: 1 }));
        assert_eq!(Sample::new(vec![f64::INFINITY]), Err(SampleError::NotFinite { index: 0 }));
    }

    #[test]
    fn one_value_has_no_spread_and_a_mean_of_zero_no_variation() {
        let one = Sample::new(vec![4.0]).unwrap();
        assert_eq!((one.mean(), one.sd(), one.cv()), (4.0, None, None));
        assert_eq!(Sample::new(vec![-1.0, 1.0]).unwrap().cv(), None);
    }
}
