//! The switch filter: raw edges in, presses that count out. One machine for each switch.
//!
//! It knows nothing of scanning. It works in the stamps of the edges; all times are microseconds.
//!
//! - A change accepted at `t` makes the contact deaf until `t + debounce`; then the raw level is
//!   looked at again, and if it differs that change is accepted, with the stamp of the last raw edge.
//! - A press ends once the contact has stayed open for the drop-out tolerance.
//! - What waits for a contact that is held (hold time, long press, stuck limit) waits on while the
//!   raw contact is open, and comes due at the instant at which it has closed again.
//! - A press whose edge lies in `[start, start + lockout)` never counts.
//! - After a long press or past the stuck limit, a press that has not counted yet never will.
//! - New rules take effect with the next press.
//!
//! It never reads a clock and never allocates. Deadlines are derived from the state, never stored.

use super::effect::{Activation, Ignored, Switch};
use super::rules::FilterRules;
use crate::time::{Moment, Span};

/// A restarting lockout that has lasted this long is reported.
const SHUT_OUT_AFTER: Span = Span(5_000_000);

/// What the filter says about its switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Signal {
    /// The contact closed. `counts` is false inside a lockout.
    Pressed { edge: Moment, counts: bool },
    /// The press counts.
    Activated(Activation),
    /// The press does not count.
    NotCounted { pressed: Moment, why: Ignored },
    /// The contact opened for good.
    Released { pressed: Moment, edge: Moment },
    /// Held for the long-press time.
    LongPress,
    /// Held past the stuck limit.
    Stuck,
    /// A stuck switch was let go.
    Unstuck,
    /// A restarting lockout has shut the client out for five seconds.
    ShutOut,
}

/// Who hears what a filter says.
pub(super) trait Listener {
    fn hears(&mut self, signal: Signal);
}

