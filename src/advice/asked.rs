//! What a clinician may add to the evidence before advice is asked for.

/// Wishes and facts that no session can tell; by default there are none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Asked {
    /// The greatest share of presses, above 0 and below 1, that may come after their item has gone.
    pub late_limit: Option<f64>,
    /// Delay of screen and input of the controller at home, in seconds.
    pub home_lag_s: Option<f64>,
}

impl Asked {
    /// What has to be added to latencies that were measured with a lag of `here` seconds, so that they
    /// hold at home. Nothing unless both lags are known: the lag of the controller at home is hardly
    /// ever measured, and without it nothing may be taken off.
    #[must_use]
    pub fn shift(&self, here: Option<f64>) -> f64 {
        self.home_lag_s.zip(here).map_or(0.0, |(home, here)| home - here)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lag_counts_only_where_both_are_known() {
        let home = Asked { home_lag_s: Some(0.05), ..Asked::default() };
        assert!((home.shift(Some(0.02)) - 0.03).abs() < 1e-12);
        assert_eq!([home.shift(None), Asked::default().shift(Some(0.02))], [0.0, 0.0]);
    }
}
