//! Many selections in blocks over several threads, with the same sum for any number of threads.
//!
//! Each block has an engine, a client and random streams of its own, named by the number of the
//! block. So it matters neither which thread runs a block nor when, and a long study can be split:
//! the sums of its parts add up to the sum of the whole, bit for bit.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread;

/// Selections in a block; the last one may have fewer.
pub const BLOCK: u64 = 1_000;

/// Which blocks of a study to run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Blocks {
    /// Selections of the whole study.
    pub selections: u64,
    /// This part of it, from 0.
    pub part: u64,
    /// Parts of the study; at least 1.
    pub parts: u64,
}

impl Blocks {
    /// The whole study in one part.
    #[must_use]
    pub fn whole(selections: u64) -> Blocks {
        Blocks { selections, part: 0, parts: 1 }
    }

    /// Number and size of the `turn`th block of this part.
    fn block(&self, turn: u64) -> Option<(u64, u64)> {
        let block = self.part + turn.checked_mul(self.parts)?;
        let before = block.checked_mul(BLOCK)?;
        (before < self.selections).then(|| (block, BLOCK.min(self.selections - before)))
    }

    /// Runs the blocks on `threads` threads (0 counts as 1): `run` gets a sum to add to, the number of a block and how
    /// many selections to make in it; `add` adds the sum of a thread to another. No further block is begun once `stop`
    /// is set; the sum is then that of the blocks done.
    pub fn run<S: Default + Send>(
        &self,
        threads: usize,
        stop: &AtomicBool,
        run: impl Fn(&mut S, u64, u64) + Sync,
        add: impl Fn(&mut S, S),
    ) -> S {
        let turn = AtomicU64::new(0);
        let work = || {
            let mut sum = S::default();
            while !stop.load(Ordering::Relaxed)
                && let Some((block, count)) = self.block(turn.fetch_add(1, Ordering::Relaxed))
            {
                run(&mut sum, block, count);
            }
            sum
        };
        thread::scope(|scope| {
            let helpers: Vec<_> = (1..threads.max(1)).map(|_| scope.spawn(work)).collect();
            let own = work();
            helpers.into_iter().fold(own, |mut sum, helper| match helper.join() {
                Ok(part) => {
                    add(&mut sum, part);
                    sum
                }
                Err(panic) => std::panic::resume_unwind(panic),
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::counts::Counts;
    use super::*;

    fn add(sum: &mut Counts, part: Counts) {
        *sum = sum.plus(&part);
    }

    /// Sums that tell blocks and sizes apart.
    fn run(blocks: Blocks, threads: usize) -> Counts {
        let count = |sum: &mut Counts, block: u64, count: u64| {
            add(sum, Counts { selections: count, hits: block * block + 1, ..Counts::default() });
        };
        blocks.run(threads, &AtomicBool::new(false), count, add)
    }

    #[test]
    fn any_number_of_threads_and_of_parts_gives_the_same_sum() {
        let whole = run(Blocks::whole(12 * BLOCK + 7), 1);
        assert_eq!(
            (whole.selections, whole.hits),
            (12 * BLOCK + 7, 13 + (0..13).map(|block| block * block).sum::<u64>())
        );
        assert_eq!(run(Blocks::whole(12 * BLOCK + 7), 4), whole);
        let parts = (0..5).map(|part| run(Blocks { selections: 12 * BLOCK + 7, part, parts: 5 }, 2));
        assert_eq!(parts.fold(Counts::default(), |sum, part| sum.plus(&part)), whole);
    }

    #[test]
    fn a_run_that_is_stopped_keeps_what_it_has() {
        let stop = AtomicBool::new(false);
        let count = |sum: &mut Counts, block: u64, count: u64| {
            stop.store(block == 2, Ordering::Relaxed);
            add(sum, Counts { selections: count, ..Counts::default() });
        };
        let found = Blocks::whole(100 * BLOCK).run(1, &stop, count, add);
        assert_eq!(found.selections, 3 * BLOCK);
    }
}
