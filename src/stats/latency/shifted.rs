//! Maximum likelihood for skewed families that start at a shift, for values seen, censored and truncated.
//!
//! A family is written by centre, scale and shape, so that at shape 0 it is the Normal and the shift has gone to
//! minus infinity: near-Normal data then lead to an ordinary summit or to that edge, never along an endless ridge.
//!
//! As the shift nears the least value the likelihood may grow without bound, which says nothing about the
//! latencies. So the shift stays below the least value by at least the mean excess over it divided by n²; the
//! greed for the last digits would pay only much nearer. Where no summit lies before that bound, the fit stands
//! at the bound and has no standard errors.

use std::marker::PhantomData;

use super::jet::Jet;
use super::law::{Fit, Law};
use super::local::{Local, Three};
use super::newton::{Surface, climb, errors_of};
use super::observations::{FitError, Observations};
use crate::rng::Stream;

/// The least shape, at which a family cannot be told from the Normal.
const FLATTEST: f64 = 1e-6;

/// Distances of the shift from the least value at which a climb may start, in mean excesses.
const GAPS: [f64; 9] = [1e-3, 0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0, 100.0];

/// A family with a shift. With `t` the distance from the centre over the scale and `k` the shape, the shift
/// lies where 1 + k t is 0. A point is (centre, ln scale, shape); slopes along the centre are per scale.
pub(super) trait Shifted: Copy {
    const NAME: &'static str;
    const PARAMETERS: [&'static str; 3];

    /// ln of the density at scale 1, inside the support.
    fn standard_log_density(t: Jet, k: Jet) -> Jet;
    /// ln of the chance of a value above `t`, inside the support.
    fn standard_log_survival(t: Jet, k: Jet) -> Jet;

    fn parameters(&self) -> Three;
    fn of_parameters(parameters: Three) -> Option<Self>;
    fn shift(&self) -> f64;
    fn mean(&self) -> f64;
    fn standard_deviation(&self) -> f64;
    fn draw(&self, stream: &mut Stream) -> f64;

    /// Centre, scale and shape.
    fn standard(&self) -> Three;
    fn of_standard(standard: Three) -> Self;
    /// How each parameter changes along the three coordinates.
    fn changes(&self) -> [Three; 3];
    /// The most likely member with a given shift, from the distances of all values from it.
    fn with_shift(shift: f64, distances: impl Iterator<Item = f64> + Clone) -> Self;
}

impl<S: Shifted> Law for S {
    const NAME: &'static str = S::NAME;
    const PARAMETERS: [&'static str; 3] = S::PARAMETERS;

    fn parameters(&self) -> [f64; 3] {
        Shifted::parameters(self)
    }

    fn of_parameters(parameters: [f64; 3]) -> Option<S> {
        S::of_parameters(parameters)
    }

    fn log_density(&self, x: f64) -> f64 {
        let [centre, scale, shape] = self.standard();
        let t = (x - centre) / scale;
        if x <= self.shift() || 1.0 + shape * t <= 0.0 {
            return f64::NEG_INFINITY;
        }
        S::standard_log_density(Jet::constant(t), Jet::constant(shape)).value - libm::log(scale)
    }

    fn log_survival(&self, x: f64) -> f64 {
        let [centre, scale, shape] = self.standard();
        survival::<S>((x - centre) / scale, shape).value
    }

    fn least(&self) -> f64 {
        self.shift()
    }

    fn bulk(&self) -> (f64, f64) {
        let [centre, scale, _] = self.standard();
        (centre, scale)
    }

    fn mean(&self) -> f64 {
        Shifted::mean(self)
    }

    fn standard_deviation(&self) -> f64 {
        Shifted::standard_deviation(self)
    }

    fn draw(&self, stream: &mut Stream) -> f64 {
        Shifted::draw(self, stream)
    }

    fn fit(observations: &Observations<'_>) -> Result<Fit<S>, FitError> {
        observations.check()?;
        let likelihood = Likelihood::<S>::of(observations);
        let best = likelihood.starts().into_iter().max_by(|a, b| a.1.height.total_cmp(&b.1.height));
        let (start, here) = best.expect("there are several starts");
        let (point, summit) = climb(&likelihood, start);
        Ok(likelihood.finished(if summit.height >= here.height { (point, summit) } else { (start, here) }))
    }
}

/// ln of the chance of a value above `t`; 0 at and below the shift.
fn survival<S: Shifted>(t: f64, shape: f64) -> Jet {
    if 1.0 + shape * t <= 0.0 {
        return Jet::constant(0.0);
    }
    let (t, k) = Jet::variables(t, shape);
    S::standard_log_survival(t, k)
}

/// A term of the likelihood over the point's coordinates, from one over (t, k).
fn placed(term: &Jet, t: f64) -> Local {
    let (centre_scale, centre_shape, scale_shape) = (t * term.tt + term.t, -term.tk, -t * term.tk);
    Local {
        height: term.value,
        slope: [-term.t, -t * term.t, term.k],
        curvature: [
            [term.tt, centre_scale, centre_shape],
            [centre_scale, t * centre_scale, scale_shape],
            [centre_shape, scale_shape, term.kk],
        ],
    }
}

/// The likelihood of a set of observations under one family.
struct Likelihood<'a, S> {
    observations: Observations<'a>,
    /// The least value seen.
    least: f64,
    /// The mean excess of all values over the least, per value seen.
    excess: f64,
    family: PhantomData<S>,
}

impl<'a, S: Shifted> Likelihood<'a, S> {
    fn of(observations: &Observations<'a>) -> Self {
        let least = observations.least();
        let excess = observations.excess_over(least);
        Likelihood { observations: *observations, least, excess, family: PhantomData }
    }

