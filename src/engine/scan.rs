//! The scanner: where the highlight is and when it moves on.

use std::sync::Arc;

use super::effect::{Effect, Lit, Role, Why};
use super::pointer::Pointer;
use super::rules::{DwellRules, ScanRules};
use super::screen::Screen;
use super::sink::Sink;
use super::tree::{EntryIx, GroupIx, ScanTree};
use crate::settings::{AfterSelection, Settings, Technique};
use crate::time::{Moment, Span};

/// The highlight on one menu: moves by the clock and by presses that the filter let through.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Scanner {
    pub tree: Arc<ScanTree>,
    pub rules: ScanRules,
    pub screen: Screen,
    pub state: State,
    pub now: Moment,
    /// Presses before this no longer act.
    pub acts_from: Moment,
    /// Lags running.
    pub late_running: u8,
    /// Each highlight counts as shown this long after it was due, without a report.
    pub assume_shown: Option<Span>,
    /// Switch by switch; `None` while nobody has set them.
    pub roles: Option<Vec<Role>>,
    pub pointer: Pointer,
}

/// What the scanner does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    /// Nothing is lit. When `armed` a press starts the scan at the top.
    Idle { armed: bool },
    /// Nothing is lit; the client's next move lights the first entry of this group (inverse: the
    /// press; step with one switch: the first step).
    Ready { group: GroupIx },
    /// An entry is lit.
    Lit(Scan),
    /// Nothing is lit after a choice.
    Pause { until: Moment, group: GroupIx, entry: EntryIx },
}

/// An entry that is lit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Scan {
    pub group: GroupIx,
    pub entry: EntryIx,
    /// Passes over the group that came before.
    pub pass: u32,
    /// When the entry was due.
    pub due: Moment,
    /// When it was first due; before `due` after a stall.
    pub wanted: Moment,
    pub clock: Clock,
}

/// When the highlight moves on by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Clock {
    /// Then.
    At(Moment),
    /// This long after the press that holds it has been decided.
    Stands(Span),
    /// Once its frame has been shown, as if it had been due then.
    AtShown,
    /// Never.
    Never,
}

impl Scanner {
    pub fn new(tree: Arc<ScanTree>, settings: &Settings) -> Scanner {
        Scanner {
            tree,
            rules: ScanRules::new(settings),
            screen: Screen::new(),
            state: State::Idle { armed: false },
            now: Moment::START,
            acts_from: Moment::START,
            late_running: 0,
            assume_shown: None,
            roles: None,
            pointer: Pointer::new(DwellRules::new(settings)),
        }
    }

    /// Other settings, from the next entry on; another technique begins the group anew.
    pub fn set(&mut self, settings: &Settings, sink: &mut impl Sink) {
        let before = self.rules.technique;
        self.rules = ScanRules::new(settings);
        self.pointer.set(DwellRules::new(settings));
        if let State::Lit(Scan { group, .. }) | State::Ready { group } = self.state
            && before != self.rules.technique
        {
            self.screen.use_up();
            self.begin(group, self.now, sink);
        }
    }

    #[inline]
    pub fn is_scanning(&self) -> bool {
        !matches!(self.state, State::Idle { .. })
    }

    #[inline]
    pub fn waits_for_start(&self) -> bool {
        self.state == State::Idle { armed: true }
    }

    /// Goes on to this instant; never back.
    #[inline]
    pub fn reach(&mut self, now: Moment) {
        self.now = self.now.max(now);
    }

    #[inline]
    pub fn tell(&self, effect: Effect, sink: &mut impl Sink) {
        sink.effect(self.now, effect);
    }

    /// When the scanner has something to do.
    #[inline]
    pub fn due(&self) -> Moment {
        match &self.state {
            State::Idle { .. } | State::Ready { .. } => Moment::NEVER,
            State::Pause { until, .. } => *until,
            State::Lit(scan) => {
                let moves = if let Clock::At(at) = scan.clock { at } else { Moment::NEVER };
                let moves = moves.min(self.pointer_due());
                if self.assume_shown.is_some() { moves } else { moves.min(self.stall_due()) }
            }
        }
    }

    /// When the frame of the newest highlight is overdue.
    #[inline]
    fn stall_due(&self) -> Moment {
        let newest = self.screen.newest();
        if newest.shown == Moment::NEVER && newest.lit != Lit::Nothing {
            newest.due + self.rules.stall_limit
        } else {
            Moment::NEVER
        }
    }

    /// Does what is due at `at`.
    #[inline]
    pub fn run(&mut self, at: Moment, sink: &mut impl Sink) {
        match self.state {
            State::Idle { .. } | State::Ready { .. } => {}
            State::Pause { group, entry, .. } => self.after_pause(at, group, entry, sink),
            State::Lit(scan) if scan.clock == Clock::At(at) => self.move_on(scan, at, sink),
            State::Lit(scan) if self.pointer_due() <= at => self.pointer_runs(scan, at, sink),
            State::Lit(_) => self.stalled(sink),
        }
    }

    /// The time of the entry is up.
    #[inline]
    fn move_on(&mut self, scan: Scan, at: Moment, sink: &mut impl Sink) {
        if self.rules.technique == Technique::StepAutoAccept {
            return self.auto_accept(sink);
        }
        self.next_entry(scan, at, sink);
    }

    /// The entry after this one, in the next pass, or back one level when the loops are used up.
    #[inline]
    pub fn next_entry(&mut self, scan: Scan, at: Moment, sink: &mut impl Sink) {
        let count = self.tree.group(scan.group).entries.len() as u16;
        if scan.entry.0 + 1 < count {
            return self.light(Scan { entry: EntryIx(scan.entry.0 + 1), ..scan }, at, sink);
        }
        let loops = if scan.group == ScanTree::TOP { self.rules.loops_top } else { self.rules.loops_inside };
        let pass = scan.pass.saturating_add(1);
        if pass < loops {
            return self.light(Scan { entry: EntryIx(0), pass, ..scan }, at, sink);
        }
        self.back(scan.group, at, Why::Loops, sink);
    }

