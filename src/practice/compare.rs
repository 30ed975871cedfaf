//! Other ways to find an interval, kept to compare the pacing with: steps up and down, hit-or-miss
//! Bayes, and intervals stepped by a plan. They see hits and misses only, never a latency.

use crate::time::Span;

/// Steps of a logarithm after each hit and miss.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UpDown {
    /// The logarithm that is stepped: of an interval in seconds, or any scale where more is easier.
    pub log: f64,
    harder: f64,
    easier: f64,
    /// Hits running that make one step harder.
    hits_wanted: u32,
    hits: u32,
}

impl UpDown {
    /// One step harder after a hit and one easier after a miss, weighted so that the share `success` of
    /// hits is where it settles: harder over easier is (1 − p)/p (Kaernbach 1991, Perception &
    /// Psychophysics 49:227–229).
    #[must_use]
    pub fn weighted(log: f64, success: f64, harder: f64) -> UpDown {
        UpDown { log, harder, easier: harder * success / (1.0 - success), hits_wanted: 1, hits: 0 }
    }

    /// One step harder after so many hits running, one as long easier after a miss; it settles at a
    /// share of 0.5^(1/n) hits (Levitt 1971, Journal of the Acoustical Society of America 49:467–477).
    #[must_use]
    pub fn transformed(log: f64, hits_wanted: u32, step: f64) -> UpDown {
        UpDown { log, harder: step, easier: step, hits_wanted, hits: 0 }
    }

    /// After an attempt.
    pub fn attempted(&mut self, hit: bool) {
        self.hits = if hit { self.hits + 1 } else { 0 };
        if !hit {
            self.log += self.easier;
        } else if self.hits >= self.hits_wanted {
            self.log -= self.harder;
            self.hits = 0;
        }
    }
}

/// Thresholds on a grid, weighed by hits and misses (the idea of QUEST: Watson and Pelli 1983,
/// Perception & Psychophysics 33:113–120; from memory).
#[derive(Clone, Debug, PartialEq)]
pub struct HitMiss {
    /// The thresholds thought of, in the scale of the attempts.
    thresholds: Vec<f64>,
    weights: Vec<f64>,
    width: f64,
}

/// Hits far below the threshold, and what the curve spans above that.
const CURVE: [f64; 2] = [0.02, 0.96];

impl HitMiss {
    /// Thresholds that are equally probable at first; the chance of a hit at `x` is
    /// 0.02 + 0.96/(1 + e^(−(x − threshold)/width)).
    #[must_use]
    pub fn new(thresholds: Vec<f64>, width: f64) -> HitMiss {
        let weights = vec![1.0 / thresholds.len() as f64; thresholds.len()];
        HitMiss { thresholds, weights, width }
    }

    /// After an attempt at `x`.
    pub fn attempted(&mut self, x: f64, hit: bool) {
        let (thresholds, width) = (&self.thresholds, self.width);
        for (threshold, weight) in thresholds.iter().zip(&mut self.weights) {
            let chance = chance(x - threshold, width);
            *weight *= if hit { chance } else { 1.0 - chance };
        }
        let all: f64 = self.weights.iter().sum();
        self.weights.iter_mut().for_each(|weight| *weight /= all);
    }

    /// Mean of the threshold.
    #[must_use]
    pub fn threshold(&self) -> f64 {
        self.thresholds.iter().zip(&self.weights).map(|(threshold, weight)| threshold * weight).sum()
    }

    /// Where the share `success` of attempts hits, above 0.02 and below 0.98.
    #[must_use]
    pub fn at(&self, success: f64) -> f64 {
        let share = (success - CURVE[0]) / CURVE[1];
        self.threshold() + self.width * libm::log(share / (1.0 - share))
    }
}

fn chance(above: f64, width: f64) -> f64 {
    CURVE[0] + CURVE[1] / (1.0 + libm::exp(-above / width))
}

/// Intervals stepped over five blocks, as able-bodied people were trained by (MacKenzie and Felzer 2010,
/// ACM Transactions on Computer-Human Interaction 17:11).
pub const STEPPED: [Span; 5] =
    [Span::from_ms(1_100), Span::from_ms(1_000), Span::from_ms(900), Span::from_ms(800), Span::from_ms(700)];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    /// The share of hits over many attempts of one whose chance is a logistic curve.
    fn settles_at(mut steps: UpDown, seed: u64) -> f64 {
        let mut stream = Stream::named(seed, "up and down");
        let (unseen, counted) = (2_000, 40_000);
        let mut hits = 0;
        for attempt in 0..unseen + counted {
            let hit = stream.unit() < 1.0 / (1.0 + libm::exp(-steps.log / 0.5));
            steps.attempted(hit);
            hits += u32::from(hit && attempt >= unseen);
        }
        f64::from(hits) / f64::from(counted)
    }

    #[test]
    fn weighted_steps_settle_at_kaernbachs_share() {
        // A step down for every hit and (p/(1−p)) up for every miss: what does not drift hits p of the time.
        for (place, share) in [0.75, 0.80, 0.85, 0.90, 0.95].into_iter().enumerate() {
            let steps = UpDown::weighted(1.0, share, 0.01);
            assert!((steps.harder / steps.easier - (1.0 - share) / share).abs() < 1e-12);
            let found = settles_at(steps, place as u64);
            // Four standard errors of a share of 40,000.
            assert!((found - share).abs() < 4.0 * (share * (1.0 - share) / 40_000.0).sqrt(), "{share}: {found}");
        }
    }

    #[test]
    fn transformed_steps_settle_at_levitts_points() {
        // The chance at the level is counted, not the hits: the level hovers round the point.
        for (hits, share) in (1..=5).map(|hits| (hits, 0.5_f64.powf(1.0 / f64::from(hits)))) {
            let found = settles_at(UpDown::transformed(1.0, hits, 0.01), u64::from(hits));
            assert!((found - share).abs() < 0.01, "{hits}: {found}");
        }
    }

    #[test]
    fn the_posterior_of_a_hit_and_a_miss() {
        // Worked with Bayes' rule: thresholds .6 .8 1.0 1.2, width .1; hit at .9, then miss at .7.
        let mut grid = HitMiss::new(vec![0.6, 0.8, 1.0, 1.2], 0.1);
        grid.attempted(0.9, true);
        let close = |found: &[f64], wanted: [f64; 4]| found.iter().zip(wanted).all(|(f, w)| (f - w).abs() < 1e-6);
        assert!(close(&grid.weights, [0.467236, 0.360908, 0.139092, 0.032764]), "{grid:?}");
        assert!((grid.threshold() - 0.747477).abs() < 1e-6);
        grid.attempted(0.7, false);
        assert!(close(&grid.weights, [0.235312, 0.471627, 0.235312, 0.057749]), "{grid:?}");
        assert!((grid.threshold() - 0.823100).abs() < 1e-6);
    }

    #[test]
    fn the_published_steps_run_from_eleven_to_seven_tenths() {
        assert_eq!(STEPPED.map(|interval| interval.0), [1_100_000, 1_000_000, 900_000, 800_000, 700_000]);
    }
}
