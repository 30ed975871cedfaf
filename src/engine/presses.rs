//! What a press does.

use super::Engine;
use super::effect::{Activation, Effect, Ignored, Lit, Role, Switch, Why};
use super::filter::{Filter, Listener, Signal};
use super::roles;
use super::scan::{Clock, Scan, Scanner, State};
use super::screen::Flash;
use super::sink::Sink;
use super::tree::{Entry, EntryIx, ScanTree};
use crate::settings::Technique;
use crate::time::{Moment, Span};

/// In inverse scanning a switch may be held for all loops and this much more.
const STUCK_BEYOND_LOOPS: Span = Span::from_ms(5_000);
/// Loops that "no limit" stands for when a switch held too long has to be noticed.
const STUCK_LOOPS: u32 = 20;

impl Engine {
    /// Runs the filter deadlines of one instant.
    pub(super) fn run_filters(&mut self, at: Moment, sink: &mut impl Sink) {
        self.scanner.reach(at);
        for (index, filter) in self.filters.iter_mut().enumerate() {
            if filter.deadline() == at {
                let limit = self.scanner.stuck_limit();
                let switch = Switch(index as u8);
                filter.run(limit, &mut ToScanner { scanner: &mut self.scanner, switch, sink });
            }
        }
        self.filters_changed();
    }

    /// A raw change of a switch, as [`Engine::input`] takes it: `down` when it closed.
    #[inline]
    pub fn edge(&mut self, at: Moment, switch: Switch, down: bool, sink: &mut impl Sink) {
        self.advance(at, sink);
        let index = usize::from(switch.0);
        while self.filters.len() <= index {
            let next = Switch(self.filters.len() as u8);
            self.filters.push(Filter::new(next, self.filter_rules));
        }
        let limit = self.scanner.stuck_limit();
        self.filters[index].edge(at, down, limit, &mut ToScanner { scanner: &mut self.scanner, switch, sink });
        self.filters_changed();
    }

    /// The switch closes and opens again at once: the same as its two edges with one stamp.
    #[inline(always)]
    pub fn tap(&mut self, at: Moment, switch: Switch, sink: &mut impl Sink) {
        self.advance(at, sink);
        match self.filters.get_mut(usize::from(switch.0)) {
            Some(filter) if filter.is_clear_at(at) => {
                filter.tap(at, &mut ToScanner { scanner: &mut self.scanner, switch, sink });
                if self.filter_rules.lockout_restarts {
                    self.filters_changed();
                }
            }
            _ => {
                self.edge(at, switch, true, sink);
                self.edge(at, switch, false, sink);
            }
        }
    }

    #[inline]
    fn filters_changed(&mut self) {
        self.filters_due = self.filters.iter().fold(Moment::NEVER, |due, filter| due.min(filter.deadline()));
    }
}

/// Hands on what the filter of a switch says.
struct ToScanner<'a, S> {
    scanner: &'a mut Scanner,
    switch: Switch,
    sink: &'a mut S,
}

impl<S: Sink> Listener for ToScanner<'_, S> {
    // A filter says one certain thing in each place; inlined, only that arm of the match is left there.
    #[inline(always)]
    fn hears(&mut self, signal: Signal) {
        self.scanner.signal(self.switch, signal, self.sink);
    }
}

impl Scanner {
    /// How long a switch may be held.
    #[inline]
    fn stuck_limit(&self) -> Span {
        if self.rules.technique != Technique::Inverse {
            return self.rules.stuck_limit;
        }
        let group = match self.state {
            State::Ready { group } | State::Pause { group, .. } => group,
            State::Lit(scan) => scan.group,
            State::Idle { .. } => ScanTree::TOP,
        };
        let loops = if group == ScanTree::TOP { self.rules.loops_top } else { self.rules.loops_inside };
        let count = self.tree.group(group).entries.len() as u64;
        let pass = self.first_extra(group) + self.rules.interval.times(count);
        pass.times(u64::from(if loops == u32::MAX { STUCK_LOOPS } else { loops })) + STUCK_BEYOND_LOOPS
    }

