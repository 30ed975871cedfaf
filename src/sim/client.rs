//! A virtual client: when it presses, under what it sees and is told.
//!
//! A client who reacts presses some time after the wanted entry lit; one who times its presses to
//! the rhythm plans them while the entry before is lit. Under step scanning it steps until the wanted
//! entry is lit and takes it with the second switch, or waits for it to be taken; under inverse
//! scanning it holds the switch and lets go on the wanted entry.

mod holding;
mod pointing;

use super::contact::Edge;
use super::course::Course;
use super::hand::{Hand, Press, seconds};
use super::person::Heeds;
use super::pointer::Pointer;
use super::traits::Aim;
pub use super::traits::{STEADY, Traits};
use super::view::{Told, View};
use crate::engine::effect::{Lit, Switch};
use crate::engine::tree::{EntryIx, GroupIx, ScanTree};
use crate::rng::Stream;
use crate::session::Asked;
use crate::settings::Technique;
use crate::time::Moment;

/// No human press follows its signal faster (simple reactions below 100 to 150 ms are taken for
/// anticipations; from memory).
const FASTEST_S: f64 = 0.12;
/// Between the two presses of a pair, in seconds: mean of the exponential part on top of the least.
const PAIR_GAP_S: [f64; 2] = [0.25, 0.15];
/// Before pressing when nothing hurries, in seconds: the least, and the mean on top of it.
const CALM_S: [f64; 2] = [1.0, 1.0];
/// The choice to rest.
const REST: (GroupIx, EntryIx) = (ScanTree::TOP, EntryIx(0));
/// Moves the highlight on, or is the only switch.
const MOVES: Switch = Switch(0);
/// Takes what is lit, where there are two switches.
const TAKES: Switch = Switch(1);

/// A virtual client in a session.
#[derive(Clone, Debug)]
pub struct Client {
    traits: Traits,
    hand: Hand,
    course: Course,
    latency: Stream,
    aim: Stream,
    choice: Stream,
    late: Stream,
    recovery: Stream,
    /// What it points with.
    pub(super) pointer: Pointer,
    wants_rest: bool,
    /// It does not try a second time.
    lets_be: bool,
    /// What came into view last, until it was looked at again.
    seen: Option<View>,
    /// It waits for the hand to be free.
    busy: bool,
}

impl Client {
    /// A client with these traits; the same seed gives the same presses.
    #[must_use]
    pub fn new(traits: Traits, seed: u64) -> Client {
        Client {
            hand: Hand::new(&traits, seed),
            course: Course::default(),
            latency: Stream::named(seed, "client latency"),
            aim: Stream::named(seed, "client aim"),
            choice: Stream::named(seed, "client choice"),
            late: Stream::named(seed, "client late"),
            recovery: Stream::named(seed, "client recovery"),
            pointer: Pointer::new(traits.pointer, seed, traits.stops_at()),
            wants_rest: false,
            lets_be: false,
            seen: None,
            busy: false,
            traits,
        }
    }

    /// When a switch changes next.
    #[must_use]
    pub fn next_edge(&self) -> Moment {
        self.hand.next_edge()
    }

    /// A switch changes, at [`Client::next_edge`]: which one, and `true` when it closes. `None` when
    /// none ever does.
    pub fn edge(&mut self) -> Option<(Switch, bool)> {
        let waited = self.busy || !self.hand.presses.is_empty();
        let Edge { at, switch, down } = self.hand.edge(&self.traits)?;
        if waited && self.hand.rests() && self.hand.presses.is_empty() {
            self.looks_up(at);
        }
        Some((switch, down))
    }

    /// What was to be pressed went under in another press, or the hand was busy: where nothing moves by
    /// itself, it looks again.
    fn looks_up(&mut self, at: Moment) {
        self.busy = false;
        let still = |view: &View| view.technique != Technique::Automatic || !matches!(view.asked, Asked::Entry(..));
        if let Some(view) = self.seen.take().filter(still) {
            self.sees(&View { at, ..view });
        }
    }

