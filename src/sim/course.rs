//! How a virtual client changes in the course of a session: it tires with work, recovers in rest,
//! and gets better with practice.

use super::traits;
use crate::time::{Moment, Span};

/// What it has done so far.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Course {
    /// Minutes of work that tell, up to the last change between work and rest.
    worked_min: f64,
    /// Since then it has been at work.
    since: Option<Moment>,
    /// Wanted presses made.
    presses: u32,
}

impl Course {
    /// Work begins or goes on.
    pub fn works(&mut self, at: Moment) {
        self.since = self.since.or(Some(at));
    }

    /// A rest begins.
    pub fn rests(&mut self, at: Moment, traits: &traits::Course) {
        self.worked_min = self.worked(at) * (1.0 - traits.rest_undoes);
        self.since = None;
    }

    /// A wanted press was made.
    pub fn pressed(&mut self) {
        self.presses += 1;
    }

    /// What a latency is multiplied by.
    pub fn slower(&self, at: Moment, traits: &traits::Course) -> f64 {
        let practice = match traits.practice_presses > 0.0 {
            true => 1.0 + traits.unpractised * libm::exp(-f64::from(self.presses) / traits.practice_presses),
            false => 1.0,
        };
        practice * libm::exp(traits.slower_per_min * self.worked(at))
    }

    /// What the share of lightings let go by grows by.
    pub fn lapses(&self, at: Moment, traits: &traits::Course) -> f64 {
        traits.lapses_per_min * self.worked(at)
    }

    fn worked(&self, at: Moment) -> f64 {
        self.worked_min + self.since.map_or(Span::ZERO, |since| at.since(since)).as_seconds() / 60.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TIRES: traits::Course = traits::Course {
        slower_per_min: 0.1,
        lapses_per_min: 0.02,
        rest_undoes: 0.5,
        unpractised: 0.0,
        practice_presses: 0.0,
    };

    fn minutes(count: u64) -> Moment {
        Moment(count * 60_000_000)
    }

    #[test]
    fn work_tires_and_rest_undoes_part_of_it() {
        let mut course = Course::default();
        assert_eq!((course.slower(minutes(9), &TIRES), course.lapses(minutes(9), &TIRES)), (1.0, 0.0));
        course.works(minutes(1));
        course.works(minutes(3));
        assert!((course.lapses(minutes(5), &TIRES) - 0.08).abs() < 1e-12);
        assert!((course.slower(minutes(5), &TIRES) - 0.4_f64.exp()).abs() < 1e-12);
        course.rests(minutes(5), &TIRES);
        assert!((course.lapses(minutes(8), &TIRES) - 0.04).abs() < 1e-12);
        course.works(minutes(8));
        assert!((course.lapses(minutes(9), &TIRES) - 0.06).abs() < 1e-12);
    }

    #[test]
    fn practice_shortens_what_is_left() {
        let learns = traits::Course { unpractised: 0.5, practice_presses: 10.0, ..traits::Course::default() };
        let mut course = Course::default();
        assert!((course.slower(minutes(0), &learns) - 1.5).abs() < 1e-12);
        (0..10).for_each(|_| course.pressed());
        assert!((course.slower(minutes(0), &learns) - (1.0 + 0.5 * (-1.0_f64).exp())).abs() < 1e-12);
    }
}
