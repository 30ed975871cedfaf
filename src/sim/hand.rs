//! The hand on the switch: presses that are on their way, involuntary ones, and the raw edges of the
//! press that is being made.
//!
//! While the switch is in use whatever else would have been pressed is one press with this one.
//! Each purpose draws from a stream of its own.

use std::collections::VecDeque;

use super::contact::{Edge, edges, is_clean};
use super::traits::Traits;
use crate::engine::effect::Switch;
use crate::engine::tree::{EntryIx, GroupIx};
use crate::rng::Stream;
use crate::time::{Moment, Span};

/// No press is shorter.
const SHORTEST_HELD_S: f64 = 0.03;
/// A press within a train lasts at most this share of the train's period.
const SHARE_OF_PERIOD: f64 = 0.6;
/// A press that waits to be let go ends by itself after this.
const LONGEST_HOLD: Span = Span::from_ms(60_000);
/// After the last press nothing follows soon.
const FREE: Span = Span::from_ms(10_000);
/// Between two presses of a burst lies at least this.
const SHORTEST_GAP: Span = Span::from_ms(20);

/// A press on its way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Press {
    /// When the switch will close.
    pub at: Moment,
    /// Which switch.
    pub switch: Switch,
    /// It is held until [`Hand::let_go`].
    pub holds: bool,
    /// The entry that it is meant for, while it may still be given up.
    pub meant_for: Option<(GroupIx, EntryIx)>,
}

/// The hand of one virtual client.
#[derive(Clone, Debug)]
pub(super) struct Hand {
    held: Stream,
    contact: Stream,
    involuntary: Stream,
    spasm: Stream,
    tremor: Stream,
    next_involuntary: Moment,
    next_spasm: Moment,
    /// Presses that are on their way, in order.
    pub presses: Vec<Press>,
    /// What is left of the press that is being made.
    edges: VecDeque<Edge>,
    /// It is held until it is let go.
    holds: bool,
    /// The contact is closed.
    down: bool,
}

impl Hand {
    /// A hand that rests.
    pub fn new(traits: &Traits, seed: u64) -> Hand {
        let mut hand = Hand {
            held: Stream::named(seed, "client held"),
            contact: Stream::named(seed, "client contact"),
            involuntary: Stream::named(seed, "client involuntary"),
            spasm: Stream::named(seed, "client spasm"),
            tremor: Stream::named(seed, "client tremor"),
            next_involuntary: Moment::NEVER,
            next_spasm: Moment::NEVER,
            presses: Vec::new(),
            edges: VecDeque::new(),
            holds: false,
            down: false,
        };
        hand.next_involuntary = after(&mut hand.involuntary, traits.involuntary_per_s, Moment::START);
        hand.next_spasm = after(&mut hand.spasm, traits.spasm.per_s, Moment::START);
        hand
    }

    /// When a switch changes next.
    pub fn next_edge(&self) -> Moment {
        let press = self.presses.first().map_or(Moment::NEVER, |press| press.at);
        let begins = press.min(self.next_involuntary).min(self.next_spasm);
        self.edges.front().map_or(begins, |edge| edge.at)
    }

    /// A switch changes, at [`Hand::next_edge`]; `None` when none ever does.
    pub fn edge(&mut self, traits: &Traits) -> Option<Edge> {
        let at = self.next_edge();
        if self.edges.is_empty() && at < Moment::NEVER {
            self.begin(at, traits);
        }
        let edge = self.edges.pop_front()?;
        self.down = edge.down;
        if self.edges.is_empty() {
            self.over(edge.at, traits);
        }
        Some(edge)
    }

    /// A press is held until it is let go.
    pub fn holds(&self) -> bool {
        self.holds
    }

    /// Nothing is being pressed.
    pub fn rests(&self) -> bool {
        self.edges.is_empty()
    }

    /// Lets go, at `at`, of a press that is being held.
    pub fn let_go(&mut self, at: Moment) {
        self.holds = false;
        self.edges.retain(|edge| edge.at < at);
        let last = self.edges.back();
        if last.map_or(self.down, |edge| edge.down) {
            let switch = last.map_or(Switch(0), |edge| edge.switch);
            self.edges.push_back(Edge { at, switch, down: false });
        }
    }

    fn begin(&mut self, at: Moment, traits: &Traits) {
        if self.next_involuntary == at {
            self.next_involuntary = after(&mut self.involuntary, traits.involuntary_per_s, at);
            self.tap(at, Switch(0), traits);
        } else if self.next_spasm == at {
            self.next_spasm = after(&mut self.spasm, traits.spasm.per_s, at);
            self.burst(at, traits);
        } else {
            let press = self.presses.remove(0);
            if press.holds {
                self.holds = true;
                self.close(at, LONGEST_HOLD, FREE, press.switch, traits);
            } else {
                self.tap(at, press.switch, traits);
            }
        }
    }

    /// One press, or the train that tremor makes of it.
    fn tap(&mut self, at: Moment, switch: Switch, traits: &Traits) {
        let tremor = &traits.tremor;
        let trains = tremor.presses > 1 && tremor.hertz > 0.0 && self.tremor.unit() < tremor.share;
        if !trains {
            let held = self.held(traits);
            return self.close(at, held, FREE, switch, traits);
        }
        let period = seconds(1.0 / tremor.hertz);
        for count in 0..tremor.presses {
            let held = self.held(traits).min(seconds(SHARE_OF_PERIOD / tremor.hertz));
            let room = if count + 1 == tremor.presses { FREE } else { period - held };
            self.close(at + period.times(u64::from(count)), held, room, switch, traits);
        }
    }