    /// Leaves the group without a press; at the top the scan stops.
    pub fn back(&mut self, group: GroupIx, at: Moment, why: Why, sink: &mut impl Sink) {
        match self.tree.group(group).parent {
            Some(parent) => {
                self.tell(Effect::Left { group, why, by: None }, sink);
                self.begin(parent, at, sink);
            }
            None => self.stop(why, why == Why::Loops, sink),
        }
    }

    /// Begins to scan a group at `at`, in the way of the technique.
    #[inline]
    pub fn begin(&mut self, group: GroupIx, at: Moment, sink: &mut impl Sink) {
        match self.rules.technique {
            Technique::Automatic | Technique::Step => self.first_entry(group, at, sink),
            Technique::StepAutoAccept | Technique::Inverse | Technique::Dwell => {
                self.pointer.clear();
                self.state = State::Ready { group };
                self.darken(sink);
            }
        }
    }

    #[inline]
    pub fn first_entry(&mut self, group: GroupIx, at: Moment, sink: &mut impl Sink) {
        self.light_at(group, EntryIx(0), at, sink);
    }

    /// Begins a pass at this entry.
    #[inline]
    fn light_at(&mut self, group: GroupIx, entry: EntryIx, at: Moment, sink: &mut impl Sink) {
        self.light(Scan { entry, ..Scan::first(group, at) }, at, sink);
    }

    /// Lights an entry that is due at `due`.
    #[inline]
    pub fn light(&mut self, scan: Scan, due: Moment, sink: &mut impl Sink) {
        let clock = self.clock(&scan, due);
        self.state = State::Lit(Scan { due, wanted: due, clock, ..scan });
        self.send(scan.lit(), due, sink);
    }

    /// When an entry that is lit at `from` gives way.
    #[inline]
    pub fn clock(&self, scan: &Scan, from: Moment) -> Clock {
        match self.rules.technique {
            Technique::Automatic | Technique::Inverse => Clock::At(from + self.time_of(scan)),
            Technique::Step | Technique::Dwell => Clock::Never,
            Technique::StepAutoAccept => Clock::At(from + self.rules.auto_accept),
        }
    }

    /// How long the entry stays lit.
    #[inline]
    pub fn time_of(&self, scan: &Scan) -> Span {
        let first = scan.entry == EntryIx(0) && (scan.pass == 0 || self.rules.first_on_every_pass);
        if first { self.rules.interval + self.first_extra(scan.group) } else { self.rules.interval }
    }

    #[inline]
    pub fn first_extra(&self, group: GroupIx) -> Span {
        if group == ScanTree::TOP { self.rules.first_after_start } else { self.rules.first_in_group }
    }

    #[inline]
    pub fn send(&mut self, lit: Lit, due: Moment, sink: &mut impl Sink) {
        let shown = self.assume_shown.map_or(Moment::NEVER, |lag| due + lag);
        let number = self.screen.send(due, shown, lit);
        self.tell(Effect::Highlight { number, due, lit }, sink);
    }

    /// Nothing is lit from now on.
    pub fn darken(&mut self, sink: &mut impl Sink) {
        if self.screen.newest().lit != Lit::Nothing {
            self.send(Lit::Nothing, self.now, sink);
        }
    }

    /// An item was taken.
    #[inline]
    pub fn pause(&mut self, group: GroupIx, entry: EntryIx, sink: &mut impl Sink) {
        if self.rules.after == AfterSelection::Stop {
            self.state = State::Idle { armed: self.rules.start_by_press };
            return self.darken(sink);
        }
        if self.rules.pause.is_zero() {
            return self.after_pause(self.now, group, entry, sink);
        }
        self.state = State::Pause { until: self.now + self.rules.pause, group, entry };
        self.darken(sink);
    }

    #[inline]
    fn after_pause(&mut self, at: Moment, group: GroupIx, entry: EntryIx, sink: &mut impl Sink) {
        let moves_itself = matches!(self.rules.technique, Technique::Automatic | Technique::Step);
        if self.rules.after == AfterSelection::CarryOn && moves_itself {
            let count = self.tree.group(group).entries.len() as u16;
            let entry = EntryIx((entry.0 + 1) % count);
            return self.light_at(group, entry, at, sink);
        }
        let group = if self.rules.after == AfterSelection::CarryOn { group } else { ScanTree::TOP };
        self.begin(group, at, sink);
    }

    /// The scan stops; when `armed` a press starts it again.
    pub fn stop(&mut self, why: Why, armed: bool, sink: &mut impl Sink) {
        self.state = State::Idle { armed };
        self.late_running = 0;
        self.tell(Effect::Stopped { why }, sink);
        self.darken(sink);
    }

    /// Stops without a word: nothing is lit and nothing acts until the next start.
    pub fn halt(&mut self, sink: &mut impl Sink) {
        self.state = State::Idle { armed: false };
        self.late_running = 0;
        self.screen.use_up();
        self.darken(sink);
    }
}

impl Scan {
    /// The first entry of a group in its first pass, due at `at`.
    pub fn first(group: GroupIx, at: Moment) -> Scan {
        Scan { group, entry: EntryIx(0), pass: 0, due: at, wanted: at, clock: Clock::Never }
    }

    pub fn lit(&self) -> Lit {
        Lit::Entry { group: self.group, entry: self.entry, pass: self.pass }
    }
}
