//! The same work on each of many things, shared among threads. The results stand in order and are
//! the same for any number of threads; nothing else is shared.

use std::num::NonZeroUsize;
use std::thread;

/// As many things as this, or fewer, are not worth a second thread.
const WORTH_A_THREAD: usize = 64;

/// `work` on each of `things`.
pub(crate) fn map<T: Sync, R: Send>(things: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    on(worth(threads, things.len()), things, work)
}

/// How many of these threads so many things are worth.
fn worth(threads: usize, things: usize) -> usize {
    threads.min(things.div_ceil(WORTH_A_THREAD))
}

/// The same on so many threads; 0 counts as 1.
fn on<T: Sync, R: Send>(threads: usize, things: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let mut parts = things.chunks(things.len().div_ceil(threads.max(1)).max(1));
    let own = parts.next().unwrap_or_default();
    let work = &work;
    thread::scope(|scope| {
        let rest: Vec<_> = parts.map(|part| scope.spawn(move || part.iter().map(work).collect::<Vec<R>>())).collect();
        let mut results: Vec<R> = own.iter().map(work).collect();
        for part in rest {
            results.extend(part.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
        results
    })
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_hundred_things_are_worth_two_threads() {
        assert_eq!(
            [(8, 0), (8, 64), (8, 65), (8, 100), (8, 1000), (1, 1000)].map(|(a, b)| super::worth(a, b)),
            [0, 1, 2, 2, 8, 1]
        );
    }

    #[test]
    fn any_number_of_threads_gives_the_same() {
        let things: Vec<u32> = (0..1001).collect();
        let once: Vec<u32> = things.iter().map(|thing| 3 * thing).collect();
        for threads in [0, 1, 2, 3, 7, 2000] {
            assert_eq!(super::on(threads, &things, |thing| 3 * thing), once);
        }
        assert_eq!(super::map(&things, |thing| 3 * thing), once);
        assert!(super::map(&[] as &[u32], |thing| *thing).is_empty());
    }
}
