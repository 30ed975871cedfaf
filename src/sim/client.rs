//! A virtual client: when it presses, and for how long.
//!
//! Latencies follow the ex-Gaussian law (a Normal plus an exponential part), the usual description
//! of human response times; involuntary presses come as a Poisson process that always runs.

use crate::rng::Stream;
use crate::session::Asked;
use crate::time::{Moment, Span};

/// No human press follows its signal faster (simple reactions below 100 to 150 ms are taken for
/// anticipations; from memory).
const FASTEST_S: f64 = 0.12;
/// Between the two presses of a pair, in seconds: mean of the exponential part on top of the least.
const PAIR_GAP_S: [f64; 2] = [0.25, 0.15];
/// Before pressing when nothing hurries, in seconds: the least, and the mean on top of it.
const CALM_S: [f64; 2] = [1.0, 1.0];

/// How a virtual client works its switch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Traits {
    /// Mean of the Normal part of the latency, in seconds.
    pub mu_s: f64,
    /// Standard deviation of the Normal part, in seconds.
    pub sigma_s: f64,
    /// Mean of the exponential part, in seconds.
    pub tau_s: f64,
    /// Share of lightings of the wanted entry that are let go by.
    pub miss: f64,
    /// Involuntary presses a second.
    pub involuntary_per_s: f64,
    /// Median time for which the switch is held, in seconds.
    pub held_s: f64,
    /// Share of questions that are answered with Rest.
    pub rests: f64,
}

/// A person of the invented scenario: steady, unhurried, with a light touch of the cheek.
pub const STEADY: Traits =
    Traits { mu_s: 0.55, sigma_s: 0.07, tau_s: 0.16, miss: 0.03, involuntary_per_s: 0.004, held_s: 0.22, rests: 0.1 };

/// A virtual client in a session.
#[derive(Clone, Debug)]
pub struct Client {
    traits: Traits,
    latency: Stream,
    held: Stream,
    choice: Stream,
    involuntary: Stream,
    next_involuntary: Moment,
    /// Presses that are on their way, in order.
    presses: Vec<Moment>,
    /// The switch is down and opens then.
    opens: Option<Moment>,
    wants_rest: bool,
}

impl Client {
    /// A client with these traits; the same seed gives the same presses.
    #[must_use]
    pub fn new(traits: Traits, seed: u64) -> Client {
        let mut client = Client {
            traits,
            latency: Stream::named(seed, "client latency"),
            held: Stream::named(seed, "client held"),
            choice: Stream::named(seed, "client choice"),
            involuntary: Stream::named(seed, "client involuntary"),
            next_involuntary: Moment::NEVER,
            presses: Vec::new(),
            opens: None,
            wants_rest: false,
        };
        client.next_involuntary = client.after_involuntary(Moment::START);
        client
    }

    /// When the switch changes next.
    #[must_use]
    pub fn next_edge(&self) -> Moment {
        let press = self.presses.first().copied().unwrap_or(Moment::NEVER).min(self.next_involuntary);
        self.opens.unwrap_or(press)
    }

    /// The switch changes, at [`Client::next_edge`]: `true` when it closes.
    pub fn edge(&mut self) -> bool {
        let at = self.next_edge();
        if self.opens.take().is_some() {
            // What would have been pressed meanwhile was one press with this one.
            self.presses.retain(|press| *press > at);
            while self.next_involuntary <= at {
                self.next_involuntary = self.after_involuntary(self.next_involuntary);
            }
            return false;
        }
        if self.next_involuntary == at {
            self.next_involuntary = self.after_involuntary(at);
        } else {
            self.presses.remove(0);
        }
        let held = self.traits.held_s * libm::exp(0.25 * self.held.normal());
        self.opens = Some(at + seconds(held.max(0.03)));
        true
    }

    /// A question is asked: does this client want to rest?
    pub fn question(&mut self) {
        self.wants_rest = self.choice.unit() < self.traits.rests;
    }

    /// Something was shown at `at`; `asked` is what it asks for and `on_wanted` whether what is lit is
    /// what is wanted, `on_rest` whether it is the choice to rest.
    pub fn sees(&mut self, at: Moment, asked: Asked, on_wanted: bool, on_rest: bool) {
        if !self.presses.is_empty() {
            return;
        }
        let due = if self.wants_rest { on_rest } else { on_wanted };
        match asked {
            Asked::Nothing => {}
            Asked::Press => self.press_after(at, CALM_S),
            Asked::Pair => {
                self.press_after(at, CALM_S);
                let first = self.presses[0];
                self.press_after(first, PAIR_GAP_S);
            }
            Asked::Entry(..) if due && self.choice.unit() >= self.traits.miss => {
                let latency = self.latency_s();
                self.presses.push(at + seconds(latency));
                self.wants_rest = false;
            }
            Asked::Entry(..) => {}
        }
    }

    fn latency_s(&mut self) -> f64 {
        let Traits { mu_s, sigma_s, tau_s, .. } = self.traits;
        (mu_s + sigma_s * self.latency.normal() + tau_s * self.latency.exponential()).max(FASTEST_S)
    }

    fn press_after(&mut self, at: Moment, [least, mean]: [f64; 2]) {
        let wait = least + mean * self.latency.exponential();
        self.presses.push(at + seconds(wait));
    }

    fn after_involuntary(&mut self, at: Moment) -> Moment {
        let rate = self.traits.involuntary_per_s;
        if rate > 0.0 { at + seconds(self.involuntary.exponential() / rate).max(Span(1)) } else { Moment::NEVER }
    }
}

fn seconds(value: f64) -> Span {
    Span::from_seconds(value.min(1e6)).unwrap_or(Span::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::tree::{EntryIx, GroupIx};

    #[test]
    fn latencies_have_the_mean_and_spread_of_the_law() {
        // Ex-Gaussian: mean mu + tau, variance sigma² + tau².
        let traits = Traits { miss: 0.0, involuntary_per_s: 0.0, ..STEADY };
        let mut client = Client::new(traits, 3);
        let wanted = Asked::Entry(GroupIx(0), EntryIx(0));
        let latencies: Vec<f64> = (0..20_000)
            .map(|_| {
                client.sees(Moment::START, wanted, true, false);
                let at = client.next_edge();
                client.edge();
                client.edge();
                at.0 as f64 / 1e6
            })
            .collect();
        let n = latencies.len() as f64;
        let mean = latencies.iter().sum::<f64>() / n;
        let variance = latencies.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n;
        let law = traits.sigma_s.powi(2) + traits.tau_s.powi(2);
        assert!((mean - (traits.mu_s + traits.tau_s)).abs() < 5.0 * (law / n).sqrt());
        assert!((variance / law - 1.0).abs() < 0.1);
    }

    #[test]
    fn the_switch_closes_and_opens_in_turn() {
        let mut client = Client::new(Traits { involuntary_per_s: 5.0, ..STEADY }, 1);
        let mut before = Moment::START;
        for turn in 0..1_000 {
            let at = client.next_edge();
            assert!(at > before, "edges come in order");
            assert_eq!(client.edge(), turn % 2 == 0);
            before = at;
        }
    }
}
