//! What the presses so far say of the interval at which the wanted share of them comes in time.
//!
//! The latencies are taken for ex-Gaussian, a few of them (1 in 50) for anything. The posterior stands on
//! a grid over mean, coefficient of variation and the share of the variance that is exponential, so a
//! press costs one table look-up a point. Each press weighs a little less with every one that follows, and
//! much less while the client is seen to learn or to tire ([`Belief::drifts`]).
//!
//! A late press counts at its true latency. Presses faster than any reaction say nothing here.

use std::sync::LazyLock;

use super::start::Start;
use crate::analysis::ANTICIPATION_S;
use crate::stats::latency::ExGaussian;

/// Shortest reactions: what is faster was not meant for this lighting.
pub const FASTEST_S: f64 = ANTICIPATION_S;
/// Natural logarithms of the shortest and longest mean latency thought of: 0.12 to 12 s.
const LOG_MEANS: [f64; 2] = [-2.12, 2.48];
/// Between two means, as a natural logarithm.
const MEAN_STEP: f64 = 0.03;
/// Natural logarithm of the smallest coefficient of variation, the step, and how many: 0.08 to 0.9.
const LOG_CVS: (f64, f64, usize) = (-2.53, 0.22, 12);
/// Coefficient of variation beforehand, and the standard deviation of its logarithm: the published
/// ratio of 0.65 is right at 0.269 (algebra on Simpson, Koester and LoPresti 2006).
const CV_BEFORE: (f64, f64) = (0.269, 0.4);
/// Shares of the variance that may be exponential.
const SHARES: [f64; 4] = [0.1, 0.4, 0.7, 0.92];
/// Share of presses that follow no law.
const STRAY: f64 = 0.02;
/// Their density over the logarithm of the latency.
const STRAY_DENSITY: f64 = 0.2;
/// A press weighs this much less with each that follows it: of a client who stays the same, and of one who
/// changes. Chosen in `benches/pacing.rs`.
const MEMORIES: [f64; 2] = [0.99, 0.94];
/// Logarithms of latency over mean that the table covers.
const TABLE: [f64; 2] = [-6.0, 6.0];

/// Spread and skew of a latency law of mean 1.
struct Shape {
    /// Natural logarithm of its weight beforehand.
    log_prior: f64,
    law: ExGaussian,
    /// Log density over the logarithm of latency over mean, at steps of [`MEAN_STEP`].
    table: Vec<f64>,
}

/// All shapes; they are the same for every client.
static SHAPES: LazyLock<Vec<Shape>> = LazyLock::new(|| {
    let (least, step, count) = LOG_CVS;
    let cvs = (0..count).map(|place| least + step * place as f64);
    cvs.flat_map(|log_cv| SHARES.map(|share| Shape::new(log_cv, share))).collect()
});

impl Shape {
    fn new(log_cv: f64, share: f64) -> Shape {
        let (middle, sd) = CV_BEFORE;
        let cv = libm::exp(log_cv);
        let tau = cv * libm::sqrt(share);
        let law = ExGaussian { mu: 1.0 - tau, sigma: cv * libm::sqrt(1.0 - share), tau };
        let away = (log_cv - libm::log(middle)) / sd;
        let places = ((TABLE[1] - TABLE[0]) / MEAN_STEP) as usize + 2;
        let table = (0..places).map(|place| log_density(&law, TABLE[0] + MEAN_STEP * place as f64)).collect();
        Shape { log_prior: -away * away / 2.0, law, table }
    }
}

/// Of the logarithm of latency over mean.
fn log_density(law: &ExGaussian, log_latency: f64) -> f64 {
    let by_law = libm::exp(law.log_density(libm::exp(log_latency)) + log_latency);
    libm::log((1.0 - STRAY) * by_law + STRAY * STRAY_DENSITY)
}

