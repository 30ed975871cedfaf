//! Clients who time the press instead of reacting: a Normal around an aim point, and how to tell the two kinds.
//!
//! A highlight that moves on is predictable, so a press can be aimed at it. Its latency then varies about an aim
//! point, may be negative, and moves with the interval; a reaction starts with the light and does not.

use super::growth::{Paced, chance_of_growth, growths};
use crate::stats::Sample;
use crate::stats::normal;

/// Hardly any reaction to a light is faster; healthy adults need 180 to 250 ms (common practice, no source).
const REACTION_FLOOR_US: f64 = 150_000.0;
/// Two standard errors: about one in forty on either side.
const ERRORS: f64 = 2.0;
/// Chance beforehand that presses under a moving highlight are timed (common practice, no source).
const TIMERS: f64 = 0.2;
/// From this chance on they are called so, and reactions from its complement on.
const SURE: f64 = 0.95;
/// A mean latency wanders by about this share from block to block, whatever the interval: fatigue and practice
/// (common practice, no source).
const BETWEEN_BLOCKS: f64 = 0.03;
/// Fewer latencies at an interval tell nothing.
const FEWEST: usize = 8;

/// Presses aimed at a point of time: a Normal about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AimPoint {
    /// The mean, from the onset; negative where the press comes before it.
    pub aim: f64,
    /// The standard deviation.
    pub deviation: f64,
}

impl AimPoint {
    /// Mean and standard deviation of the latencies; none for fewer than two.
    #[must_use]
    pub fn of(latencies: &Sample) -> Option<AimPoint> {
        Some(AimPoint { aim: latencies.mean(), deviation: latencies.sd()? })
    }

    /// The chance that a press misses a window that opens at the onset and lasts `window`.
    #[must_use]
    pub fn misses(&self, window: f64) -> f64 {
        let late = normal::cumulative((self.aim - window) / self.deviation);
        normal::cumulative(-self.aim / self.deviation) + late
    }
}

/// How a client goes about pressing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// The press answers the light.
    Reacts,
    /// The press is timed so that it meets the light.
    Times,
    /// The latencies do not tell.
    Unclear,
}

/// The manner from latencies at one interval. Most of them below 150 ms are timed (sign test, two standard
/// errors); most of them above count as reactions. A client who times late into the light looks like one who reacts
/// here; only a second interval tells, see [`manner_at_rates`].
///
/// Of 40 latencies, in simulation: fewer than 1 in 100 reactors (mean from 0.35 s) are called timers, and fewer than 1
/// in 50 timers whose aim lies at or before the onset are called reactors.
#[must_use]
pub fn manner_at_one(latencies_us: &[f64]) -> Manner {
    if latencies_us.len() < FEWEST {
        return Manner::Unclear;
    }
    let count = latencies_us.len() as f64;
    let early = latencies_us.iter().filter(|latency| **latency < REACTION_FLOOR_US).count() as f64;
    let lead = (2.0 * early - count) / count.sqrt();
    match lead {
        _ if lead > ERRORS => Manner::Times,
        _ if lead < -ERRORS => Manner::Reacts,
        _ => Manner::Unclear,
    }
}

/// The manner from presses at two intervals or more, in their order. Besides the rule for one, applied to all of them
/// together: what is timed with a chance of 95 % is called so, and so are reactions.
///
/// Of 40 latencies at each of two intervals 0.6 s apart, in simulation: fewer than 1 in 20 reactors are called
/// timers, and fewer than 1 in 20 timers who aim at 30 to 60 % of the interval are called reactors.
#[must_use]
pub fn manner_at_rates(presses: &[Paced]) -> Manner {
    let all: Vec<f64> = presses.iter().map(|press| 1e6 * press.latency).collect();
    match (manner_at_one(&all), chance_of_timing(presses)) {
        (Manner::Times, _) => Manner::Times,
        (_, Some(chance)) if chance >= SURE => Manner::Times,
        (together, Some(chance)) if chance <= 1.0 - SURE => together,
        _ => Manner::Unclear,
    }
}

