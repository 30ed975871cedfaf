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
    /// Mean lightings between omissions.
    between_omissions: f64,
    /// Lightings until the next omission.
    reacts: u64,
    /// The next one, drawn ahead: what depends on it need not wait for the draw.
    latency: Span,
    /// Mean microseconds between accidents.
    between_accidents: f64,
    draws: Stream,
    under_way: Moment,
    accident: Moment,
    opens: Moment,
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
        let between_omissions = -1.0 / libm::log1p(-omission);
        let mut reactor = Reactor {
            reaction,
            between_omissions,
            reacts: 0,
            latency: Span::ZERO,
            between_accidents,
            draws,
            under_way,
            accident,
            opens: Moment::NEVER,
        };
        reactor.accident = reactor.next_accident(Moment::START);
        reactor.reacts = reactor.until_omission();
        reactor.latency = reactor.next_latency();
        reactor
    }

    #[inline]
    fn next_accident(&mut self, from: Moment) -> Moment {
        if self.between_accidents.is_infinite() {
            return Moment::NEVER;
        }
        from + Span::nearest(self.draws.fast_exponential() * self.between_accidents)
    }

    /// How many lightings are reacted to before one is not: the geometric law, as whole part of an exponential one.
    fn until_omission(&mut self) -> u64 {
        (self.draws.fast_exponential() * self.between_omissions) as u64
    }

    #[inline]
    fn next_latency(&mut self) -> Span {
        let Reaction { mu, sigma, tau } = self.reaction;
        Span::nearest(mu + sigma * self.draws.fast_normal() + tau * self.draws.fast_exponential())
    }
}

impl Person for Reactor {
    #[inline(always)]
    fn next_edge(&self) -> Moment {
        self.opens.min(self.under_way).min(self.accident)
    }

    #[inline(always)]
    fn edge(&mut self) -> Option<(Switch, bool)> {
        let at = self.next_edge();
        if self.opens < Moment::NEVER {
            self.opens = Moment::NEVER;
            return Some((Switch(0), false));
        }
        if self.accident == at {
            self.accident = self.next_accident(at);
        }
        self.under_way = Moment::NEVER;
        self.opens = at;
        Some((Switch(0), true))
    }

    #[inline(always)]
    fn sees(&mut self, view: &View) {
        if self.under_way < Moment::NEVER {
            return;
        }
        if self.reacts > 0 {
            self.reacts -= 1;
            self.under_way = view.at + self.latency;
            self.latency = self.next_latency();
        } else {
            self.reacts = self.until_omission();
        }
    }

    fn told(&mut self, _: Moment, _: Told) {}

    fn heeds(&self) -> Heeds {
        Heeds::Wanted
    }
}
