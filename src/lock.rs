//! A lock that is taken even where a thread panicked with it.
//!
//! A panic is told where it is caught; what was measured until then still has to be shown and saved. So this is only
//! for values that no panic leaves half changed in a way that matters.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// Takes the lock, whether or not a thread panicked while it held it.
pub(crate) fn past_panics<T>(shared: &Mutex<T>) -> MutexGuard<'_, T> {
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_panicking_thread_left_is_still_had() {
        let shared = Mutex::new(1);
        let thread = std::thread::scope(|scope| {
            let holding = scope.spawn(|| {
                let mut held = past_panics(&shared);
                *held = 2;
                std::panic::resume_unwind(Box::new("on purpose"));
            });
            holding.join()
        });
        assert!(thread.is_err() && shared.is_poisoned());
        assert_eq!(*past_panics(&shared), 2);
    }
}
