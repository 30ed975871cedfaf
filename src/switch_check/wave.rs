//! The waveform of a level on the moving strip, with the thresholds of its presses.

use std::collections::VecDeque;

use super::strip::LENGTH;
use crate::level::{Side, Thresholds};
use crate::time::Moment;

/// The highest threshold stands at this share of the height, so that what goes past it is seen.
const HIGHEST: f64 = 0.8;

/// The furthest sample stands at this share of it.
const FURTHEST: f64 = 0.9;

/// Samples of the last seconds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trace {
    samples: VecDeque<(Moment, i32)>,
    /// So far from rest is no noise: what stays within it is painted small.
    far: f64,
}

/// What is to be painted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wave {
    /// Corners of the line: thousandths of the strip from its left end, and of its half height above rest.
    pub points: Vec<(u16, i16)>,
    /// The thresholds, in thousandths of the half height above rest.
    pub thresholds: Vec<Threshold>,
}

/// One of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Threshold {
    /// Where.
    pub at: i16,
    /// What begins there.
    pub name: &'static str,
}

impl Trace {
    /// One on which nothing is painted larger than what goes so far from rest.
    #[must_use]
    pub fn of_at_least(far: f64) -> Trace {
        Trace { far, ..Trace::default() }
    }

    /// The level is this from `at` on.
    pub fn add(&mut self, at: Moment, value: i32) {
        self.samples.push_back((at, value));
        // The one before the oldest on the strip says where the line begins.
        while self.samples.get(1).is_some_and(|(next, _)| at.since(*next) > LENGTH) {
            self.samples.pop_front();
        }
    }

    /// How it looks at `now`, around this rest.
    #[must_use]
    pub fn wave(&self, now: Moment, rest: f64, thresholds: Option<&Thresholds>) -> Wave {
        let limits = |side: Side| thresholds.and_then(|thresholds| thresholds.side(side)).map(|limits| (side, limits));
        let sides: Vec<_> = Side::ALL.into_iter().filter_map(limits).collect();
        let far = self.samples.iter().map(|(_, value)| (f64::from(*value) - rest).abs() / FURTHEST);
        let highest = sides.iter().map(|(_, limits)| limits.hard_on / HIGHEST);
        let full = far.chain(highest).fold(self.far.max(1.0), f64::max);
        let height = |from_rest: f64| (1_000.0 * from_rest / full) as i16;
        let mark = |side: &Side, at: f64, name| Threshold { at: height(side.from_rest(at, 0.0)), name };
        let marks = |(side, limits): &(Side, crate::level::Limits)| {
            [mark(side, limits.soft_on, "soft"), mark(side, limits.hard_on, "hard")]
        };
        let points = self.corners(now).map(|(at, value)| (at, height(f64::from(value) - rest))).collect();
        Wave { points, thresholds: sides.iter().flat_map(marks).collect() }
    }

    /// Between two samples the level stands.
    fn corners(&self, now: Moment) -> impl Iterator<Item = (u16, i32)> {
        let place = move |at: Moment| 1_000 - (now.since(at).0 * 1_000 / LENGTH.0).min(1_000) as u16;
        let ends = self.samples.iter().skip(1).map(|(at, _)| *at).chain([now]);
        self.samples.iter().zip(ends).flat_map(move |((from, value), to)| [(place(*from), *value), (place(to), *value)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::level::Limits;

    #[test]
    fn what_is_known_for_noise_is_painted_small() {
        let mut trace = Trace::of_at_least(20_000.0);
        trace.add(Moment(0), 1_000);
        let heights = |trace: &Trace| trace.wave(Moment(1_000), 0.0, None).points.iter().map(|(_, at)| *at).max();
        assert_eq!(heights(&trace), Some(50));
        trace.add(Moment(500), 90_000);
        assert_eq!(heights(&trace), Some(900));
    }

    #[test]
    fn the_line_stands_between_samples_and_the_thresholds_around_rest() {
        let mut trace = Trace::default();
        trace.add(Moment(0), 100);
        trace.add(Moment(15_000_000), 100);
        trace.add(Moment(20_000_000), 600);
        let limits = Limits { soft_on: 200.0, soft_off: 100.0, hard_on: 800.0, hard_off: 700.0 };
        let thresholds = Thresholds { above: None, below: Some(limits) };
        let wave = trace.wave(Moment(22_500_000), 100.0, Some(&thresholds));
        assert_eq!(wave.points, [(0, 0), (250, 0), (250, 0), (750, 0), (750, 500), (1_000, 500)]);
        let marks: Vec<(i16, &str)> = wave.thresholds.iter().map(|mark| (mark.at, mark.name)).collect();
        assert_eq!(marks, [(-200, "soft"), (-800, "hard")]);
    }

    #[test]
    fn what_has_left_the_strip_is_forgotten() {
        let mut trace = Trace::default();
        (0..100_000_u64).for_each(|n| trace.add(Moment(n * 10_000), 1));
        assert!(trace.samples.len() < 1_010, "{}", trace.samples.len());
    }
}
