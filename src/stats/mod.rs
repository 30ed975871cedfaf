//! Statistics as small pure functions over plain numbers; it knows nothing of switches.
//!
//! A [`Sample`] is checked and sorted once, so nothing that takes one meets an empty list or a value that is no number.
//! Intervals are two-sided and say their [`Level`]. Nothing here reads or prints; chance comes from a
//! random stream handed in.
//!
//! Reference values come from numpy, scipy and statsmodels; the scripts in `tests/reference` print them.

pub mod beta;
pub mod bootstrap;
pub mod chi_square;
pub mod difference;
pub mod dip;
mod estimate;
pub mod gamma;
pub mod information;
pub mod intraclass;
mod invert;
pub mod latency;
pub mod learning;
mod least;
pub mod normal;
pub mod permutation;
pub mod poisson;
pub mod proportion;
mod quantile;
pub mod quantile_interval;
pub mod rank_sum;
pub mod reliability;
mod sample;
pub mod sequential;
pub mod shift;
pub mod slope;
pub mod student;
mod tail;
pub mod throughput;
pub mod trend;

pub use estimate::{Interval, Level};
pub use least::least;
pub use sample::{Sample, SampleError};
pub use tail::Tail;

/// Whether two numbers agree to a relative (or, near zero, absolute) tolerance.
#[cfg(test)]
pub(crate) fn close(found: f64, wanted: f64, tolerance: f64) -> bool {
    (found - wanted).abs() <= tolerance * wanted.abs().max(1e-300) || (wanted == 0.0 && found.abs() <= tolerance)
}
