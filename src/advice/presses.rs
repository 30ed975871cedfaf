//! How a client presses, as one set of guesses: a distribution of latencies, a share of presses that go
//! astray, and a share of lapses.

use super::expected_time::Presses;
use crate::stats::latency::ExGaussian;

/// Stray presses come evenly over so many mean latencies.
const STRAY_MEANS: f64 = 3.0;

/// One guess at the truth, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressing {
    /// Latencies of the presses that answer the highlight.
    pub latency: ExGaussian,
    /// Share of the presses that come at any time instead, evenly over three mean latencies.
    pub strays: f64,
    /// Share of lightings without a press, from 0 to below 1.
    pub lapses: f64,
}

impl Pressing {
    /// Density of the presses that come, `seconds` after the highlight.
    #[must_use]
    pub fn density(&self, seconds: f64) -> f64 {
        self.with_strays(self.latency.density(seconds), self.density_of_strays(seconds))
    }

    /// Share of presses that come after an entry which is lit for `seconds` has gone.
    #[must_use]
    pub fn late(&self, seconds: f64) -> f64 {
        self.with_strays(self.latency.survival(seconds), self.strays_after(seconds))
    }

    /// Both, for little more than the first.
    #[must_use]
    pub fn density_and_late(&self, seconds: f64) -> (f64, f64) {
        let (density, late) = self.latency.density_and_survival(seconds);
        let density = self.with_strays(density, self.density_of_strays(seconds));
        (density, self.with_strays(late, self.strays_after(seconds)))
    }

    fn with_strays(&self, answered: f64, stray: f64) -> f64 {
        (1.0 - self.strays) * answered + self.strays * stray
    }

    fn density_of_strays(&self, seconds: f64) -> f64 {
        let most = self.latest_stray();
        if (0.0..=most).contains(&seconds) { 1.0 / most } else { 0.0 }
    }

    fn strays_after(&self, seconds: f64) -> f64 {
        1.0 - (seconds / self.latest_stray()).clamp(0.0, 1.0)
    }

    fn latest_stray(&self) -> f64 {
        STRAY_MEANS * self.latency.mean()
    }
}

impl Presses for Pressing {
    fn within(&self, seconds: f64) -> f64 {
        1.0 - self.late(seconds)
    }

    fn mean(&self) -> f64 {
        (1.0 - self.strays) * self.latency.mean() + self.strays * self.latest_stray() / 2.0
    }

    fn lapses(&self) -> f64 {
        self.lapses
    }

    /// Exact: the cumulants of a Normal and of an exponential add up, and the means of exponentials of
    /// two kinds of presses are averaged.
    fn cumulant(&self, rate: f64) -> f64 {
        let ExGaussian { mu, sigma, tau } = self.latency;
        let answered = rate * mu - rate * rate * sigma * sigma / 2.0 + libm::log1p(rate * tau);
        if self.strays == 0.0 {
            return answered;
        }
        let most = rate * self.latest_stray();
        let stray = if most > 0.0 { -libm::expm1(-most) / most } else { 1.0 };
        -libm::log((1.0 - self.strays) * libm::exp(-answered) + self.strays * stray)
    }
}

/// The same presses with unwanted activations among them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disturbed<P> {
    /// What is wanted.
    pub presses: P,
    /// Unwanted activations a second while the scan runs, at every moment alike.
    pub unwanted: f64,
}

impl<P: Presses> Presses for Disturbed<P> {
    fn within(&self, seconds: f64) -> f64 {
        self.presses.within(seconds)
    }

    fn mean(&self) -> f64 {
        self.presses.mean()
    }

    fn lapses(&self) -> f64 {
        self.presses.lapses()
    }

    fn unwanted(&self) -> f64 {
        self.unwanted
    }

    fn cumulant(&self, rate: f64) -> f64 {
        self.presses.cumulant(rate)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOME_ASTRAY: Pressing =
        Pressing { latency: ExGaussian { mu: 0.5, sigma: 0.06, tau: 0.2 }, strays: 0.1, lapses: 0.0 };

    /// Sum over thin slices from 0 to 6 s, beyond which hardly a press comes.
    fn summed(value: impl Fn(f64) -> f64) -> f64 {
        (0..60_000).map(|slice| (f64::from(slice) + 0.5) * 1e-4).map(|at| 1e-4 * value(at)).sum()
    }

    #[test]
    fn share_mean_and_cumulant_are_those_of_the_density() {
        let density = |at: f64| SOME_ASTRAY.density(at);
        for at in [-0.2, 0.1, 0.6, 1.0, 2.5] {
            let (one, late) = SOME_ASTRAY.density_and_late(at);
            assert!(one == density(at) && (late - SOME_ASTRAY.late(at)).abs() < 1e-14, "{at}");
        }
        assert!((summed(density) - 1.0).abs() < 1e-4);
        assert!((summed(|at| if at > 1.0 { density(at) } else { 0.0 }) - SOME_ASTRAY.late(1.0)).abs() < 1e-4);
        assert!((summed(|at| at * density(at)) - SOME_ASTRAY.mean()).abs() < 1e-4);
        let transform = summed(|at| libm::exp(-0.3 * at) * density(at));
        assert!((-libm::log(transform) - SOME_ASTRAY.cumulant(0.3)).abs() < 1e-4);
        assert_eq!(SOME_ASTRAY.cumulant(0.0), 0.0);
    }
}