    /// What the filter of a switch says.
    #[inline(always)]
    fn signal(&mut self, switch: Switch, signal: Signal, sink: &mut impl Sink) {
        match signal {
            Signal::Pressed { edge, counts } => {
                self.tell(Effect::Pressed { switch, edge }, sink);
                if counts {
                    self.closed(switch, sink);
                }
            }
            Signal::Activated(by) => {
                self.tell(Effect::Activated(by), sink);
                self.activated(by, sink);
                self.decided();
            }
            Signal::NotCounted { pressed, why } => {
                self.tell(Effect::NotCounted { switch, pressed, why }, sink);
                self.decided();
            }
            Signal::Released { pressed, edge } => {
                self.tell(Effect::Released { switch, pressed, edge }, sink);
                self.decided();
            }
            Signal::LongPress => {
                self.tell(Effect::LongPress { switch }, sink);
                self.decided();
                self.long_press(sink);
            }
            Signal::Stuck => {
                self.tell(Effect::Stuck { switch }, sink);
                if self.is_scanning() {
                    self.screen.use_up();
                    self.stop(Why::Stuck, false, sink);
                }
            }
            Signal::Unstuck => self.tell(Effect::Unstuck { switch }, sink),
            Signal::ShutOut => self.tell(Effect::ShutOut { switch }, sink),
        }
    }

    /// The contact closed in a press that may count.
    #[inline]
    fn closed(&mut self, switch: Switch, sink: &mut impl Sink) {
        if self.rules.technique == Technique::Inverse {
            match (self.state, self.role(switch)) {
                (State::Ready { group }, Some(Role::Select)) => self.first_entry(group, self.now, sink),
                (State::Idle { armed: true }, Some(Role::Select)) => self.first_entry(ScanTree::TOP, self.now, sink),
                _ => {}
            }
        } else if self.rules.stands
            && let State::Lit(scan) = &mut self.state
            && let Clock::At(at) = scan.clock
        {
            scan.clock = Clock::Stands(at.since(self.now));
        }
    }

    /// The press that held the scan has been decided.
    #[inline]
    fn decided(&mut self) {
        if let State::Lit(scan) = &mut self.state
            && let Clock::Stands(left) = scan.clock
        {
            scan.clock = Clock::At(self.now + left);
        }
    }

    fn long_press(&mut self, sink: &mut impl Sink) {
        if let State::Lit(Scan { group, .. }) | State::Ready { group } = self.state {
            self.screen.use_up();
            self.back(group, self.now, Why::LongPress, sink);
        }
    }

    /// A press counts.
    #[inline]
    fn activated(&mut self, by: Activation, sink: &mut impl Sink) {
        let inverse = self.rules.technique == Technique::Inverse;
        let steps = matches!(self.rules.technique, Technique::Step | Technique::StepAutoAccept);
        match self.role(by.switch) {
            Some(Role::Call) => self.tell(Effect::Called { by }, sink),
            Some(Role::Select) if inverse && by.pressed < self.acts_from => self.call_off(by, sink),
            _ if by.pressed < self.acts_from => self.not_counted(by, Ignored::NothingLit, sink),
            Some(Role::Select) => self.take(by, sink),
            Some(Role::Exit) => self.exit(by, sink),
            // A schedule is moved by nothing else.
            Some(Role::Step) if steps => self.step(by, sink),
            Some(Role::Back) if steps => self.step_back(by, sink),
            _ => self.not_counted(by, Ignored::NoRole, sink),
        }
    }

    /// What this switch does: as it was set, or else as the technique needs its first two.
    #[inline]
    fn role(&self, switch: Switch) -> Option<Role> {
        if let Some(roles) = &self.roles {
            return roles.get(usize::from(switch.0)).copied();
        }
        match self.rules.technique {
            Technique::Automatic => Some(Role::Select),
            technique => roles::usual(technique).get(usize::from(switch.0)).copied(),
        }
    }

    fn not_counted(&self, by: Activation, why: Ignored, sink: &mut impl Sink) {
        self.tell(Effect::NotCounted { switch: by.switch, pressed: by.pressed, why }, sink);
    }