/// The posterior over what one client needs.
#[derive(Clone, Debug)]
pub struct Belief {
    /// Natural logarithm of the needed interval over the mean latency, for each shape.
    log_needed: Vec<f64>,
    /// Beforehand, shape by shape, mean by mean.
    prior: Vec<f64>,
    /// What the presses say, in the same order, under each of the memories.
    evidence: [Vec<f64>; 2],
    drifts: bool,
    presses: usize,
}

/// What is believed of the needed interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Needed {
    /// Its median, roughly: the exponential of the mean of its logarithm, in seconds.
    pub middle_s: f64,
    /// Standard deviation of its natural logarithm.
    pub log_sd: f64,
}

impl Needed {
    /// From the sums of the weights of all guesses, of their logarithms and of the squares of these.
    pub(super) fn of([mass, sum, square]: [f64; 3]) -> Needed {
        let middle = sum / mass;
        Needed { middle_s: libm::exp(middle), log_sd: libm::sqrt((square / mass - middle * middle).max(0.0)) }
    }

    /// The interval `deviations` standard deviations on the slow side of the middle, in seconds.
    #[must_use]
    pub fn beyond(self, deviations: f64) -> f64 {
        self.middle_s * libm::exp(deviations * self.log_sd)
    }
}

impl Belief {
    /// Before the first press. `success` is the wanted share of presses in time, above 0 and below 1.
    #[must_use]
    pub fn new(start: &Start, success: f64) -> Belief {
        let log_needed: Vec<f64> =
            SHAPES.iter().map(|shape| libm::log(shape.law.quantile(success).max(FASTEST_S))).collect();
        let before = |(shape, needed): (&Shape, &f64)| {
            let (prior, needed) = (shape.log_prior, *needed);
            (0..means()).map(move |place| prior + start.log_weight(log_mean(place) + needed)).collect::<Vec<_>>()
        };
        let prior: Vec<f64> = SHAPES.iter().zip(&log_needed).flat_map(before).collect();
        Belief {
            evidence: [vec![0.0; prior.len()], vec![0.0; prior.len()]],
            drifts: false,
            log_needed,
            prior,
            presses: 0,
        }
    }

    /// A press came `latency_s` seconds after the wanted entry lit. One that was no reaction, or is
    /// no number, changes nothing.
    pub fn add(&mut self, latency_s: f64) {
        if !(latency_s >= FASTEST_S && latency_s.is_finite()) {
            return;
        }
        self.presses += 1;
        let first = (libm::log(latency_s) - log_mean(means() - 1) - TABLE[0]) / MEAN_STEP;
        let last_place = (SHAPES[0].table.len() - means() - 1) as f64;
        let place = libm::floor(first).clamp(0.0, last_place);
        let share = (first - place).clamp(0.0, 1.0);
        for (memory, evidence) in MEMORIES.into_iter().zip(&mut self.evidence) {
            for (shape, evidence) in SHAPES.iter().zip(evidence.chunks_mut(means())) {
                let table = &shape.table[place as usize..];
                for (mean, value) in evidence.iter_mut().rev().enumerate() {
                    *value = memory * *value + (1.0 - share) * table[mean] + share * table[mean + 1];
                }
            }
        }
    }

    /// The client is seen to change, or is not: how much older presses count from now on.
    pub fn drifts(&mut self, drifts: bool) {
        self.drifts = drifts;
    }

    /// Presses that counted.
    #[must_use]
    pub fn presses(&self) -> usize {
        self.presses
    }

    /// The interval at which the wanted share of presses comes in time.
    #[must_use]
    pub fn needed(&self) -> Needed {
        Needed::of(self.sums(|log_needed| [1.0, log_needed, log_needed * log_needed]))
    }

    /// How probable it is that at this interval, in seconds, at least the wanted share comes in time.
    #[must_use]
    pub fn enough(&self, interval_s: f64) -> f64 {
        let limit = libm::log(interval_s);
        let [mass, below, _] = self.sums(|log_needed| [1.0, f64::from(u8::from(log_needed <= limit)), 0.0]);
        below / mass
    }

