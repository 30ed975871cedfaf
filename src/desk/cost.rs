//! What ways of living with or without the equipment cost a year, from the clinician's own figures.
//!
//! A price paid once becomes a yearly equivalent by the annuity that repays it with interest over the
//! years of use, as health economics does: Drummond et al., Methods for the Economic Evaluation of
//! Health Care Programmes (annuity factors; from memory). At no interest it is price over years.

use serde::{Deserialize, Serialize};

/// One way, with the figures that the clinician typed. No currency is known: all are in the same one.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Way {
    /// What it is: "with the recommended equipment".
    pub name: String,
    /// Paid once.
    pub price: f64,
    /// Years that the equipment is used.
    pub years: f64,
    /// Upkeep, batteries, repairs and training a year.
    pub upkeep: f64,
    /// Paid help that is still needed, in hours a week.
    pub help_hours: f64,
    /// Cost of an hour of help.
    pub hour: f64,
}

/// A year of a way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Yearly {
    /// The price, spread over the years of use.
    pub equipment: f64,
    /// Upkeep.
    pub upkeep: f64,
    /// Paid help.
    pub help: f64,
}

/// Weeks in a mean year of the calendar.
const WEEKS: f64 = 365.2425 / 7.0;

impl Yearly {
    /// All of it.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.equipment + self.upkeep + self.help
    }
}

impl Way {
    /// A year of this way at a yearly rate of interest, such as 0.035.
    ///
    /// # Errors
    /// A sentence when a figure is missing or cannot be.
    pub fn yearly(&self, interest: f64) -> Result<Yearly, String> {
        let figures = [self.price, self.upkeep, self.help_hours, self.hour];
        if figures.iter().any(|figure| !figure.is_finite() || *figure < 0.0) {
            return Err("a cost cannot be below zero: check the figures".into());
        }
        if !(0.0..1.0).contains(&interest) {
            return Err("give the yearly interest between 0 and 100 %".into());
        }
        if self.help_hours > 168.0 {
            return Err("a week has 168 hours: check the hours of help".into());
        }
        if self.price > 0.0 && !(self.years.is_finite() && self.years > 0.0) {
            return Err("say for how many years the equipment is used".into());
        }
        let equipment = if self.price > 0.0 { self.price / annuity_factor(interest, self.years) } else { 0.0 };
        Ok(Yearly { equipment, upkeep: self.upkeep, help: self.help_hours * self.hour * WEEKS })
    }
}

/// What one unit a year, paid at the end of each of so many years, is worth at the beginning.
#[must_use]
fn annuity_factor(interest: f64, years: f64) -> f64 {
    if interest <= 0.0 { years } else { (1.0 - libm::pow(1.0 + interest, -years)) / interest }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn annuity_factors_are_those_of_the_tables() {
        // Annuity tables as printed in any textbook of finance (from memory): 5 years at 5 %, 10 years at 3 %.
        assert!((annuity_factor(0.05, 5.0) - 4.3295).abs() < 5e-5);
        assert!((annuity_factor(0.03, 10.0) - 8.5302).abs() < 5e-5);
        assert_eq!(annuity_factor(0.0, 5.0), 5.0);
    }

    #[test]
    fn a_way_is_price_upkeep_and_help() {
        let way = Way { price: 5_000.0, years: 5.0, upkeep: 200.0, help_hours: 7.0, hour: 20.0, ..Way::default() };
        let year = way.yearly(0.0).unwrap();
        assert_eq!((year.equipment, year.upkeep), (1_000.0, 200.0));
        assert!((year.help - 20.0 * 365.2425).abs() < 1e-9);
        assert!((year.total() - (1_200.0 + year.help)).abs() < 1e-9);
    }

    #[test]
    fn figures_that_cannot_be_are_refused() {
        let way = Way { price: 5_000.0, ..Way::default() };
        assert!(way.yearly(0.0).unwrap_err().contains("years"));
        assert!(Way { upkeep: -1.0, ..Way::default() }.yearly(0.0).is_err());
        assert!(Way { hour: f64::NAN, ..Way::default() }.yearly(0.0).is_err());
        assert!(Way { help_hours: 200.0, ..Way::default() }.yearly(0.0).is_err());
        assert!(Way::default().yearly(2.0).is_err());
    }
}
