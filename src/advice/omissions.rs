//! Lightings without a press, read both ways: as lapses, or as late presses that the client withheld.
//!
//! A lapse says nothing of latency and costs a pass. A withheld press would have come later than the
//! entry was lit; read so, it lengthens the tail of the latencies and asks for a slower scan. Nobody can
//! see which it was. The slower reading is taken unless the presses that were seen speak against it: with
//! a tail as long as they allow, so many would have come late less than once in 100 times.

use super::draws::Seen;
use super::optimum::{DRAWS, Optimum};
use super::presses::Pressing;
use super::task::Task;
use crate::stats::{Sample, beta};

/// Rarer than this, so many late presses are not believed (common practice, no source).
const BELIEVED: f64 = 0.01;

/// What both readings lead to.
pub(super) struct Readings {
    /// As lapses.
    pub lapses: Optimum,
    /// As withheld late presses; `None` where nothing was omitted.
    pub withheld: Option<Optimum>,
    /// The presses that were seen allow the second reading.
    pub allowed: bool,
}

impl Readings {
    /// From right and late presses and the windows of the lightings that were let go by, in seconds.
    /// `None` where the presses bear no value.
    pub fn of(latencies: &Sample, omitted: &[f64], task: &Task) -> Option<Readings> {
        let lapses = Seen { latencies, withheld: &[], lapses: omitted.len() }.draws(DRAWS)?;
        let withheld = if omitted.is_empty() {
            None
        } else {
            let guesses = Seen { latencies, withheld: omitted, lapses: 0 }.draws(DRAWS)?;
            task.optimum(&guesses, latencies)
        };
        let allowed = allowed(&lapses, omitted, latencies.len());
        Some(Readings { lapses: task.optimum(&lapses, latencies)?, withheld, allowed })
    }

    /// The reading that the sheet takes.
    pub fn taken(&self) -> &Optimum {
        self.withheld.as_ref().filter(|_| self.slower()).unwrap_or(&self.lapses)
    }

    /// The second reading is taken because it is allowed and slower by a step or more.
    pub fn slower(&self) -> bool {
        self.allowed && self.withheld.is_some_and(|withheld| withheld.comfortable > self.lapses.comfortable)
    }
}

/// Whether so many late presses can be believed: binomial, with the share of late ones that one guess in
/// twenty exceeds at the shortest window that was let go by.
fn allowed(guesses: &[Pressing], omitted: &[f64], pressed: usize) -> bool {
    let Some(window) = omitted.iter().copied().reduce(f64::min) else { return false };
    let Ok(late) = Sample::new(guesses.iter().map(|guess| guess.late(window)).collect()) else { return false };
    // The chance of as many or more out of all is a share of a beta distribution.
    beta::cumulative(omitted.len() as f64, pressed as f64 + 1.0, late.quantile(0.95)) >= BELIEVED
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::asked::Asked;
    use crate::advice::sample;
    use crate::rng::Stream;

    fn readings(window: f64, omitted: usize) -> Readings {
        let mut stream = Stream::named(3, "omissions");
        let latencies = (0..60).map(|_| 0.5 + 0.06 * stream.normal() + 0.2 * stream.exponential()).collect();
        let task = Task::of(&sample::evidence(), &Asked::default()).unwrap();
        Readings::of(&Sample::new(latencies).unwrap(), &vec![window; omitted], &task).unwrap()
    }

    #[test]
    fn withheld_presses_ask_for_a_slower_scan_where_they_can_be_believed() {
        let found = readings(1.2, 3);
        assert!(found.allowed && found.slower());
        assert!(found.taken().comfortable > found.lapses.comfortable);
    }

    #[test]
    fn what_nobody_would_press_so_late_is_a_lapse() {
        let found = readings(3.0, 6);
        assert!(!found.allowed && found.withheld.unwrap().comfortable > found.lapses.comfortable);
        assert_eq!(*found.taken(), found.lapses);
    }

    #[test]
    fn nothing_omitted_has_one_reading() {
        let found = readings(1.2, 0);
        assert!(found.withheld.is_none() && !found.allowed);
    }
}
