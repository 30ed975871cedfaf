//! What every distribution of latencies can be asked, and the search for its quantiles.

use super::observations::{FitError, Observations};
use crate::rng::Stream;

/// A Newton search inside a bracket halves it at least this often before it gives up refining.
const MOST_REFINEMENTS: usize = 200;

/// A distribution of latencies with three parameters, in the unit of the latencies.
pub trait Law: Copy {
    /// The name the family goes by on the command line.
    const NAME: &'static str;
    /// The names of the parameters, in their order.
    const PARAMETERS: [&'static str; 3];

    /// The parameters in their order.
    fn parameters(&self) -> [f64; 3];

    /// The member with these parameters; none where one is not finite or lies outside the family.
    fn of_parameters(parameters: [f64; 3]) -> Option<Self>;

    /// Natural logarithm of the density at `x`, per unit; minus infinity where no value can lie.
    fn log_density(&self, x: f64) -> f64;

    /// Natural logarithm of the chance of a value above `x`.
    fn log_survival(&self, x: f64) -> f64;

    /// Chance of a value at or below `x`; absolute error below 1e-14.
    fn cumulative(&self, x: f64) -> f64 {
        -libm::expm1(self.log_survival(x))
    }

    /// The value below which the share `p` lies. 0 and 1 give the infinities or the shift, anything outside
    /// not a number.
    fn quantile(&self, p: f64) -> f64 {
        match p {
            0.0 => self.least(),
            1.0 => f64::INFINITY,
            _ if p > 0.0 && p < 1.0 => search(self, p),
            _ => f64::NAN,
        }
    }

    /// The value below which nothing lies.
    fn least(&self) -> f64;

    /// A value in the middle of the distribution, and how far the bulk lies from it.
    fn bulk(&self) -> (f64, f64);

    /// Mean.
    fn mean(&self) -> f64;

    /// Standard deviation.
    fn standard_deviation(&self) -> f64;

    /// One value, drawn.
    fn draw(&self, stream: &mut Stream) -> f64;

    /// The most likely member of the family.
    ///
    /// # Errors
    ///
    /// Where the observations cannot bear a fit; see [`FitError`].
    fn fit(observations: &Observations<'_>) -> Result<Fit<Self>, FitError>;
}

/// A fitted distribution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit<L> {
    /// The most likely member of the family.
    pub model: L,
    /// Its log-likelihood, in the unit of the values.
    pub log_likelihood: f64,
    /// Standard errors of the parameters in the order in which the model names them, from the curvature at
    /// the summit; none where the likelihood has no summit inside the family.
    pub standard_errors: Option<[f64; 3]>,
    /// How many values were seen.
    pub seen: usize,
    /// How many were censored.
    pub censored: usize,
}

impl<L> Fit<L> {
    /// Akaike's information criterion, 2 · 3 parameters − 2 ln likelihood; among fits to the same values the
    /// smaller one is expected to predict better.
    #[must_use]
    pub fn akaike(&self) -> f64 {
        6.0 - 2.0 * self.log_likelihood
    }
}

/// The parameters, if all are finite and those from the place `positive` on are above 0.
pub(super) fn valid(parameters: [f64; 3], positive: usize) -> Option<[f64; 3]> {
    let right =
        parameters.iter().all(|value| value.is_finite()) && parameters[positive..].iter().all(|value| *value > 0.0);
    right.then_some(parameters)
}

/// Newton's method, kept inside a bracket that every step narrows.
fn search(law: &impl Law, p: f64) -> f64 {
    let (mut low, mut high) = bracket(law, p);
    let (middle, spread) = law.bulk();
    let mut x = middle.clamp(low, high);
    for _ in 0..MOST_REFINEMENTS {
        let miss = miss(law, x, p);
        if miss < 0.0 {
            low = x
        } else {
            high = x
        }
        let newton = x - miss / libm::exp(law.log_density(x));
        let next = if newton > low && newton < high { newton } else { low + (high - low) / 2.0 };
        if (next - x).abs() <= 1e-15 * (x.abs() + spread) {
            return next;
        }
        x = next;
    }
    x
}

/// How far the cumulative at `x` lies above `p`, from whichever tail keeps its digits.
fn miss(law: &impl Law, x: f64, p: f64) -> f64 {
    if p < 0.5 { law.cumulative(x) - p } else { (1.0 - p) - libm::exp(law.log_survival(x)) }
}

/// Two values between which the quantile lies.
fn bracket(law: &impl Law, p: f64) -> (f64, f64) {
    let (middle, mut width) = law.bulk();
    let (mut low, mut high) = (middle - width, middle + width);
    while miss(law, low, p) > 0.0 && width.is_finite() {
        width *= 2.0;
        low -= width;
    }
    while miss(law, high, p) < 0.0 && width.is_finite() {
        width *= 2.0;
        high += width;
    }
    (low, high)
}
