//! Distributions of latencies; it draws nothing and reads nothing.

mod ex_gaussian;
mod scaled_tail;

pub use ex_gaussian::ExGaussian;
