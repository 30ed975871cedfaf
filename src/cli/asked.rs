//! What a clinician may add to the logs when asking for advice.

use clap::Args as ClapArgs;

use crate::advice::asked::Asked;

#[derive(Debug, Default, ClapArgs)]
#[command(next_help_heading = "Advice")]
pub(super) struct AskedArgs {
    /// Accept so many late presses in 100 at most, 1 to 20; there is no limit unless one is given.
    #[arg(long, value_name = "PERCENT", value_parser = |text: &str| number(text, 1.0, 20.0))]
    pub late_limit: Option<f64>,
    /// Delay of screen and input of the controller at home, 0 to 1; it takes the place of the one measured here.
    #[arg(long, value_name = "SECONDS", value_parser = |text: &str| number(text, 0.0, 1.0))]
    pub home_lag: Option<f64>,
}

impl AskedArgs {
    /// The same in the units of the advice.
    pub fn asked(&self) -> Asked {
        Asked { late_limit: self.late_limit.map(|percent| percent / 100.0), home_lag_s: self.home_lag }
    }
}

fn number(text: &str, low: f64, high: f64) -> Result<f64, String> {
    let number = text.parse().ok().filter(|number| (low..=high).contains(number));
    number.ok_or_else(|| format!("give a number from {low} to {high}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_out_of_range_and_words_are_refused() {
        assert_eq!(number("2.5", 1.0, 20.0), Ok(2.5));
        for text in ["0.9", "21", "NaN", "inf", "five", ""] {
            assert_eq!(number(text, 1.0, 20.0), Err("give a number from 1 to 20".into()), "{text}");
        }
    }

    #[test]
    fn per_cent_become_a_share() {
        let asked = AskedArgs { late_limit: Some(5.0), home_lag: Some(0.1) }.asked();
        assert_eq!(asked, Asked { late_limit: Some(0.05), home_lag_s: Some(0.1) });
    }
}