/// The chance that presses are timed, by how their latency grows with the interval: by no share of it where they
/// are reactions, by any share up to all of it, each as likely beforehand, where they are timed. What changes slowly over
/// a session counts for neither. `None` for latencies or intervals that are all alike.
#[must_use]
pub fn chance_of_timing(presses: &[Paced]) -> Option<f64> {
    let of = |value: fn(&Paced) -> f64| Sample::new(presses.iter().map(value).collect()).ok();
    let (latencies, intervals) = (of(|press| press.latency)?, of(|press| press.interval)?);
    let wanders = BETWEEN_BLOCKS * latencies.mean() / (intervals.greatest() - intervals.least());
    chance_of_growth(&growths(presses), TIMERS, wanders)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;
    use crate::stats::latency::ExGaussian;

    const CLIENTS: usize = 1000;

    fn reactor(stream: &mut Stream) -> ExGaussian {
        let mean = 350_000.0 + 500_000.0 * stream.unit();
        let (sigma, tau) = (0.12 * mean, 0.25 * mean);
        ExGaussian { mu: mean - tau, sigma, tau }
    }

    fn many(stream: &mut Stream, draw: impl Fn(&mut Stream) -> f64) -> Vec<f64> {
        (0..40).map(|_| draw(stream)).collect()
    }

    /// The share of clients who are called `wrong`, of two intervals of 0.9 and 1.5 s.
    fn share(wrong: Manner, client: impl Fn(&mut Stream) -> Manner) -> f64 {
        let mut stream = Stream::named(17, "manners");
        (0..CLIENTS).filter(|_| client(&mut stream) == wrong).count() as f64 / CLIENTS as f64
    }

    /// 40 presses under one interval, then 40 under the other, one every six seconds.
    fn at_two(stream: &mut Stream, draw: impl Fn(&mut Stream, f64) -> f64) -> Manner {
        let press = |nth: u32| {
            let interval = if nth < 40 { 0.9 } else { 1.5 };
            let latency = draw(stream, 1e6 * interval) / 1e6;
            Paced { session: 0, minutes: 0.1 * f64::from(nth), interval, latency }
        };
        manner_at_rates(&(0..80).map(press).collect::<Vec<_>>())
    }

    #[test]
    fn one_interval_tells_who_presses_before_a_reaction_can() {
        let reacting = |stream: &mut Stream| {
            let law = reactor(stream);
            manner_at_one(&many(stream, |s| law.draw(s)))
        };
        let timing = |stream: &mut Stream| {
            let (aim, deviation) = (-80_000.0 * stream.unit(), 40_000.0 + 60_000.0 * stream.unit());
            manner_at_one(&many(stream, |s| aim + deviation * s.normal()))
        };
        assert!(share(Manner::Times, reacting) < 0.01 && share(Manner::Reacts, reacting) > 0.95);
        assert!(share(Manner::Reacts, timing) < 0.02 && share(Manner::Times, timing) > 0.95);
    }

    #[test]
    fn two_intervals_tell_who_aims_late() {
        let reacting = |stream: &mut Stream| {
            let law = reactor(stream);
            at_two(stream, |s, _| law.draw(s))
        };
        let timing = |stream: &mut Stream| {
            let (part, deviation) = (0.3 + 0.3 * stream.unit(), 0.06 + 0.06 * stream.unit());
            at_two(stream, |s, interval| interval * (part + deviation * s.normal()))
        };
        assert!(share(Manner::Times, reacting) < 0.05, "{}", share(Manner::Times, reacting));
        assert!(share(Manner::Reacts, timing) < 0.05, "{}", share(Manner::Reacts, timing));
        assert!(share(Manner::Reacts, reacting) > 0.5 && share(Manner::Times, timing) > 0.5);
    }

    #[test]
    fn few_or_equal_intervals_tell_nothing() {
        assert_eq!(manner_at_one(&[400_000.0; 7]), Manner::Unclear);
        let press = |nth: u32| Paced {
            session: 0,
            minutes: f64::from(nth),
            interval: 1.0,
            latency: 0.4 + 0.01 * f64::from(nth % 2),
        };
        assert_eq!(manner_at_rates(&(0..20).map(press).collect::<Vec<_>>()), Manner::Unclear);
    }

    #[test]
    fn the_misses_are_those_of_the_published_formula() {
        // Lee & Oulasvirta, CHI 2016, 1857–1868 (formula from memory): aim 0.25 of the window of 0.15 s, deviation
        // 0.09 of the 1 s before it; the value computed with scipy.
        let point = AimPoint { aim: 0.25 * 0.15, deviation: 0.09 };
        assert!((point.misses(0.15) - 0.44411089).abs() < 1e-8);
        let sample = Sample::new(vec![-0.1, 0.0, 0.1]).unwrap();
        let found = AimPoint::of(&sample).unwrap();
        assert!(found.aim.abs() < 1e-15 && (found.deviation - 0.1).abs() < 1e-15);
    }
}