    /// How near the shift may come to the least value.
    fn least_gap(&self) -> f64 {
        let count = self.observations.seen.len() as f64;
        self.excess / (count * count)
    }

    /// How far the shift lies below the least value.
    fn gap(&self, point: &Three) -> f64 {
        self.least - point[0] + libm::exp(point[1]) / point[2]
    }

    fn starts(&self) -> Vec<(Three, Local)> {
        let bound = self.least_gap() * (1.0 + 1e-9);
        let gaps = GAPS.iter().map(|gap| (gap * self.excess).max(bound)).chain([bound]);
        gaps.map(|gap| self.with_gap(gap)).chain([self.normal()]).map(|point| (point, self.at(&point))).collect()
    }

    fn with_gap(&self, gap: f64) -> Three {
        let shift = self.least - gap;
        let distances = self.observations.all().map(|x| f64::max(x - shift, gap));
        let [centre, scale, shape] = S::with_shift(shift, distances).standard();
        [centre, libm::log(scale), shape.max(FLATTEST)]
    }

    fn normal(&self) -> Three {
        let count = self.observations.all().count() as f64;
        let mean = self.observations.all().sum::<f64>() / count;
        let square = self.observations.all().map(|x| (x - mean).powi(2)).sum::<f64>() / count;
        [mean, libm::log(square) / 2.0, FLATTEST]
    }

    fn finished(&self, (point, here): (Three, Local)) -> Fit<S> {
        let model = S::of_standard([point[0], libm::exp(point[1]), point[2]]);
        let inside = point[2] > 10.0 * FLATTEST && self.gap(&point) > 1.01 * self.least_gap();
        Fit {
            model,
            log_likelihood: here.height,
            standard_errors: if inside { errors_of(&here, &model.changes()) } else { None },
            seen: self.observations.seen.len(),
            censored: self.observations.censored.len(),
        }
    }
}

impl<S: Shifted> Surface for Likelihood<'_, S> {
    fn at(&self, point: &Three) -> Local {
        let [centre, log_scale, shape] = *point;
        let per_scale = libm::exp(-log_scale);
        let count = self.observations.seen.len() as f64;
        let mut sum = Local { height: -count * log_scale, slope: [0.0, -count, 0.0], ..Local::default() };
        for x in self.observations.seen {
            let distance = (x - centre) * per_scale;
            let (t, k) = Jet::variables(distance, shape);
            sum.add(1.0, &placed(&S::standard_log_density(t, k), distance));
        }
        let survival = |limit: f64| {
            let t = (limit - centre) * per_scale;
            placed(&survival::<S>(t, shape), t)
        };
        for limit in self.observations.censored {
            sum.add(1.0, &survival(*limit));
        }
        if let Some(truncation) = self.observations.truncation(survival) {
            sum.add(1.0, &truncation);
        }
        if !sum.height.is_finite() || self.gap(point) < self.least_gap() {
            sum.height = f64::NEG_INFINITY;
        }
        if shape <= FLATTEST && sum.slope[2] <= 0.0 {
            pin_shape(&mut sum);
        }
        sum
    }

    fn lost(&self, _: &Three) -> bool {
        false
    }

