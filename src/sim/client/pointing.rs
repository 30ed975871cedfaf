//! When a virtual client sets out with its pointer.

use super::{CALM_S, Client, seconds};
use crate::engine::effect::Spot;
use crate::time::Moment;

impl Client {
    /// At a question it is going to choose rest.
    pub(in crate::sim) fn wants_rest(&self) -> bool {
        self.wants_rest
    }

    /// The pointer is wanted on this tile, or on none. It sets out after a latency; a lapse only delays it.
    pub(in crate::sim) fn points_at(&mut self, now: Moment, wanted: Option<Spot>) {
        let stopped = self.traits.stops_after_s.is_some_and(|stops| now.since(Moment::START).as_seconds() >= stops);
        if stopped || self.pointer.goes_for() == wanted {
            return;
        }
        let mut latency = self.latency_s(now, false);
        if wanted.is_some() && self.choice.unit() < self.traits.miss {
            latency += CALM_S[0] + CALM_S[1] * self.latency.exponential();
        }
        self.pointer.make_for(wanted, now + seconds(latency));
        self.course.pressed();
    }
}
