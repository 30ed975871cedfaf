//! A client who is slower than today: by spring, or on a bad day.
//!
//! Every latency is so many times as long, the first-item effect too. One who times the presses aims
//! where they aimed, with so many times the scatter. Lapses and involuntary presses stay.

use crate::sim::latency::Latency;
use crate::sim::traits::{Aim, Traits};

/// The client once everything takes `factor` times as long; `factor` is above 0.
#[must_use]
pub fn slower(traits: &Traits, factor: f64) -> Traits {
    let aim = traits.aim.map(|aim| Aim { sd_s: aim.sd_s * factor, sd_share: aim.sd_share * factor, ..aim });
    let first_item_s = traits.first_item_s * factor;
    Traits { latency: times(&traits.latency, factor), aim, first_item_s, ..traits.clone() }
}

/// A law so many times as long; `factor` is above 0.
#[must_use]
pub fn times(law: &Latency, factor: f64) -> Latency {
    match law {
        Latency::ExGaussian { mu_s, sigma_s, tau_s } => {
            Latency::ExGaussian { mu_s: mu_s * factor, sigma_s: sigma_s * factor, tau_s: tau_s * factor }
        }
        Latency::Lognormal { shift_s, median_s, log_sd } => {
            Latency::Lognormal { shift_s: shift_s * factor, median_s: median_s * factor, log_sd: *log_sd }
        }
        Latency::Wald { shift_s, mean_s, shape_s } => {
            Latency::Wald { shift_s: shift_s * factor, mean_s: mean_s * factor, shape_s: shape_s * factor }
        }
        Latency::Gamma { shift_s, shape, scale_s } => {
            Latency::Gamma { shift_s: shift_s * factor, shape: *shape, scale_s: scale_s * factor }
        }
        Latency::Quantiles { seconds } => Latency::Quantiles { seconds: seconds.iter().map(|s| s * factor).collect() },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_law_takes_so_many_times_as_long() {
        for law in [
            Latency::ExGaussian { mu_s: 0.55, sigma_s: 0.07, tau_s: 0.16 },
            Latency::Lognormal { shift_s: 0.2, median_s: 0.45, log_sd: 0.4 },
            Latency::Wald { shift_s: 0.2, mean_s: 0.5, shape_s: 3.0 },
            Latency::Gamma { shift_s: 0.2, shape: 3.0, scale_s: 0.17 },
            Latency::Quantiles { seconds: vec![0.4, 0.6, 0.7, 0.9, 1.6] },
        ] {
            let longer = times(&law, 1.5);
            assert!((longer.mean() - 1.5 * law.mean()).abs() < 1e-12);
            for seconds in [0.5, 0.7, 1.0] {
                assert!((longer.within(1.5 * seconds) - law.within(seconds)).abs() < 1e-9, "{law:?}");
            }
        }
    }
}
