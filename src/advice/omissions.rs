//! Lightings without a press, read both ways: as lapses, or as late presses that the client withheld.
//!
//! A lapse says nothing of latency and costs a pass. A withheld press would have come later than the
//! entry was lit; read so, it lengthens the tail of the latencies and asks for a slower scan. Nobody can
//! see which it was. The sheet takes the first reading: over virtual clients of many kinds, those who do
//! withhold late presses among them, it is nearer the best interval (`benches/quality`). The other one is
//! shown beside it.

use super::doubt::Timers;
use super::draws::Seen;
use super::optimum::{DRAWS, Optimum};
use super::task::Task;
use crate::stats::Sample;

/// What both readings lead to.
pub(super) struct Readings {
    /// As lapses.
    pub lapses: Optimum,
    /// As withheld late presses; `None` where nothing was omitted.
    pub withheld: Option<Optimum>,
}

impl Readings {
    /// From right and late presses and the windows of the lightings that were let go by, in seconds; `timers` are
    /// among the guesses.
    /// `None` where the presses bear no value.
    pub fn of(latencies: &Sample, omitted: &[f64], timers: &Timers, task: &Task) -> Option<Readings> {
        let read = |withheld, lapses| {
            let seen = Seen { withheld, ..Seen::of(latencies, lapses, task.unwanted.mean()) };
            let guesses = seen.draws(DRAWS)?;
            timers.optimum(&guesses, latencies, task)
        };
        let withheld = if omitted.is_empty() { None } else { read(omitted, 0) };
        Some(Readings { lapses: read(&[], omitted.len())?, withheld })
    }
}

#[cfg(test)]
mod tests {
    use super::super::doubt::Doubt;
    use super::*;
    use crate::advice::asked::Asked;
    use crate::advice::sample;
    use crate::rng::Stream;

    fn readings(omitted: usize) -> Readings {
        let mut stream = Stream::named(3, "omissions");
        let latencies = (0..60).map(|_| 0.5 + 0.06 * stream.normal() + 0.2 * stream.exponential()).collect();
        let task = Task::of(&sample::evidence(), &Asked::default()).unwrap();
        Readings::of(&Sample::new(latencies).unwrap(), &vec![1.2; omitted], &Doubt::None.timers(&[], 0), &task).unwrap()
    }

    #[test]
    fn withheld_presses_would_ask_for_a_slower_scan() {
        let found = readings(3);
        assert!(found.withheld.unwrap().comfortable > found.lapses.comfortable);
    }

    #[test]
    fn nothing_omitted_has_one_reading() {
        assert!(readings(0).withheld.is_none());
    }
}