    /// What has to be shown to it where the highlight moves by itself.
    #[must_use]
    pub fn heeds(&self) -> Heeds {
        match self.traits.aim {
            _ if self.traits.gives_up_late > 0.0 => Heeds::All,
            Some(_) => Heeds::Before,
            None => Heeds::Wanted,
        }
    }

    /// What a latency is multiplied by at `at`: fatigue and lack of practice.
    #[must_use]
    pub fn slower(&self, at: Moment) -> f64 {
        self.course.slower(at, &self.traits.course)
    }

    /// What the course of the session tells the client.
    pub fn told(&mut self, at: Moment, told: Told) {
        match told {
            Told::Question => self.wants_rest = self.choice.unit() < self.traits.rests,
            Told::Rest => self.course.rests(at, &self.traits.course),
            Told::Trial { again } => {
                self.course.works(at);
                self.lets_be = again && self.recovery.unit() >= self.traits.recovery.tries_again;
            }
        }
    }

    /// Something is to be seen.
    pub fn sees(&mut self, view: &View) {
        if view.at >= self.traits.stops_at() {
            return;
        }
        self.seen = Some(*view);
        if !self.hand.presses.is_empty() {
            return self.may_give_up(view);
        }
        let wanted = match view.asked {
            Asked::Entry(..) if self.wants_rest => REST,
            Asked::Entry(group, entry) => (group, entry),
            Asked::Hold(group, entry) => return self.holds_down(view, (group, entry)),
            // Where a pointer works it there is no switch to press.
            Asked::Press | Asked::Pair if view.technique == Technique::Dwell => return,
            Asked::Press => return self.press_after(view.at, CALM_S),
            Asked::Pair => return self.press_pair(view.at),
            Asked::Nothing => return self.lets_loose(view),
        };
        match view.technique {
            Technique::Automatic => self.awaits(view, wanted),
            Technique::Step | Technique::StepAutoAccept => self.steps(view, wanted),
            Technique::Inverse => self.holds(view, wanted),
            // The pointer does it: see `points_at`.
            Technique::Dwell => {}
        }
    }

    /// The highlight has moved on before the press came.
    fn may_give_up(&mut self, view: &View) {
        let press = &mut self.hand.presses[0];
        let Some((place, lit)) = press.meant_for.zip(view.lit) else { return };
        if !on(lit, place) {
            press.meant_for = None;
            if self.late.unit() < self.traits.gives_up_late {
                self.hand.presses.clear();
            }
        }
    }

    /// Automatic scanning: one press at the right time.
    fn awaits(&mut self, view: &View, wanted: (GroupIx, EntryIx)) {
        let Some(lit) = view.lit else { return };
        match self.traits.aim.filter(|_| !view.question && wanted.1.0 > 0) {
            Some(aim) if on(lit, (wanted.0, EntryIx(wanted.1.0 - 1))) => self.plans(view, wanted, aim),
            None if on(lit, wanted) => self.reacts(view, wanted),
            _ => {}
        }
    }

    fn plans(&mut self, view: &View, wanted: (GroupIx, EntryIx), aim: Aim) {
        if self.goes_for(view) {
            let wait = view.stays.as_seconds() + aim.share * view.interval.as_seconds() + aim.offset_s;
            let sd = libm::hypot(aim.sd_s, aim.sd_share * wait);
            let wait = wait + sd * self.aim.normal();
            self.press(view, wait.max(FASTEST_S), MOVES, Some(wanted));
        }
    }

    fn reacts(&mut self, view: &View, wanted: (GroupIx, EntryIx)) {
        if self.goes_for(view) {
            let latency = self.latency_s(view.at, wanted.1 == EntryIx(0));
            self.press(view, latency, MOVES, Some(wanted));
        }
    }

