//! Distributions of latencies and their fits; it reads nothing, and draws only from a stream it is handed.

mod ex_gaussian;
mod fit;
mod likelihood;
mod newton;
mod observations;
mod scaled_tail;

pub use ex_gaussian::ExGaussian;
pub use fit::Fit;
pub use observations::{FitError, Observations};