    /// Shortened until the shift stays off the least value.
    fn moved(&self, point: &Three, step: &Three) -> Three {
        let scale = libm::exp(point[1]);
        let part = |part: f64| {
            let shape = f64::max(point[2] + part * step[2], FLATTEST);
            [point[0] + part * step[0] * scale, point[1] + part * step[1], shape]
        };
        let mut share = 1.0;
        while share > 1e-9 && self.gap(&part(share)) < self.least_gap() {
            share /= 2.0;
        }
        part(share)
    }
}

/// Takes the shape out of the climb, where it would only fall further than it may.
fn pin_shape(local: &mut Local) {
    local.slope[2] = 0.0;
    for other in 0..3 {
        local.curvature[2][other] = 0.0;
        local.curvature[other][2] = 0.0;
    }
    local.curvature[2][2] = -1.0;
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::stats::latency::newton::tests::slopes_agree;
    use crate::stats::latency::observations::tests::of_every_kind;
    use crate::stats::latency::{Lognormal, Wald};

    /// Whether densities and tails are those that scipy printed: x, ln density, ln below, ln above.
    pub(in super::super) fn agrees(law: impl Law, rows: &[[f64; 4]]) {
        for [x, density, below, above] in rows {
            assert!((law.log_density(*x) - density).abs() < 1e-9 * density.abs(), "{x}");
            assert!((law.cumulative(*x) - below.exp()).abs() < 1e-11, "{x}");
            assert!((law.log_survival(*x) - above).abs() < 1e-14 + 1e-9 * above.abs(), "{x}");
        }
    }

    pub(in super::super) fn quantiles_agree(law: impl Law, rows: &[[f64; 2]]) {
        for [p, x] in rows {
            assert!((law.quantile(*p) - x).abs() < 1e-10 * x.abs(), "{p}: {}", law.quantile(*p));
        }
        assert!(law.quantile(1.0) == f64::INFINITY && law.quantile(-0.1).is_nan());
        assert!(law.cumulative(law.quantile(0.0)) == 0.0 && law.log_density(law.quantile(0.0)) == f64::NEG_INFINITY);
    }

    /// The forty values of `tests/reference/latency_models.py` complete, with three censored, truncated above,
    /// below and on both sides, and truncated below with three censored; the summits are those printed there.
    pub(in super::super) fn fits_agree<L: Law>(wanted: [([f64; 3], f64); 6]) {
        let forty = crate::stats::latency::ex_gaussian_fit::tests::FORTY;
        let all = Observations { seen: &forty, ..Observations::default() };
        let cut = Observations { seen: &forty[1..], truncated_below: Some(440.0), ..all };
        let kinds = [
            all,
            Observations { seen: &forty[..37], censored: &[1000.0; 3], ..all },
            Observations { seen: &forty[..37], truncated_above: Some(1000.0), ..all },
            cut,
            Observations { seen: &forty[1..37], truncated_above: Some(1000.0), ..cut },
            Observations { seen: &forty[1..37], censored: &[1000.0; 3], ..cut },
        ];
        for (observations, (parameters, log_likelihood)) in kinds.iter().zip(wanted) {
            let fit = L::fit(observations).unwrap();
            let near = |(found, wanted): (f64, f64)| (found / wanted - 1.0).abs() < 1e-5;
            assert!(fit.model.parameters().into_iter().zip(parameters).all(near), "{:?}", fit.model.parameters());
            assert!((fit.log_likelihood - log_likelihood).abs() < 1e-6, "{}", fit.log_likelihood);
            let worked: f64 = observations.seen.iter().map(|x| fit.model.log_density(*x)).sum();
            assert!(observations.seen.len() < 40 || (worked / log_likelihood - 1.0).abs() < 1e-8);
        }
    }

    pub(in super::super) fn draws_follow(law: impl Law) {
        let mut stream = Stream::named(4, "draws of a law");
        let draws: Vec<f64> = (0..40_000).map(|_| law.draw(&mut stream)).collect();
        for p in [0.05, 0.3, 0.5, 0.95] {
            let limit = law.quantile(p);
            let share = draws.iter().filter(|draw| **draw <= limit).count() as f64 / 40_000.0;
            assert!((share - p).abs() < 4.0 * (p * (1.0 - p) / 40_000.0).sqrt(), "{p}: {share}");
        }
        let mean = draws.iter().sum::<f64>() / 40_000.0;
        assert!((mean - law.mean()).abs() < 4.0 * law.standard_deviation() / 200.0, "{mean}");
    }

    #[test]
    fn slope_and_curvature_are_those_of_the_height() {
        let seen = [0.31, 0.42, 0.47, 0.55, 0.78, 1.2];
        for point in [[0.6, -1.2, 0.4], [0.6, -1.2, 0.05], [0.55, -0.9, 1.0]] {
            for observations in of_every_kind(&seen, &[0.1, 0.5, 1.0, 1.5], [0.3, 1.3]) {
                slopes_agree(&Likelihood::<Lognormal>::of(&observations), point);
                slopes_agree(&Likelihood::<Wald>::of(&observations), point);
            }
        }
    }

    fn parameters_are_found_again<L: Law>(truth: L) {
        let (mut stream, mut off) = (Stream::named(6, "errors"), [0.0; 3]);
        for _ in 0..80 {
            let sample: Vec<f64> = (0..500).map(|_| truth.draw(&mut stream)).collect();
            let fit = L::fit(&Observations { seen: &sample, ..Observations::default() }).unwrap();
            let errors = fit.standard_errors.unwrap();
            for (index, off) in off.iter_mut().enumerate() {
                let away = fit.model.parameters()[index] - truth.parameters()[index];
                *off += (away / errors[index]).powi(2) / 80.0;
            }
        }
        assert!(off.iter().all(|square| (0.55..1.6).contains(square)), "{off:?}");
    }

    #[test]
    fn errors_are_those_of_repeated_samples() {
        parameters_are_found_again(Lognormal { shift: 0.2, mu: -1.0, sigma: 0.5 });
        parameters_are_found_again(Wald { shift: 0.2, threshold: 1.0, drift: 2.5 });
    }

    fn nothing_odd<L: Law + std::fmt::Debug>(observations: &Observations<'_>) -> Fit<L> {
        let fit = L::fit(observations).unwrap();
        let numbers = fit.model.parameters();
        assert!(numbers.iter().chain(&[fit.log_likelihood]).all(|number| number.is_finite()), "{fit:?}");
        fit
    }

    #[test]
    fn nothing_is_ever_not_a_number() {
        let mut stream = Stream::named(9, "odd samples");
        for round in 0..300 {
            let scale = 10.0_f64.powi(round % 7 - 3);
            let mut seen: Vec<f64> =
                (0..5 + round % 40).map(|_| scale * (stream.exponential().powi(round % 3 + 1))).collect();
            if round % 5 == 0 {
                let least = seen.iter().copied().fold(f64::INFINITY, f64::min);
                seen.extend([least; 4]);
            }
            if round % 7 == 0 {
                seen.iter_mut().for_each(|value| *value = -*value);
            }
            let most = seen.iter().copied().fold(f64::NEG_INFINITY, f64::max) + 0.01 * scale;
            let below = seen.iter().copied().fold(scale * 0.5, f64::min) - 0.01 * scale;
            for observations in of_every_kind(&seen, &[scale * 0.5, scale], [below, most]) {
                let least = observations.least();
                assert!(nothing_odd::<Lognormal>(&observations).model.shift < least);
                assert!(nothing_odd::<Wald>(&observations).model.shift < least);
            }
        }
    }

    #[test]
    fn left_skewed_values_lead_to_the_normal() {
        // A Normal of n values has −n/2 (1 + ln 2π s²); no member of either family with a skew does better.
        let seen = [1.0, 4.0, 5.0, 5.5, 5.8, 6.0, 6.1, 6.2];
        let observations = Observations { seen: &seen, ..Observations::default() };
        let mean = seen.iter().sum::<f64>() / 8.0;
        let square = seen.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 8.0;
        let normal = -4.0 * (1.0 + (std::f64::consts::TAU * square).ln());
        for (height, errors) in [
            nothing_odd::<Lognormal>(&observations).log_likelihood_and_errors(),
            nothing_odd::<Wald>(&observations).log_likelihood_and_errors(),
        ] {
            assert!((height - normal).abs() < 1e-4 && errors.is_none(), "{height} {normal}");
        }
    }

    impl<L> Fit<L> {
        fn log_likelihood_and_errors(&self) -> (f64, Option<[f64; 3]>) {
            (self.log_likelihood, self.standard_errors)
        }
    }

    #[test]
    fn the_shift_stays_off_many_equal_least_values() {
        let seen = [1.0, 1.0, 1.0, 1.0, 1.0, 1.5, 2.0, 4.0, 9.0];
        let observations = Observations { seen: &seen, ..Observations::default() };
        let bound = 1.0 - Likelihood::<Wald>::of(&observations).least_gap();
        let fit = nothing_odd::<Wald>(&observations);
        assert!(fit.model.shift <= bound + 1e-6 && fit.standard_errors.is_none(), "{fit:?} {bound}");
        assert!(nothing_odd::<Lognormal>(&observations).model.shift <= bound + 1e-6);
    }
}
