//! The plainest person at the switch: reacts, sometimes not, and presses by accident.
//!
//! It is the client of [`super::exact`]: a press that is under way falls wherever the scan is by
//! then; any press calls it off. A closure lasts no time.

use super::exact::Reaction;
use super::selecting::Person;
use crate::rng::Stream;
use crate::time::{Moment, Span};

/// A person who reacts.
#[derive(Clone, Debug)]
pub struct Reactor {
    reaction: Reaction,
    omission: f64,
    accidents: f64,
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
        let mut reactor = Reactor { reaction, omission, accidents, draws, under_way, accident, opens: None };
        reactor.accident = reactor.next_accident(Moment::START);
        reactor
    }

    #[inline]
    fn next_accident(&mut self, from: Moment) -> Moment {
        if self.accidents == 0.0 {
            return Moment::NEVER;
        }
        from + nearest_span(self.draws.exponential() / self.accidents)
    }

    #[inline]
    fn latency(&mut self) -> f64 {
        let Reaction { mu, sigma, tau } = self.reaction;
        let normal = if sigma > 0.0 { sigma * self.draws.normal() } else { 0.0 };
        let exponential = if tau > 0.0 { tau * self.draws.exponential() } else { 0.0 };
        (mu + normal + exponential).max(0.0)
    }
}

impl Person for Reactor {
    #[inline]
    fn next_edge(&self) -> Moment {
        self.opens.unwrap_or(self.under_way.min(self.accident))
    }

    #[inline]
    fn edge(&mut self) -> bool {
        let at = self.next_edge();
        if self.opens.take().is_some() {
            return false;
        }
        if self.accident == at {
            self.accident = self.next_accident(at);
        }
        self.under_way = Moment::NEVER;
        self.opens = Some(at);
        true
    }

    #[inline]
    fn sees(&mut self, at: Moment) {
        if self.under_way == Moment::NEVER && self.draws.unit() >= self.omission {
            self.under_way = at + nearest_span(self.latency());
        }
    }
}

/// The nearest whole microsecond; times here are never negative.
#[inline]
fn nearest_span(seconds: f64) -> Span {
    Span((seconds * 1e6 + 0.5) as u64)
}