    /// Sums of three functions of the logarithm of the needed interval, weighted by the posterior.
    fn sums(&self, terms: impl Fn(f64) -> [f64; 3]) -> [f64; 3] {
        let evidence = &self.evidence[usize::from(self.drifts)];
        let logs = || self.prior.iter().zip(evidence).map(|(prior, evidence)| prior + evidence);
        let most = logs().fold(f64::NEG_INFINITY, f64::max);
        let mut sums = [0.0; 3];
        for (place, log) in logs().enumerate() {
            // What is e^30 times less probable than the best adds nothing that could be seen.
            if log > most - 30.0 {
                let weight = libm::exp(log - most);
                let values = terms(log_mean(place % means()) + self.log_needed[place / means()]);
                sums.iter_mut().zip(values).for_each(|(sum, value)| *sum += weight * value);
            }
        }
        sums
    }
}

fn means() -> usize {
    ((LOG_MEANS[1] - LOG_MEANS[0]) / MEAN_STEP) as usize + 1
}

fn log_mean(place: usize) -> f64 {
    LOG_MEANS[0] + MEAN_STEP * place as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    const TRUTH: ExGaussian = ExGaussian { mu: 0.5, sigma: 0.06, tau: 0.2 };

    fn after(count: usize, start: &Start) -> Belief {
        let mut stream = Stream::named(2, "belief");
        let mut belief = Belief::new(start, 0.9);
        (0..count).for_each(|_| belief.add(TRUTH.draw(&mut stream)));
        belief
    }

    #[test]
    fn many_presses_lead_to_the_quantile_of_the_law() {
        // Ex-Gaussian (500, 60, 200) ms: 90 % quantile 969.517 ms, by scipy.
        let needed = after(600, &Start::from_advice(2.5, 0)).needed();
        assert!((needed.middle_s / 0.9695 - 1.0).abs() < 0.15, "{needed:?}");
        assert!(needed.log_sd < 0.12, "{needed:?}");
    }

    #[test]
    fn without_presses_it_believes_what_it_started_from() {
        let needed = after(0, &Start::from_advice(1.2, 3)).needed();
        assert!((needed.middle_s / 1.2 - 1.0).abs() < 0.1, "{needed:?}");
        let later = after(0, &Start::from_advice(1.2, 60)).needed();
        assert!(later.log_sd > needed.log_sd);
    }

    #[test]
    fn of_a_client_who_changes_the_latest_presses_count_most() {
        let mut belief = after(60, &Start::from_advice(1.0, 0));
        (0..15).for_each(|n| belief.add([1.4, 1.6, 1.5][n % 3]));
        let slow = belief.needed().middle_s;
        belief.drifts(true);
        assert!(belief.needed().middle_s > 1.1 * slow, "{slow} {:?}", belief.needed());
        belief.drifts(false);
        assert_eq!(belief.needed().middle_s, slow);
    }

    #[test]
    fn a_single_stray_press_moves_it_little() {
        let mut belief = after(30, &Start::from_advice(1.0, 0));
        let before = belief.needed().middle_s;
        belief.add(7.0);
        assert!(belief.needed().middle_s < 1.15 * before);
    }

    #[test]
    fn no_reaction_and_no_number_change_nothing() {
        let mut belief = after(5, &Start::from_advice(1.0, 0));
        let before = belief.needed();
        [-0.3, 0.0, 0.05, f64::NAN, f64::INFINITY].into_iter().for_each(|latency| belief.add(latency));
        assert_eq!((belief.needed(), belief.presses()), (before, 5));
        belief.add(1e9);
        belief.add(FASTEST_S);
        assert!(belief.needed().middle_s.is_finite());
    }

    #[test]
    fn a_slower_interval_is_more_probably_enough() {
        let belief = after(20, &Start::from_advice(1.0, 0));
        let chances = [0.5, 0.9, 1.1, 3.0].map(|interval| belief.enough(interval));
        assert!(chances.is_sorted() && chances[0] < 0.01 && chances[3] > 0.99, "{chances:?}");
    }
}
