//! Where effects go.

use super::effect::Effect;
use crate::time::Moment;

/// Takes effects as they happen, in order. A list and a closure are sinks.
pub trait Sink {
    /// Something happened at `at`.
    fn effect(&mut self, at: Moment, effect: Effect);
}

impl Sink for Vec<(Moment, Effect)> {
    fn effect(&mut self, at: Moment, effect: Effect) {
        self.push((at, effect));
    }
}

impl<F: FnMut(Moment, Effect)> Sink for F {
    #[inline]
    fn effect(&mut self, at: Moment, effect: Effect) {
        self(at, effect);
    }
}
