//! When a virtual client sets out with its pointer.

use super::super::traits::Pointing;
use super::{CALM_S, Client, seconds};
use crate::engine::effect::Spot;
use crate::time::Moment;

impl Client {
    /// At a question it is going to choose rest.
    pub(in crate::sim) fn wants_rest(&self) -> bool {
        self.wants_rest
    }

    /// The pointer is wanted on this tile of `spots`, or on none. It sets out after a latency; a lapse only delays it.
    pub(in crate::sim) fn points_at(&mut self, now: Moment, wanted: Option<Spot>, spots: &[Spot]) {
        if now >= self.traits.stops_at() || self.pointer.goes_for() == wanted {
            return;
        }
        let mut latency = self.latency_s(now, false);
        if wanted.is_some() && self.choice.unit() < self.traits.miss {
            latency += CALM_S[0] + CALM_S[1] * self.latency.exponential();
        }
        let leaves = now + seconds(latency);
        match wanted.and_then(|wanted| Some((wanted, self.looked_at(wanted, spots)?))) {
            Some((wanted, (other, looks_s))) => {
                self.pointer.make_for_over(now, other, seconds(looks_s), wanted, leaves);
            }
            None => self.pointer.make_for(now, wanted, leaves),
        }
        self.course.pressed();
    }

    /// A tile on the way that is looked at, and for how long, where the client searches.
    fn looked_at(&mut self, wanted: Spot, spots: &[Spot]) -> Option<(Spot, f64)> {
        let Pointing { searches, looks_s, .. } = self.traits.pointer;
        if searches <= 0.0 || self.aim.unit() >= searches {
            return None;
        }
        let others: Vec<Spot> = spots.iter().copied().filter(|spot| *spot != wanted).collect();
        let other = others.get(self.aim.below(others.len().max(1) as u64) as usize)?;
        Some((*other, Pointing::SHORTEST_LOOK_S + looks_s * self.aim.exponential()))
    }
}