    /// Step scanning: steps up to the wanted entry; there the second switch takes it, or time does.
    fn steps(&mut self, view: &View, wanted: (GroupIx, EntryIx)) {
        let Some(lit) = view.lit else { return };
        let waits_out = view.astray && self.recovery.unit() >= self.traits.recovery.takes_exit;
        match (on(lit, wanted) && !waits_out, view.technique) {
            (true, Technique::StepAutoAccept) => self.wants_rest = false,
            _ if self.lets_be => {}
            (true, _) => self.takes(view, wanted),
            (false, _) => {
                let latency = self.latency_s(view.at, false);
                self.hand.presses.push(press(view.at, latency, MOVES));
            }
        }
    }

    /// Nothing moves on by itself, so a lapse is only a delay.
    fn takes(&mut self, view: &View, wanted: (GroupIx, EntryIx)) {
        let mut latency = self.latency_s(view.at, wanted.1 == EntryIx(0));
        if self.lapses(view) {
            latency += CALM_S[0] + CALM_S[1] * self.latency.exponential();
        }
        self.press(view, latency, TAKES, Some(wanted));
    }

    /// Whether the wanted entry is gone for, or let go by.
    fn goes_for(&mut self, view: &View) -> bool {
        let goes = !self.lapses(view) && !self.lets_be;
        goes && (!view.astray || self.recovery.unit() < self.traits.recovery.takes_exit)
    }

    fn lapses(&mut self, view: &View) -> bool {
        let miss = self.traits.miss + self.course.lapses(view.at, &self.traits.course);
        self.choice.unit() < miss
    }

    fn press(&mut self, view: &View, wait_s: f64, switch: Switch, meant_for: Option<(GroupIx, EntryIx)>) {
        self.hand.presses.push(Press { meant_for, ..press(view.at, wait_s, switch) });
        self.made(view);
    }

    /// A wanted press is on its way.
    fn made(&mut self, view: &View) {
        self.wants_rest = false;
        if !view.question {
            self.course.pressed();
        }
    }

    fn latency_s(&mut self, at: Moment, first_item: bool) -> f64 {
        let drawn = self.traits.latency.draw(&mut self.latency) * self.slower(at);
        let first_item_s = if first_item { self.traits.first_item_s } else { 0.0 };
        (drawn + first_item_s).max(FASTEST_S)
    }

    fn press_pair(&mut self, at: Moment) {
        self.press_after(at, CALM_S);
        let first = self.hand.presses[0].at;
        self.press_after(first, PAIR_GAP_S);
    }

    fn press_after(&mut self, at: Moment, [least, mean]: [f64; 2]) {
        let wait = least + mean * self.latency.exponential();
        self.hand.presses.push(press(at, wait, MOVES));
    }
}

fn press(at: Moment, wait_s: f64, switch: Switch) -> Press {
    Press { at: at + seconds(wait_s), switch, holds: false, meant_for: None }
}

