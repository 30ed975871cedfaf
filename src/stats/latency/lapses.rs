//! Latencies of a client who sometimes does not press at all, and presses sometimes without meaning to.

use super::law::Law;
use super::observations::{FitError, Observations};
use super::simplex;

/// A law with two shares on top of it, for opportunities that end at a limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lapsing<L> {
    /// What a press that answers follows.
    pub law: L,
    /// The share of opportunities without any press, beyond those whose answer would have come too late.
    pub lapses: f64,
    /// The share of the other opportunities whose press is involuntary: anywhere in the window alike.
    pub involuntary: f64,
    /// Log-likelihood of all opportunities, in the unit of the latencies.
    pub log_likelihood: f64,
}

/// What came of a number of opportunities; all values in one unit.
#[derive(Clone, Copy, Debug)]
pub struct Opportunities<'a> {
    /// The latencies of the presses, all inside the window.
    pub pressed: &'a [f64],
    /// How many opportunities went by without a press.
    pub missed: usize,
    /// The window: the earliest and the latest latency that would have counted as an answer.
    pub window: [f64; 2],
}

impl<L: Law> Lapsing<L> {
    /// The most likely law with its shares, by the simplex method from the fit without shares and from fits to
    /// the middle of the values; the height is never below that without shares.
    ///
    /// # Errors
    ///
    /// Where the presses cannot bear a fit, or one lies outside the window.
    pub fn fit(opportunities: &Opportunities<'_>) -> Result<Lapsing<L>, FitError> {
        let [from, to] = opportunities.window;
        if opportunities.pressed.iter().any(|x| !(from..=to).contains(x)) {
            return Err(FitError::OutsideWindow);
        }
        let mut best = Lapsing::of(L::fit(&seen(opportunities.pressed))?.model, 0.0, opportunities);
        for trimmed in [0.0, 0.05, 0.15] {
            let Ok(fit) = L::fit(&seen(&middle(opportunities.pressed, trimmed))) else { continue };
            let found = best_from(fit.model, trimmed.max(0.01), opportunities);
            if found.is_some_and(|found| found.log_likelihood > best.log_likelihood) {
                best = found.unwrap_or(best);
            }
        }
        Ok(best)
    }

    /// With the share of lapses that suits the law best.
    fn of(law: L, involuntary: f64, opportunities: &Opportunities<'_>) -> Lapsing<L> {
        let [from, to] = opportunities.window;
        let (pressed, missed) = (opportunities.pressed.len() as f64, opportunities.missed as f64);
        let anywhere = involuntary / (to - from);
        let density = |x: &f64| libm::log((1.0 - involuntary) * libm::exp(law.log_density(*x)) + anywhere);
        let too_late = (1.0 - involuntary) * libm::exp(law.log_survival(to));
        let share = missed / (pressed + missed);
        let lapses = ((share - too_late) / (1.0 - too_late)).max(0.0);
        let mut height: f64 = opportunities.pressed.iter().map(density).sum();
        height += pressed * libm::log1p(-lapses);
        if missed > 0.0 {
            height += missed * libm::log(lapses + (1.0 - lapses) * too_late);
        }
        let log_likelihood = if height.is_nan() { f64::NEG_INFINITY } else { height };
        Lapsing { law, lapses, involuntary, log_likelihood }
    }
}

fn seen(values: &[f64]) -> Observations<'_> {
    Observations { seen: values, ..Observations::default() }
}

/// The values without a share at either end.
fn middle(values: &[f64], trimmed: f64) -> Vec<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let cut = (trimmed * sorted.len() as f64) as usize;
    sorted[cut..sorted.len() - cut].to_vec()
}

fn best_from<L: Law>(law: L, involuntary: f64, opportunities: &Opportunities<'_>) -> Option<Lapsing<L>> {
    let member = |point: &[f64; 4]| {
        let [a, b, c, involuntary] = *point;
        let law = L::of_parameters([a, b, c])?;
        (0.0..1.0).contains(&involuntary).then(|| Lapsing::of(law, involuntary, opportunities))
    };
    let [a, b, c] = law.parameters();
    let found = simplex::highest([a, b, c, involuntary], |point| {
        member(point).map_or(f64::NEG_INFINITY, |found| found.log_likelihood)
    });
    member(&found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;
    use crate::stats::latency::{ExGaussian, Lognormal, Wald};

    fn opportunities(law: impl Law, lapses: f64, involuntary: f64, count: usize) -> (Vec<f64>, usize) {
        let mut stream = Stream::named(11, "lapses");
        let (mut pressed, mut missed) = (Vec::new(), 0);
        for _ in 0..count {
            let x = if stream.unit() < involuntary { 1.5 * stream.unit() } else { law.draw(&mut stream) };
            if stream.unit() < lapses || !(0.0..=1.5).contains(&x) { missed += 1 } else { pressed.push(x) }
        }
        (pressed, missed)
    }

    fn is_found_again<L: Law>(truth: L) {
        let (pressed, missed) = opportunities(truth, 0.1, 0.08, 1500);
        let seen = Opportunities { pressed: &pressed, missed, window: [0.0, 1.5] };
        let found = Lapsing::<L>::fit(&seen).unwrap();
        assert!((found.lapses - 0.1).abs() < 0.03 && (found.involuntary - 0.08).abs() < 0.04, "{}", found.lapses);
        assert!((found.law.mean() - truth.mean()).abs() < 0.02, "{}", found.law.mean());
        let plain = Lapsing::of(L::fit(&super::seen(&pressed)).unwrap().model, 0.0, &seen);
        assert!(found.log_likelihood > plain.log_likelihood + 10.0);
        assert!(found.log_likelihood >= Lapsing::of(truth, 0.08, &seen).log_likelihood);
    }

    #[test]
    fn shares_and_law_are_found_again() {
        is_found_again(ExGaussian { mu: 0.4, sigma: 0.05, tau: 0.1 });
        is_found_again(Lognormal { shift: 0.2, mu: -1.4, sigma: 0.4 });
        is_found_again(Wald { shift: 0.2, threshold: 1.2, drift: 4.0 });
    }

    #[test]
    fn without_lapses_the_plain_fit_remains() {
        let (pressed, missed) = opportunities(ExGaussian { mu: 0.4, sigma: 0.05, tau: 0.1 }, 0.0, 0.0, 300);
        let seen = Opportunities { pressed: &pressed, missed, window: [0.0, 1.5] };
        let found = Lapsing::<ExGaussian>::fit(&seen).unwrap();
        assert!(found.lapses < 0.01 && found.involuntary < 0.03, "{found:?}");
    }

    #[test]
    fn a_press_outside_the_window_is_refused() {
        let pressed = [0.1, 0.2, 0.3, 0.4, 0.5, 1.6];
        let seen = Opportunities { pressed: &pressed, missed: 0, window: [0.0, 1.5] };
        assert_eq!(Lapsing::<Wald>::fit(&seen), Err(FitError::OutsideWindow));
    }
}
