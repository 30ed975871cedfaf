//! Signs that the client tires: presses that get slower, lightings that are let go by.

use crate::stats::Sample;

/// Growth of the logarithm of the latency with each press that has to be ruled out, and by how many
/// standard errors. These, and the next five, were chosen in `benches/pacing.rs`.
const TIRING: f64 = 0.005;
const BOUND: f64 = 3.0;
/// A rise of so many standard errors is taken for one (one-sided, 5 %).
const SHOWN: f64 = 1.645;
/// A rise of so many at any time is not forgotten: whoever has once seemed to tire is not sped up again.
const SEEMED: f64 = 1.3;
/// A slope of so many standard errors either way is taken for a change.
const DRIFT: f64 = 2.5;
/// With fewer latencies tiring is never ruled out, and with fewer it is not thought to have been seen.
const FEWEST: [usize; 2] = [50, 20];
/// Logarithms further above their median than so many times what its lowest tenth lies below it count as that: a few
/// long latencies must not hide a trend.
const LONG: f64 = 0.8;
/// Fewer latencies have no slope.
const FEWEST_FOR_SLOPE: usize = 8;
/// Attempts of the latest stretch.
const LATEST: usize = 10;
/// Omissions in it from which they may be rising.
const OMISSIONS: usize = 2;

/// The attempts of a session so far.
#[derive(Clone, Debug, Default)]
pub(super) struct Trouble {
    logs: Vec<f64>,
    omitted: Vec<bool>,
    /// The presses have once seemed to get slower.
    tired: bool,
}

impl Trouble {
    /// Takes note of an attempt; `missed` where the whole of it was let go by.
    pub fn add(&mut self, missed: bool, latency_s: Option<f64>) {
        self.omitted.push(missed);
        self.logs.extend(latency_s.filter(|latency| *latency > 0.0 && latency.is_finite()).map(libm::log));
        self.tired |= self.logs.len() >= FEWEST[1] && self.slope().is_some_and(|(slope, error)| slope > SEEMED * error);
    }

    /// Presses that get slower by [`TIRING`] each cannot be ruled out, or they do get slower, however little, or once
    /// seemed to.
    pub fn may_tire(&self) -> bool {
        self.tired
            || self.logs.len() < FEWEST[0]
            || self.slope().is_none_or(|(slope, error)| slope > 0.0 || slope + BOUND * error > TIRING)
    }

    /// Presses do get slower.
    pub fn tires(&self) -> bool {
        self.slope().is_some_and(|(slope, error)| slope > SHOWN * error)
    }

    /// Presses get slower or faster.
    pub fn drifts(&self) -> bool {
        self.slope().is_some_and(|(slope, error)| slope.abs() > DRIFT * error)
    }

    /// Of the latencies, as a logarithm a press, and its standard error.
    fn slope(&self) -> Option<(f64, f64)> {
        let sample = Sample::new(self.logs.clone()).ok()?;
        let middle = sample.median();
        let longest = middle + LONG * (middle - sample.quantile(0.1));
        slope(&self.logs.iter().map(|log| log.min(longest)).collect::<Vec<_>>())
    }

    /// More is let go by in the latest attempts than before.
    pub fn omissions_rise(&self) -> bool {
        let count = |attempts: &[bool]| attempts.iter().filter(|omitted| **omitted).count();
        let (before, latest) = self.omitted.split_at(self.omitted.len().saturating_sub(LATEST));
        let (early, late) = (count(before), count(latest));
        late >= OMISSIONS && late * before.len() >= early * latest.len()
    }
}

/// Slope of the values a step, by least squares, and its standard error.
fn slope(values: &[f64]) -> Option<(f64, f64)> {
    if values.len() < FEWEST_FOR_SLOPE {
        return None;
    }
    let count = values.len() as f64;
    let (middle, mean) = ((count - 1.0) / 2.0, values.iter().sum::<f64>() / count);
    let steps = || values.iter().enumerate().map(|(place, value)| (place as f64 - middle, value - mean));
    let wide = count * (count * count - 1.0) / 12.0;
    let slope = steps().map(|(step, value)| step * value).sum::<f64>() / wide;
    let left = steps().map(|(step, value)| (value - slope * step).powi(2)).sum::<f64>();
    Some((slope, libm::sqrt(left / (count - 2.0) / wide)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_slope_and_its_error_are_those_of_least_squares() {
        // scipy 1.17.1, linregress of these on 0 … 9.
        let found = slope(&[0.62, 0.60, 0.65, 0.66, 0.64, 0.70, 0.69, 0.73, 0.71, 0.76]).unwrap();
        assert!((found.0 - 0.015_636_36).abs() < 1e-8 && (found.1 - 0.002_084_97).abs() < 1e-8, "{found:?}");
    }

    #[test]
    fn tiring_is_ruled_out_by_many_even_presses_only() {
        let even = |count: usize| {
            let mut trouble = Trouble::default();
            (0..count).for_each(|n| trouble.add(false, Some([0.8, 0.6, 0.7][n % 3])));
            trouble
        };
        assert!(Trouble::default().may_tire() && even(10).may_tire() && !even(60).may_tire());
        let mut tires = even(30);
        (0..20).for_each(|n| tires.add(false, Some(0.7 + 0.02 * f64::from(n))));
        assert!(tires.may_tire() && tires.tires());
        // It is not forgotten.
        (0..60).for_each(|n| tires.add(false, Some([0.8, 0.6, 0.7][n % 3])));
        assert!(tires.may_tire() && !tires.tires());
    }

    #[test]
    fn omissions_rise_when_the_latest_hold_more() {
        let mut trouble = Trouble::default();
        (0..20).for_each(|_| trouble.add(false, None));
        assert!(!trouble.omissions_rise());
        (0..2).for_each(|_| trouble.add(true, None));
        assert!(trouble.omissions_rise());
        (0..10).for_each(|_| trouble.add(false, None));
        assert!(!trouble.omissions_rise());
    }
}
