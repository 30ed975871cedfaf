//! What was seen of latencies, and what of them is not known.

use std::fmt;

use super::local::Local;

/// The fewest distinct values that three parameters are fitted to.
const FEWEST: usize = 5;

/// Latencies, all in one unit. The three kinds of value are never mixed up with one another.
#[derive(Clone, Copy, Debug, Default)]
pub struct Observations<'a> {
    /// Values that were measured.
    pub seen: &'a [f64],
    /// For each value known only to lie above a limit, that limit.
    pub censored: &'a [f64],
    /// The value below which nothing would have been seen at all, nor counted; none where all was counted.
    pub truncated_below: Option<f64>,
    /// The same above.
    pub truncated_above: Option<f64>,
}

impl Observations<'_> {
    /// Every value, a censored one counting as its limit.
    pub(super) fn all(&self) -> impl Iterator<Item = f64> + Clone {
        self.seen.iter().chain(self.censored).copied()
    }

    /// The least value seen.
    pub(super) fn least(&self) -> f64 {
        self.seen.iter().copied().fold(f64::INFINITY, f64::min)
    }

    /// How far all values lie above the least, summed up and divided by how many were seen.
    pub(super) fn excess_over(&self, least: f64) -> f64 {
        self.all().map(|x| (x - least).max(0.0)).sum::<f64>() / self.seen.len() as f64
    }

    /// Whether every value is known, and none was cut off.
    pub(super) fn complete(&self) -> bool {
        self.censored.is_empty() && self.truncated_below.is_none() && self.truncated_above.is_none()
    }

    /// What truncation adds to the log-likelihood, from ln of the chance of a value above a limit: each value
    /// is one of those that could be counted.
    pub(super) fn truncation(&self, survival: impl Fn(f64) -> Local) -> Option<Local> {
        let seen = match (self.truncated_below, self.truncated_above) {
            (None, None) => return None,
            (Some(low), None) => survival(low).if_likely(),
            (None, Some(high)) => survival(high).chance_below(),
            (Some(low), Some(high)) => survival(low).chance_between(&survival(high)),
        };
        let mut term = Local::default();
        term.add(-((self.seen.len() + self.censored.len()) as f64), &seen);
        Some(term)
    }

    /// Whether a distribution of three parameters can be fitted to this.
    pub(super) fn check(&self) -> Result<(), FitError> {
        let all = || self.seen.iter().chain(self.censored).chain(&self.truncated_below).chain(&self.truncated_above);
        if all().any(|value| !value.is_finite()) {
            return Err(FitError::NotFinite);
        }
        if self.truncated_above.is_some() && !self.censored.is_empty() {
            return Err(FitError::CensoredAndTruncated);
        }
        let [low, high] = [self.truncated_below.unwrap_or(f64::MIN), self.truncated_above.unwrap_or(f64::MAX)];
        if self.all().any(|value| value < low || value > high) {
            return Err(FitError::OutsideTruncation);
        }
        match distinct(self.seen) {
            1 if self.seen.len() > 1 => Err(FitError::AllEqual),
            few if few < FEWEST => Err(FitError::TooFew(few)),
            _ => Ok(()),
        }
    }
}

/// How many distinct values there are, counted up to the fewest that suffice.
fn distinct(values: &[f64]) -> usize {
    let mut found = [f64::NAN; FEWEST];
    let mut count = 0;
    for value in values {
        if !found[..count].contains(value) {
            found[count] = *value;
            count += 1;
        }
        if count == FEWEST {
            break;
        }
    }
    count
}

/// Why nothing could be fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitError {
    /// Fewer than five distinct values were seen; so many were.
    TooFew(usize),
    /// All values are equal.
    AllEqual,
    /// A value is not a finite number.
    NotFinite,
    /// A value lies outside the limits outside which none can be seen.
    OutsideTruncation,
    /// Values above a limit are counted or they are not; both at once has no likelihood here.
    CensoredAndTruncated,
    /// A press lies outside the window in which it could have been seen.
    OutsideWindow,
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FitError::TooFew(count) => write!(f, "too few distinct values ({count}); measure at least {FEWEST}"),
            FitError::AllEqual => f.write_str("all values are equal; check how they were measured"),
            FitError::NotFinite => f.write_str("a value is not a finite number; remove it"),
            FitError::OutsideTruncation => {
                f.write_str("a value lies outside the limits of truncation; check the values and the limits")
            }
            FitError::OutsideWindow => f.write_str("a press lies outside the window; widen the window"),
            FitError::CensoredAndTruncated => f.write_str(
                "late values are both censored and truncated; give the censored ones or the limit, not both",
            ),
        }
    }
}

impl std::error::Error for FitError {}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// `seen` complete, censored, and truncated to `[low, high]` on either side, on both, and below while censored.
    pub(in super::super) fn of_every_kind<'a>(
        seen: &'a [f64],
        censored: &'a [f64],
        [low, high]: [f64; 2],
    ) -> [Observations<'a>; 6] {
        let all = Observations { seen, ..Observations::default() };
        let late = Observations { censored, ..all };
        let below = |one| Observations { truncated_below: Some(low), ..one };
        let above = |one| Observations { truncated_above: Some(high), ..one };
        [all, late, above(all), below(all), above(below(all)), below(late)]
    }

    fn why(seen: &[f64], censored: &[f64], truncated_above: Option<f64>) -> FitError {
        Observations { seen, censored, truncated_above, ..Observations::default() }.check().unwrap_err()
    }

    #[test]
    fn what_cannot_be_fitted_is_told_apart() {
        assert_eq!(why(&[], &[], None), FitError::TooFew(0));
        assert_eq!(why(&[1.0, 2.0, 1.0, 2.0, 3.0], &[], None), FitError::TooFew(3));
        assert_eq!(why(&[4.0; 9], &[], None), FitError::AllEqual);
        assert_eq!(why(&[1.0, f64::NAN], &[], None), FitError::NotFinite);
        assert_eq!(why(&[1.0], &[f64::INFINITY], None), FitError::NotFinite);
        assert_eq!(why(&[1.0, 3.0], &[], Some(2.0)), FitError::OutsideTruncation);
        assert_eq!(why(&[1.0], &[2.0], Some(2.0)), FitError::CensoredAndTruncated);
        let below = |seen, censored| Observations { seen, censored, truncated_below: Some(1.5), truncated_above: None };
        assert_eq!(below(&[1.0, 2.0], &[]).check(), Err(FitError::OutsideTruncation));
        assert_eq!(below(&[2.0, 3.0, 4.0, 5.0, 6.0], &[1.0]).check(), Err(FitError::OutsideTruncation));
        assert_eq!(below(&[2.0, 3.0, 4.0, 5.0, 6.0], &[2.0]).check(), Ok(()));
    }
}
