//! Maximum likelihood of the ex-Gaussian, for values seen, censored and truncated.

use super::ex_gaussian::ExGaussian;
use super::ex_gaussian_likelihood::{Likelihood, NORMAL_RATIO};
use super::law::Fit;
use super::local::{Local, Three};
use super::newton::{Surface, climb, errors_of};
use super::observations::{FitError, Observations};

/// How small the vanishing part is set, relative to the other, at either limit of the family.
const VANISHING: f64 = 1e-10;

/// So few values may have several summits.
const FEW: f64 = 2_000.0;
/// The tau over sigma that stands for a Normal.
const NORMAL_SHARE: f64 = 1e-5;
/// A smaller sigma over tau is never taken for that of a Normal.
const LEAST_NORMAL_RATIO: f64 = 4.0;

impl ExGaussian {
    /// The most likely ex-Gaussian. At the family's edges, a Normal or a shifted exponential, one part is
    /// tiny instead of absent.
    ///
    /// # Errors
    ///
    /// Where the observations cannot bear a fit; see [`FitError`].
    pub fn fit(observations: &Observations<'_>) -> Result<Fit<ExGaussian>, FitError> {
        observations.check()?;
        let shape = Shape::of(observations);
        let likelihood = Likelihood { observations: *observations, normal_from: shape.normal_from() };
        let mut best = climb(&likelihood, shape.by_moments().point());
        let first = best.0;
        for start in shape.fall_backs(&first) {
            raise(&mut best, climb(&likelihood, start.point()));
        }
        for edge in [shape.normal(), shape.exponential(), normal_beside(&ExGaussian::of_point(&best.0))] {
            raise(&mut best, (edge.point(), likelihood.at(&edge.point())));
        }
        Ok(finished(observations, best))
    }
}

/// The Normal of the same mean and deviation; with censored values that of the moments is not the likeliest.
fn normal_beside(found: &ExGaussian) -> ExGaussian {
    let sigma = found.standard_deviation();
    ExGaussian { mu: found.mean() - sigma * NORMAL_SHARE, sigma, tau: sigma * NORMAL_SHARE }
}

fn raise(best: &mut (Three, Local), other: (Three, Local)) {
    if other.1.height > best.1.height || !best.1.height.is_finite() {
        *best = other;
    }
}

fn finished(observations: &Observations<'_>, (point, here): (Three, Local)) -> Fit<ExGaussian> {
    let model = ExGaussian::of_point(&point);
    let inside = (1e-3..1e3).contains(&(model.sigma / model.tau));
    let changes = [[model.sigma, 0.0, 0.0], [0.0, model.sigma, 0.0], [0.0, 0.0, model.tau]];
    Fit {
        model,
        log_likelihood: here.height,
        standard_errors: if inside { errors_of(&here, &changes) } else { None },
        seen: observations.seen.len(),
        censored: observations.censored.len(),
    }
}

/// Moments of the values, a censored one counting as its limit.
struct Shape {
    count: f64,
    mean: f64,
    deviation: f64,
    skewness: f64,
    /// The fourth moment, over what a Normal of this deviation has, less 3.
    peakedness: f64,
    /// Whether every value is known, so that these moments are those of all values.
    complete: bool,
    least: f64,
    /// The mean excess over the least value, per value seen.
    excess: f64,
}

impl Shape {
    fn of(observations: &Observations<'_>) -> Shape {
        let all = || observations.all();
        let count = all().count() as f64;
        let mean = all().sum::<f64>() / count;
        let moment = |power: i32| all().map(|x| (x - mean).powi(power)).sum::<f64>() / count;
        let deviation = moment(2).sqrt();
        let least = observations.least();
        let skewness = moment(3) / deviation.powi(3);
        let peakedness = moment(4) / deviation.powi(4) - 3.0;
        let complete = observations.complete();
        Shape { count, mean, deviation, skewness, peakedness, complete, least, excess: observations.excess_over(least) }
    }

    /// The sigma over tau from which on no climb can turn away from the Normal any more. With s the share of the
    /// spread that is exponential, the likelihood over that of the Normal is n (s³ skewness / 3 + s⁴ peakedness
    /// / 4 − s⁶ / 3 …) (Gram–Charlier). Where skewness is not above 0 and complete, this falls towards the
    /// Normal from the s on at which the first term outweighs the second.
    fn normal_from(&self) -> f64 {
        if !self.complete || self.skewness >= 0.0 {
            return NORMAL_RATIO;
        }
        (4.0 * self.peakedness / -self.skewness).clamp(LEAST_NORMAL_RATIO, NORMAL_RATIO)
    }