fn on(lit: Lit, place: (GroupIx, EntryIx)) -> bool {
    matches!(lit, Lit::Entry { group, entry, .. } if (group, entry) == place)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sim::latency::Latency;
    use crate::time::Span;

    const WANTED: (GroupIx, EntryIx) = (GroupIx(0), EntryIx(2));
    const SURE: Traits = Traits { miss: 0.0, involuntary_per_s: 0.0, ..STEADY };

    fn lit(entry: u16) -> Lit {
        Lit::Entry { group: GroupIx(0), entry: EntryIx(entry), pass: 0 }
    }

    fn view(at: u64, lit: Lit, technique: Technique) -> View {
        View {
            at: Moment(at),
            asked: Asked::Entry(WANTED.0, WANTED.1),
            lit: Some(lit),
            technique,
            question: false,
            astray: false,
            interval: Span::from_ms(1_000),
            stays: Span::from_ms(1_000),
        }
    }

    fn steady_law() -> Latency {
        STEADY.latency
    }

    #[test]
    fn latencies_have_the_mean_and_spread_of_the_law() {
        // Ex-Gaussian: mean mu + tau, variance sigma² + tau².
        let mut client = Client::new(SURE, 3);
        let latencies: Vec<f64> = (0..20_000)
            .map(|_| {
                client.sees(&view(0, lit(2), Technique::Automatic));
                let at = client.next_edge();
                client.edge();
                client.edge();
                at.0 as f64 / 1e6
            })
            .collect();
        let n = latencies.len() as f64;
        let mean = latencies.iter().sum::<f64>() / n;
        let variance = latencies.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n;
        let law = 0.07_f64.powi(2) + 0.16_f64.powi(2);
        assert!((mean - steady_law().mean()).abs() < 5.0 * (law / n).sqrt());
        assert!((variance / law - 1.0).abs() < 0.1);
    }

    #[test]
    fn a_timer_aims_from_the_entry_before_and_follows_the_interval() {
        let aim = Aim { share: 0.4, offset_s: 0.05, sd_s: 0.0, sd_share: 0.0 };
        for (interval, pressed) in [(1_000, 1_450_000), (2_000, 2_850_000)] {
            let mut client = Client::new(Traits { aim: Some(aim), ..SURE }, 1);
            let span = Span::from_ms(interval);
            client.sees(&View { interval: span, stays: span, ..view(0, lit(1), Technique::Automatic) });
            assert_eq!(client.next_edge(), Moment(pressed));
        }
    }

    #[test]
    fn a_late_press_is_given_up_as_often_as_the_traits_say() {
        let mut given_up = 0;
        for seed in 0..400 {
            let mut client = Client::new(Traits { gives_up_late: 0.5, ..SURE }, seed);
            client.sees(&view(0, lit(2), Technique::Automatic));
            client.sees(&view(100, lit(3), Technique::Automatic));
            client.sees(&view(200, lit(4), Technique::Automatic));
            given_up += u32::from(client.next_edge() == Moment::NEVER);
        }
        assert!((150..250).contains(&given_up), "{given_up}");
    }

    #[test]
    fn step_scanning_moves_on_and_then_takes() {
        let mut client = Client::new(SURE, 1);
        client.sees(&view(0, lit(0), Technique::Step));
        assert_eq!(client.edge(), Some((MOVES, true)));
        client.edge();
        client.sees(&view(2_000_000, lit(2), Technique::Step));
        assert_eq!(client.edge(), Some((TAKES, true)));
        let mut waits = Client::new(SURE, 1);
        waits.sees(&view(0, lit(2), Technique::StepAutoAccept));
        assert_eq!(waits.next_edge(), Moment::NEVER);
    }

    #[test]
    fn inverse_scanning_holds_until_the_wanted_entry() {
        let mut client = Client::new(SURE, 1);
        client.sees(&view(0, Lit::Nothing, Technique::Inverse));
        assert_eq!(client.edge(), Some((MOVES, true)));
        client.sees(&view(2_000_000, lit(1), Technique::Inverse));
        let waits = client.next_edge();
        client.sees(&view(3_000_000, lit(2), Technique::Inverse));
        assert!(client.next_edge() < waits && client.next_edge() > Moment(3_000_000 + 120_000));
        assert_eq!(client.edge(), Some((MOVES, false)));
    }

    #[test]
    fn one_who_stops_does_nothing_more_and_one_who_lets_be_tries_no_second_time() {
        let mut stops = Client::new(Traits { stops_after_s: Some(1.0), ..SURE }, 1);
        stops.sees(&view(1_000_000, lit(2), Technique::Automatic));
        assert_eq!(stops.next_edge(), Moment::NEVER);
        let mut traits = SURE;
        traits.recovery.tries_again = 0.0;
        let mut lets_be = Client::new(traits, 1);
        lets_be.told(Moment(0), Told::Trial { again: true });
        lets_be.sees(&view(0, lit(2), Technique::Automatic));
        assert_eq!(lets_be.next_edge(), Moment::NEVER);
        lets_be.told(Moment(0), Told::Trial { again: false });
        lets_be.sees(&view(0, lit(2), Technique::Automatic));
        assert!(lets_be.next_edge() < Moment::NEVER);
    }
}