    /// Takes what was on the screen at the press.
    #[inline]
    fn take(&mut self, by: Activation, sink: &mut impl Sink) {
        let stamp = if self.rules.at_acceptance { by.accepted } else { by.pressed };
        match self.screen.usable_at(stamp) {
            Some(&flash) if flash.lit != Lit::Nothing => self.act(flash, by, sink),
            _ if self.rules.technique == Technique::Inverse => self.call_off(by, sink),
            _ => self.start_by(by, sink),
        }
    }

    /// Starts the scan, if it waits for a press and the client has seen that it does.
    fn start_by(&mut self, by: Activation, sink: &mut impl Sink) {
        if self.waits_for_start() && self.screen.is_dark_at(by.pressed) {
            return self.first_entry(ScanTree::TOP, self.now, sink);
        }
        self.not_counted(by, Ignored::NothingLit, sink);
    }

    /// Inverse scanning: the switch was let go before anything had been shown. The next hold scans
    /// the same group.
    fn call_off(&mut self, by: Activation, sink: &mut impl Sink) {
        self.not_counted(by, Ignored::NothingLit, sink);
        if let State::Lit(scan) = self.state {
            self.screen.use_up();
            self.tell(Effect::Stopped { why: Why::Cancelled }, sink);
            self.state = State::Ready { group: scan.group };
            self.darken(sink);
        }
    }

    /// A press took what this highlight rests on.
    #[inline(always)]
    pub fn act(&mut self, flash: Flash, by: Activation, sink: &mut impl Sink) {
        let Flash { number, shown, lit: Lit::Entry { group, entry, .. }, .. } = flash else { return };
        self.screen.use_up();
        let latency_us = by.pressed.signed_us_since(shown);
        match self.tree.group(group).entries[usize::from(entry.0)] {
            Entry::Item(item) => {
                self.tell(Effect::Taken { number, group, entry, item, latency_us, shown, by }, sink);
                self.pause(group, entry, sink);
            }
            Entry::Group(into) => {
                self.tell(Effect::Entered { number, into, group, entry, latency_us, shown, by }, sink);
                self.begin(into, self.now, sink);
            }
            Entry::Exit => {
                self.tell(Effect::Left { group, why: Why::Exit, by: Some((by, shown)) }, sink);
                match self.tree.group(group).parent {
                    Some(parent) => self.begin(parent, self.now, sink),
                    None => self.stop(Why::Exit, self.rules.start_by_press, sink),
                }
            }
        }
    }

    /// The client moves the highlight on.
    fn step(&mut self, by: Activation, sink: &mut impl Sink) {
        match self.state {
            State::Lit(scan) => self.next_entry(scan, self.now, sink),
            State::Ready { group } => self.first_entry(group, self.now, sink),
            State::Idle { .. } | State::Pause { .. } => self.start_by(by, sink),
        }
    }

    /// The entry before this one, or the last one before the first.
    fn step_back(&mut self, by: Activation, sink: &mut impl Sink) {
        let State::Lit(scan) = self.state else { return self.not_counted(by, Ignored::NothingLit, sink) };
        let count = self.tree.group(scan.group).entries.len() as u16;
        let entry = EntryIx(scan.entry.0.checked_sub(1).unwrap_or(count - 1));
        self.light(Scan { entry, ..scan }, self.now, sink);
    }

    /// Leaves the group without its exit entry.
    fn exit(&mut self, by: Activation, sink: &mut impl Sink) {
        let (State::Lit(Scan { group, .. }) | State::Ready { group }) = self.state else {
            return self.not_counted(by, Ignored::NothingLit, sink);
        };
        self.screen.use_up();
        self.back(group, self.now, Why::ExitSwitch, sink);
    }

    /// The pause after a step is over: the entry is taken, if it has been seen.
    pub fn auto_accept(&mut self, sink: &mut impl Sink) {
        let flash = *self.screen.newest();
        if flash.shown == Moment::NEVER {
            return self.stalled(sink);
        }
        let by = Activation { switch: Switch(0), pressed: self.now, accepted: self.now };
        self.act(flash, by, sink);
    }
}
