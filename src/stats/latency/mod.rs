//! Distributions of latencies and their fits; it reads nothing, and draws only from a stream it is handed.

mod ex_gaussian;
mod ex_gaussian_fit;
mod ex_gaussian_likelihood;
mod growth;
mod jet;
mod lapses;
mod law;
mod local;
mod lognormal;
mod newton;
mod observations;
mod scaled_tail;
mod shifted;
mod simplex;
mod timing;
mod wald;

pub use ex_gaussian::ExGaussian;
pub use growth::Paced;
pub use lapses::{Lapsing, Opportunities};
pub use law::{Fit, Law};
pub use lognormal::Lognormal;
pub use observations::{FitError, Observations};
pub use timing::{AimPoint, Manner, chance_of_timing, manner_at_one, manner_at_rates};
pub use wald::Wald;