/// One switch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Filter {
    switch: Switch,
    rules: FilterRules,
    /// Rules that wait for the next press.
    next_rules: Option<FilterRules>,
    /// The raw contact is closed.
    raw: bool,
    /// Stamp of the last raw change.
    raw_since: Moment,
    /// Until here changes are contact bounce.
    deaf_until: Moment,
    phase: Phase,
    lockout: Lockout,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Phase {
    Open,
    /// Closed, and since `solid` not waiting for anything to settle.
    Held {
        press: Press,
        solid: Moment,
    },
    /// Open since `opened`, seen at `seen`; the press goes on if the contact comes back in time.
    Dropping {
        press: Press,
        opened: Moment,
        seen: Moment,
    },
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Press {
    edge: Moment,
    fate: Fate,
    stuck_limit: Span,
    long: bool,
    stuck: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fate {
    /// Not decided yet.
    Pending,
    /// It has counted.
    Counted,
    /// It began inside a lockout.
    Ignored,
    /// It was a long press or a stuck switch.
    Spent,
}

/// A lockout. The default is over before it began.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Lockout {
    since: Moment,
    end: Moment,
    told: bool,
}

#[derive(Clone, Copy)]
enum Due {
    Settle,
    Hold,
    Long,
    Stuck,
    Release,
    ShutOut,
}

impl Filter {
    pub fn new(switch: Switch, rules: FilterRules) -> Filter {
        Filter {
            switch,
            rules,
            next_rules: None,
            raw: false,
            raw_since: Moment::START,
            deaf_until: Moment::START,
            phase: Phase::Open,
            lockout: Lockout::default(),
        }
    }

    /// New rules, from the next press on.
    pub fn set(&mut self, rules: FilterRules) {
        self.next_rules = Some(rules);
    }

    /// A raw change with stamp `at`. `stuck_limit` is used if a press begins.
    #[inline]
    pub fn edge(&mut self, at: Moment, down: bool, stuck_limit: Span, out: &mut impl Listener) {
        if down == self.raw {
            return;
        }
        self.raw = down;
        self.raw_since = at;
        if at >= self.deaf_until && self.raw != self.closed() {
            self.accept(at, stuck_limit, out);
        }
    }

    /// The switch is at rest and nothing holds back a press with stamp `at`, nor its end.
    #[inline]
    pub fn is_clear_at(&self, at: Moment) -> bool {
        let FilterRules { debounce, drop_out, hold, on_release, .. } = self.rules;
        let at_once = debounce.is_zero() && drop_out.is_zero() && hold.is_zero() && !on_release;
        let at_rest = self.phase == Phase::Open && !self.raw && self.next_rules.is_none();
        at_once && at_rest && at >= self.deaf_until && at >= self.lockout.end
    }

    /// Both edges of a press at `at`, where [`Filter::is_clear_at`].
    #[inline]
    pub fn tap(&mut self, at: Moment, out: &mut impl Listener) {
        self.counts_at(at);
        out.hears(Signal::Pressed { edge: at, counts: true });
        out.hears(Signal::Activated(Activation { switch: self.switch, pressed: at, accepted: at }));
        out.hears(Signal::Released { pressed: at, edge: at });
    }

    /// The same for one who says by itself what a press does.
    #[inline]
    pub fn counts_at(&mut self, at: Moment) {
        self.raw_since = at;
        self.deaf_until = at;
        self.lockout = Lockout { since: at, end: at + self.rules.lockout, told: false };
    }

    /// When something happens next without an edge; [`Moment::NEVER`] if nothing does.
    #[inline]
    pub fn deadline(&self) -> Moment {
        self.next().0
    }

    /// Does what is due at the deadline; the caller has seen that it has come.
    #[inline]
    pub fn run(&mut self, stuck_limit: Span, out: &mut impl Listener) {
        let (at, due) = self.next();
        match due {
            Due::Settle => self.accept(at, stuck_limit, out),
            Due::Hold => self.count(at, out),
            Due::Long => self.held_too_long(false, out),
            Due::Stuck => self.held_too_long(true, out),
            Due::Release => self.release(at, out),
            Due::ShutOut => {
                self.lockout.told = true;
                out.hears(Signal::ShutOut);
            }
        }
    }

    /// The level after debouncing.
    fn closed(&self) -> bool {
        matches!(self.phase, Phase::Held { .. })
    }

    #[inline]
    fn next(&self) -> (Moment, Due) {
        let contact = if self.raw == self.closed() {
            match self.phase {
                Phase::Open => (Moment::NEVER, Due::Release),
                Phase::Held { press, solid } => self.next_while_held(press, solid.max(self.raw_since)),
                Phase::Dropping { opened, seen, .. } => (self.release_due(opened, seen), Due::Release),
            }
        } else {
            (self.deaf_until, Due::Settle)
        };
        earlier(contact, (self.shut_out_due(), Due::ShutOut))
    }

    #[inline]
    fn next_while_held(&self, press: Press, solid: Moment) -> (Moment, Due) {
        let due = |wanted: bool, span: Span| if wanted { (press.edge + span).max(solid) } else { Moment::NEVER };
        let waits_for_hold = press.fate == Fate::Pending && !self.rules.on_release;
        let hold = (due(waits_for_hold, self.rules.hold), Due::Hold);
        let has_long = !self.rules.long_press.is_zero() && !press.long && press.fate != Fate::Ignored;
        let long = (due(has_long, self.rules.long_press), Due::Long);
        let stuck = (due(!press.stuck, press.stuck_limit), Due::Stuck);
        earlier(earlier(hold, long), stuck)
    }

    #[inline]
    fn release_due(&self, opened: Moment, seen: Moment) -> Moment {
        (opened + self.rules.drop_out).max(seen).max(self.raw_since)
    }

    #[inline]
    fn shut_out_due(&self) -> Moment {
        if !self.rules.lockout_restarts || self.lockout.told {
            return Moment::NEVER;
        }
        let due = self.lockout.since + SHUT_OUT_AFTER;
        if self.lockout.end > due { due } else { Moment::NEVER }
    }

    /// The raw level becomes the level.
    #[inline]
    fn accept(&mut self, at: Moment, stuck_limit: Span, out: &mut impl Listener) {
        if self.phase == Phase::Open
            && let Some(rules) = self.next_rules.take()
        {
            self.rules = rules;
        }
        self.deaf_until = at + self.rules.debounce;
        match self.phase {
            Phase::Open => self.press(at, stuck_limit, out),
            Phase::Dropping { press, .. } => self.phase = Phase::Held { press, solid: at },
            Phase::Held { press, .. } => {
                self.phase = Phase::Dropping { press, opened: self.raw_since, seen: at };
                if self.release_due(self.raw_since, at) == at {
                    self.release(at, out);
                }
            }
        }
    }

    #[inline]
    fn press(&mut self, at: Moment, stuck_limit: Span, out: &mut impl Listener) {
        let edge = self.raw_since;
        let counts = edge >= self.lockout.end;
        let fate = if counts { Fate::Pending } else { Fate::Ignored };
        self.phase = Phase::Held { press: Press { edge, fate, stuck_limit, long: false, stuck: false }, solid: at };
        out.hears(Signal::Pressed { edge, counts });
        if !counts {
            out.hears(Signal::NotCounted { pressed: edge, why: Ignored::Lockout });
            self.restart_lockout(edge, true);
        } else if self.rules.hold.is_zero() && !self.rules.on_release {
            self.count(at, out);
        }
    }

    /// The press in progress counts, before its release.
    #[inline]
    fn count(&mut self, at: Moment, out: &mut impl Listener) {
        let Phase::Held { press, .. } = &mut self.phase else { return };
        press.fate = Fate::Counted;
        let pressed = press.edge;
        self.start_lockout(pressed, true);
        out.hears(Signal::Activated(Activation { switch: self.switch, pressed, accepted: at }));
    }

    fn held_too_long(&mut self, stuck: bool, out: &mut impl Listener) {
        let Phase::Held { press, .. } = &mut self.phase else { return };
        if press.fate == Fate::Pending {
            press.fate = Fate::Spent;
        }
        *if stuck { &mut press.stuck } else { &mut press.long } = true;
        out.hears(if stuck { Signal::Stuck } else { Signal::LongPress });
    }

    #[inline]
    fn release(&mut self, at: Moment, out: &mut impl Listener) {
        let Phase::Dropping { press, opened, .. } = self.phase else { return };
        self.phase = Phase::Open;
        out.hears(Signal::Released { pressed: press.edge, edge: opened });
        if press.stuck {
            out.hears(Signal::Unstuck);
        }
        match press.fate {
            Fate::Ignored => self.restart_lockout(opened, false),
            Fate::Counted | Fate::Spent => self.start_lockout(opened, false),
            Fate::Pending if self.rules.on_release && opened.since(press.edge) >= self.rules.hold => {
                self.start_lockout(press.edge, true);
                self.start_lockout(opened, false);
                out.hears(Signal::Activated(Activation { switch: self.switch, pressed: opened, accepted: at }));
            }
            Fate::Pending => out.hears(Signal::NotCounted { pressed: press.edge, why: Ignored::TooShort }),
        }
    }

    /// Starts the lockout if `from_press` is the edge from which it counts.
    fn start_lockout(&mut self, start: Moment, from_press: bool) {
        if from_press == self.rules.lockout_from_press {
            self.lockout = Lockout { since: start, end: start + self.rules.lockout, told: false };
        }
    }

    fn restart_lockout(&mut self, start: Moment, from_press: bool) {
        if self.rules.lockout_restarts && from_press == self.rules.lockout_from_press {
            self.lockout.end = self.lockout.end.max(start + self.rules.lockout);
        }
    }
}

#[inline]
fn earlier(first: (Moment, Due), second: (Moment, Due)) -> (Moment, Due) {
    if second.0 < first.0 { second } else { first }
}
