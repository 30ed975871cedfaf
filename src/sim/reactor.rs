//! The plainest person at the switch: reacts, sometimes not, and presses by accident.
//!
//! It is the client of [`super::exact`]: a press that is under way falls wherever the scan is by
//! then; any press calls it off. A closure lasts no time.

use super::exact::Reaction;
use super::person::{Heeds, Person};
use super::view::{Told, View};
use crate::engine::effect::Switch;
use crate::rng::Stream;
use crate::time::{Moment, Span};

/// A person who reacts.
#[derive(Clone, Debug)]
pub struct Reactor {
    /// In microseconds.
    reaction: Reaction,
    omission: f64,
    /// Mean microseconds between accidents.
    between_accidents: f64,
    draws: Stream,
    under_way: Moment,
    accident: Moment,
    opens: Option<Moment>,
}

impl Reactor {
    /// Latencies by `reaction`, in seconds; `omission` is the share of lightings without a press,
    /// `accidents` the accidental presses a second.
    #[must_use]
    pub fn new(reaction: Reaction, omission: f64, accidents: f64, draws: Stream) -> Reactor {
        let (under_way, accident) = (Moment::NEVER, Moment::NEVER);
        let Reaction { mu, sigma, tau } = reaction;
        let reaction = Reaction { mu: 1e6 * mu, sigma: 1e6 * sigma, tau: 1e6 * tau };
        let between_accidents = 1e6 / accidents;
        let mut reactor = Reactor { reaction, omission, between_accidents, draws, under_way, accident, opens: None };
        reactor.accident = reactor.next_accident(Moment::START);
        reactor
    }

    #[inline]
    fn next_accident(&mut self, from: Moment) -> Moment {
        if self.between_accidents.is_infinite() {
            return Moment::NEVER;
        }
        from + Span::nearest(self.draws.fast_exponential() * self.between_accidents)
    }

    #[inline]
    fn latency(&mut self) -> Span {
        let Reaction { mu, sigma, tau } = self.reaction;
        Span::nearest(mu + sigma * self.draws.fast_normal() + tau * self.draws.fast_exponential())
    }
}

impl Person for Reactor {
    #[inline(always)]
    fn next_edge(&self) -> Moment {
        self.opens.unwrap_or(self.under_way.min(self.accident))
    }

    #[inline(always)]
    fn edge(&mut self) -> Option<(Switch, bool)> {
        let at = self.next_edge();
        if self.opens.take().is_some() {
            return Some((Switch(0), false));
        }
        if self.accident == at {
            self.accident = self.next_accident(at);
        }
        self.under_way = Moment::NEVER;
        self.opens = Some(at);
        Some((Switch(0), true))
    }

    #[inline(always)]
    fn sees(&mut self, view: &View) {
        if self.under_way == Moment::NEVER && self.draws.unit() >= self.omission {
            self.under_way = view.at + self.latency();
        }
    }

    fn told(&mut self, _: Moment, _: Told) {}

    fn heeds(&self) -> Heeds {
        Heeds::Wanted
    }
}
