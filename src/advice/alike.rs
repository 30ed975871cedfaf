//! Latencies that are all alike: no person presses so evenly, so they bear no advice.

use crate::stats::Sample;

/// All latencies within so many seconds are alike (common practice, no source).
const ALIKE_S: f64 = 0.001;

/// What to do about it.
pub(super) const REMEDY: &str = "Check what closes the switch and how the log was made, and measure again.";

/// Why the latencies bear no advice, where they are alike.
pub(super) fn told(latencies: &Sample) -> Option<String> {
    let alike = latencies.len() > 1 && latencies.greatest() - latencies.least() < ALIKE_S;
    alike.then(|| {
        format!("All {} latencies are alike to the millisecond: no person presses so evenly.", latencies.len())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_single_latency_and_those_that_scatter_are_not_alike() {
        let told = |values: &[f64]| told(&Sample::new(values.to_vec()).unwrap());
        assert!(told(&[0.7]).is_none() && told(&[0.7, 0.702, 0.7]).is_none());
        assert!(told(&[0.7, 0.7004, 0.7]).unwrap().starts_with("All 3 latencies"));
    }
}