    /// The member with a given share of the spread in its exponential part.
    fn with_share(&self, share: f64) -> ExGaussian {
        let tau = share * self.deviation;
        ExGaussian { mu: self.mean - tau, sigma: self.deviation * (1.0 - share * share).sqrt(), tau }
    }

    /// The method of moments, kept inside the family.
    fn by_moments(&self) -> ExGaussian {
        let least = if self.complete && self.skewness > 0.0 { 0.02 } else { 0.4 };
        self.with_share((self.skewness.max(0.0) / 2.0).cbrt().clamp(least, 0.95))
    }

    /// Further starts, where the first climb ended at an edge; with few values also where it ended near the
    /// Normal, since another summit can then stand nearer the exponential.
    fn fall_backs(&self, found: &Three) -> impl Iterator<Item = ExGaussian> {
        let most = if self.count < FEW { 2.0 } else { 20.0 };
        let inside = (0.05..most).contains(&libm::exp(found[1] - found[2]));
        [0.8, 0.99].into_iter().filter(move |_| !inside).map(|share| self.with_share(share))
    }

    fn normal(&self) -> ExGaussian {
        normal_beside(&ExGaussian { mu: self.mean, sigma: self.deviation, tau: 0.0 })
    }

    fn exponential(&self) -> ExGaussian {
        let sigma = VANISHING * self.excess;
        ExGaussian { mu: self.least - 6.0 * sigma, sigma, tau: self.excess }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::rng::Stream;
    use crate::stats::close;
    use crate::stats::latency::observations::tests::of_every_kind;

    /// The forty values of `tests/reference/latency_models.py`, in milliseconds.
    pub(in super::super) const FORTY: [f64; 40] = [
        423., 458., 478., 493., 506., 517., 527., 537., 546., 554., 563., 571., 580., 588., 597., 605., 614., 623.,
        633., 642., 652., 663., 674., 686., 699., 712., 726., 742., 758., 777., 797., 819., 844., 872., 906., 946.,
        996., 1064., 1166., 1385.,
    ];

    /// Computed with numpy and scipy: parameters to three decimals, log-likelihood to five.
    fn agrees(observations: Observations<'_>, parameters: [f64; 3], log_likelihood: f64) {
        let fit = ExGaussian::fit(&observations).unwrap();
        let found = [fit.model.mu, fit.model.sigma, fit.model.tau];
        assert!(found.iter().zip(parameters).all(|(found, wanted)| (found - wanted).abs() < 6e-3), "{fit:?}");
        assert!((fit.log_likelihood - log_likelihood).abs() < 6e-6, "{fit:?}");
    }

    fn at_the_worked(observations: Observations<'_>) -> f64 {
        let worked = ExGaussian { mu: 500.0, sigma: 60.0, tau: 200.0 };
        Likelihood::of(observations).at(&worked.point()).height
    }

    #[test]
    fn the_likelihood_of_five_values_agrees_with_scipy() {
        let five = [450.0, 520.0, 610.0, 700.0, 980.0];
        let found = at_the_worked(Observations { seen: &five, ..Observations::default() });
        assert!(close(found, -32.850879, 2e-8));
    }

    #[test]
    fn all_values_seen() {
        let all = Observations { seen: &FORTY, ..Observations::default() };
        agrees(all, [499.129, 56.662, 199.346], -261.42391);
        assert!(close(at_the_worked(all), -261.43877, 2e-8));
    }

    #[test]
    fn three_late_values_censored() {
        let late = Observations { seen: &FORTY[..37], censored: &[1000.0; 3], ..Observations::default() };
        agrees(late, [499.465, 56.854, 198.524], -242.45352);
        assert!(close(at_the_worked(late), -242.468822, 3e-9));
    }

    // One of the values happens to lie near 2π.
    #[allow(clippy::approx_constant)]
    #[test]
    fn of_two_summits_the_higher_is_found() {
        // scipy.optimize.minimize from several starts; scipy.stats.exponnorm.fit ends on the lower one, −55.38.
        let two = [
            3.56, 4.61, 4.98, 5.72, 5.79, 5.99, 6.28, 7.52, 7.62, 8.13, 8.31, 9.82, 10.55, 11.63, 13.82, 14.03, 14.38,
            14.39, 15.02, 15.31,
        ];
        let fit = ExGaussian::fit(&Observations { seen: &two, ..Observations::default() }).unwrap();
        assert!((fit.log_likelihood + 55.078228130818).abs() < 1e-8 && fit.standard_errors.is_some(), "{fit:?}");
    }

    #[test]
    fn late_values_unknown() {
        let cut = Observations { seen: &FORTY[..37], truncated_above: Some(1000.0), ..Observations::default() };
        agrees(cut, [492.458, 53.183, 228.853], -231.72130);
        assert!(close(at_the_worked(cut), -231.782146, 3e-9));
    }

    #[test]
    fn early_values_unknown() {
        let cut = Observations { seen: &FORTY[1..], truncated_below: Some(440.0), ..Observations::default() };
        agrees(cut, [502.290, 56.079, 198.347], -252.82182);
        assert!(close(at_the_worked(cut), -252.833455, 3e-9));
        let both = Observations { seen: &FORTY[1..37], truncated_above: Some(1000.0), ..cut };
        agrees(both, [496.180, 50.174, 227.611], -223.20431);
        assert!(close(at_the_worked(both), -223.257206, 3e-9));
        let censored = Observations { seen: &FORTY[1..37], censored: &[1000.0; 3], ..cut };
        agrees(censored, [502.679, 56.519, 197.298], -233.85087);
        assert!(close(at_the_worked(censored), -233.863503, 3e-9));
    }

    #[test]
    fn dropping_late_values_biases_towards_fast() {
        let naive = Observations { seen: &FORTY[..37], ..Observations::default() };
        let fit = ExGaussian::fit(&naive).unwrap();
        assert!((fit.model.mu - 524.754).abs() < 6e-3 && (fit.model.sigma - 71.605).abs() < 6e-3);
        assert!((fit.model.tau - 132.652).abs() < 6e-3 && (fit.model.mean() - 657.405).abs() < 6e-3);
    }

    #[test]
    fn at_its_edges_the_family_reaches_the_normal_and_the_exponential() {
        // Evenly spread quantiles; a Normal of n values has −n/2 (1 + ln 2π s²), an exponential −n (1 + ln t).
        let normal: Vec<f64> =
            (0..99).map(|index| crate::stats::normal::quantile((f64::from(index) + 0.5) / 99.0)).collect();
        let fit = ExGaussian::fit(&Observations { seen: &normal, ..Observations::default() }).unwrap();
        let variance = normal.iter().map(|x| x * x).sum::<f64>() / 99.0;
        assert!(fit.log_likelihood > -99.0 / 2.0 * (1.0 + (std::f64::consts::TAU * variance).ln()) - 1e-4);
        let exponential: Vec<f64> = (0..99).map(|index| 1.0 - (1.0 - (f64::from(index) + 0.5) / 99.0).ln()).collect();
        let fit = ExGaussian::fit(&Observations { seen: &exponential, ..Observations::default() }).unwrap();
        let excess = exponential.iter().map(|x| x - exponential[0]).sum::<f64>() / 99.0;
        assert!(fit.log_likelihood > -99.0 * (1.0 + excess.ln()) - 1e-4);
    }

    #[test]
    fn errors_are_those_of_repeated_samples() {
        let (truth, mut stream) = (ExGaussian { mu: 0.45, sigma: 0.08, tau: 0.15 }, Stream::named(5, "errors"));
        let mut off = [0.0; 3];
        for _ in 0..300 {
            let sample: Vec<f64> = (0..400).map(|_| truth.draw(&mut stream)).collect();
            let fit = ExGaussian::fit(&Observations { seen: &sample, ..Observations::default() }).unwrap();
            let errors = fit.standard_errors.unwrap();
            off[0] += ((fit.model.mu - truth.mu) / errors[0]).powi(2) / 300.0;
            off[1] += ((fit.model.sigma - truth.sigma) / errors[1]).powi(2) / 300.0;
            off[2] += ((fit.model.tau - truth.tau) / errors[2]).powi(2) / 300.0;
        }
        assert!(off.iter().all(|square| (0.75..1.35).contains(square)), "{off:?}");
    }

    #[test]
    fn nothing_is_ever_not_a_number() {
        let mut stream = Stream::named(9, "odd samples");
        for round in 0..400 {
            let scale = 10.0_f64.powi(round % 7 - 3);
            let seen: Vec<f64> =
                (0..5 + round % 40).map(|_| scale * (stream.exponential().powi(round % 3 + 1))).collect();
            let limits = [scale * 0.5, scale];
            let most = seen.iter().copied().fold(0.0, f64::max) * 1.01;
            let least = seen.iter().copied().fold(scale * 0.5, f64::min) * 0.99;
            for observations in of_every_kind(&seen, &limits, [least, most]) {
                let fit = ExGaussian::fit(&observations).unwrap();
                let numbers = [fit.model.mu, fit.model.sigma, fit.model.tau, fit.log_likelihood];
                assert!(numbers.iter().all(|number| number.is_finite()), "{fit:?}");
                assert!(fit.model.sigma > 0.0 && fit.model.tau > 0.0);
            }
        }
    }
}