    fn burst(&mut self, at: Moment, traits: &Traits) {
        let mut at = at;
        for _ in 0..traits.spasm.presses.max(1) {
            let held = self.held(traits);
            let gap = seconds(traits.spasm.gap_s * self.spasm.exponential()).max(SHORTEST_GAP);
            self.close(at, held, gap, Switch(0), traits);
            at = at + held + gap;
        }
    }

    fn close(&mut self, at: Moment, held: Span, room: Span, switch: Switch, traits: &Traits) {
        if is_clean(&traits.contact) {
            self.edges.push_back(Edge { at, switch, down: true });
            self.edges.push_back(Edge { at: at + held, switch, down: false });
        } else {
            self.edges.extend(edges(at, held, room, switch, &traits.contact, &mut self.contact));
        }
    }

    fn held(&mut self, traits: &Traits) -> Span {
        let held = traits.held_s * libm::exp(traits.held_scatter * self.held.fast_normal());
        seconds(held.max(SHORTEST_HELD_S))
    }

    /// The switch is free again.
    fn over(&mut self, at: Moment, traits: &Traits) {
        self.holds = false;
        self.presses.retain(|press| press.at > at);
        while self.next_involuntary <= at {
            self.next_involuntary = after(&mut self.involuntary, traits.involuntary_per_s, self.next_involuntary);
        }
        while self.next_spasm <= at {
            self.next_spasm = after(&mut self.spasm, traits.spasm.per_s, self.next_spasm);
        }
    }
}

/// The next event of a Poisson process after `at`.
fn after(stream: &mut Stream, per_s: f64, at: Moment) -> Moment {
    if per_s > 0.0 { at + seconds(stream.exponential() / per_s).max(Span(1)) } else { Moment::NEVER }
}

/// A span from seconds; what is no time at all is none, and what would never end ends far off.
pub(super) fn seconds(value: f64) -> Span {
    Span::nearest(1e6 * value.min(1e6))
}

#[cfg(test)]
mod tests {
    use super::super::traits::{Contact, STEADY, Spasm, Tremor};
    use super::*;

    const QUIET: Traits = Traits { involuntary_per_s: 0.0, ..STEADY };

    fn press(at: u64) -> Press {
        Press { at: Moment(at), switch: Switch(0), holds: false, meant_for: None }
    }

    /// The closings of one press at one second.
    fn closings(traits: &Traits) -> Vec<u64> {
        let mut hand = Hand::new(traits, 1);
        hand.presses.push(press(1_000_000));
        std::iter::from_fn(|| hand.edge(traits)).filter(|edge| edge.down).map(|edge| edge.at.0).collect()
    }

    #[test]
    fn a_train_has_as_many_presses_as_it_should_at_its_rate() {
        let traits = Traits { tremor: Tremor { share: 1.0, hertz: 4.0, presses: 5 }, ..QUIET };
        assert_eq!(closings(&traits), [1_000_000, 1_250_000, 1_500_000, 1_750_000, 2_000_000]);
        assert_eq!(closings(&QUIET), [1_000_000]);
    }

    #[test]
    fn bounces_and_trains_multiply() {
        let contact = Contact { bounces: 3, bounce_s: 0.004, ..Contact::default() };
        let traits = Traits { contact, tremor: Tremor { share: 1.0, hertz: 6.0, presses: 4 }, ..QUIET };
        // Each press closes once, and three times more at either end.
        assert_eq!(closings(&traits).len(), 4 * 7);
    }

    #[test]
    fn bursts_come_as_often_and_as_long_as_they_should() {
        let traits = Traits { spasm: Spasm { per_s: 0.1, presses: 3, gap_s: 0.15 }, ..QUIET };
        let mut hand = Hand::new(&traits, 2);
        let until = Moment(20_000_000_000);
        let mut closings = 0;
        while hand.next_edge() < until {
            closings += u32::from(hand.edge(&traits).is_some_and(|edge| edge.down));
        }
        // 2,000 bursts (Poisson, SD 45) less those that fall into another.
        let bursts = f64::from(closings) / 3.0;
        assert!((1_650.0..2_150.0).contains(&bursts), "{bursts}");
    }

    #[test]
    fn a_held_press_ends_when_it_is_let_go_or_at_last_by_itself() {
        let mut hand = Hand::new(&QUIET, 1);
        hand.presses.push(Press { holds: true, ..press(10) });
        assert!(hand.edge(&QUIET).is_some_and(|edge| edge.down) && hand.holds());
        assert_eq!(hand.next_edge(), Moment(10) + LONGEST_HOLD);
        hand.let_go(Moment(700));
        assert_eq!(hand.edge(&QUIET), Some(Edge { at: Moment(700), switch: Switch(0), down: false }));
        assert!(hand.rests() && hand.edge(&QUIET).is_none());
    }

    #[test]
    fn edges_of_a_switch_take_turns_whatever_the_traits() {
        let contact = Contact { bounces: 2, bounce_s: 0.02, drop_outs_per_s: 4.0, drop_out_s: 0.03 };
        let tremor = Tremor { share: 0.5, hertz: 8.0, presses: 6 };
        let spasm = Spasm { per_s: 0.5, presses: 4, gap_s: 0.05 };
        let wild = Traits { involuntary_per_s: 2.0, contact, tremor, spasm, ..STEADY };
        let mut hand = Hand::new(&wild, 9);
        let mut before = Moment::START;
        for turn in 0..20_000 {
            let edge = hand.edge(&wild).unwrap();
            assert!(edge.at > before && edge.down == (turn % 2 == 0), "{turn}");
            before = edge.at;
        }
    }
}
