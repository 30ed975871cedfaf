//! The pacing: which scan interval comes next, and where a pointer works the menu, which dwell time.
//!
//! The rules, exactly:
//!
//! - Nothing changes within a selection: whoever drives the pacing hands in finished attempts, and puts
//!   an interval in force from the next one.
//! - The first eight presses under the moving highlight still calibrate: at the end of the block in which
//!   they are reached the interval goes where the belief says, in one step.
//! - From then on it gets faster at block ends only, by at most a tenth, and not while presses get
//!   slower, more is let go by, or presses are no reactions.
//! - Two failed attempts among the last five slow it down at once, as far as the belief says, and at most
//!   by half as long again; where it says that this was chance, not at all, and
//!   by a tenth where an error had no latency to learn from. The count then begins anew.
//! - At block ends it also gets slower where the belief says so.
//! - With a pointer an error is another tile that was taken, and the belief is about stays ([`super::stays`]). What
//!   nobody took is no error of a dwell time that is too short. It does not get longer than the client is seen to hold.
//! - The clinician's limits hold for every value, and a lock keeps the value there is.
//!
//! It never reads a clock and never draws by chance.

use super::belief::{FASTEST_S, Needed};
use super::change::{Change, Reason};
use super::compare::STEPPED;
use super::evidence::Evidence;
use super::start::Start;
use super::stays::Pointed;
use super::trouble::Trouble;
use crate::session::trial::{Outcome, Trial};
use crate::settings::{Id, Kind};
use crate::time::Span;

/// Presses under the moving highlight that still calibrate.
pub const CALIBRATION: usize = 8;
/// Of all intervals, the least part that a block end may leave.
const FASTER: f64 = 0.9;
/// What two errors lead to: at least and at most this many times the interval.
const SLOWER: [f64; 2] = [1.0, 1.5];
/// The least where an error taught the belief nothing: an omission, a press before its time.
const UNSEEN: f64 = 1.1;
/// Attempts among which errors are counted, and errors that slow down.
const ERRORS: (usize, usize) = (5, 2);
/// Standard deviations of the belief that the aim lies on the slow side, for even presses and for those that
/// get slower. Below 0: what is slowed down for stays slow longer than what is sped up for. This and the next
/// three were chosen in `benches/pacing.rs`.
const CAUTION: [f64; 2] = [-0.6, -0.1];
/// Differences below this are none: towards faster, and towards slower where presses do tire.
const NEAR: f64 = 0.02;
/// The same towards slower for even presses: each slow-down is hard to take back.
const NEAR_SLOWER: f64 = 0.1;
/// Speeding up has to be this sure to leave enough success.
const SURE: f64 = 0.5;
/// Share of presses faster than any reaction from which the presses follow a rhythm.
const RHYTHM: f64 = 0.25;
/// Advice of so many days ago is hardly believed.
pub(crate) const A_YEAR: u32 = 365;
/// What is set are whole hundredths of a second.
const STEP_US: f64 = 10_000.0;

/// What the clinician allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The shortest interval.
    pub shortest: Span,
    /// The longest interval.
    pub longest: Span,
    /// The interval stays as it is.
    pub locked: bool,
}

impl Default for Limits {
    fn default() -> Limits {
        Limits::of(Id::ScanInterval)
    }
}

impl Limits {
    /// Where the clinician says nothing. A scan interval is not below 0.35 s, where a highlight could change three
    /// times a second (WCAG 2.3.1); a dwell time not where an ordinary look takes an item, which the setting says.
    /// The longest is the setting's own.
    #[must_use]
    pub fn of(paces: Id) -> Limits {
        let setting = paces.setting();
        let longest = if let Kind::Time { max, .. } = setting.kind { Span(max as u64) } else { Span::from_ms(20_000) };
        let looks = setting.caution.filter(|_| paces == Id::Dwell).map(|caution| Span(caution.below as u64));
        Limits { shortest: looks.unwrap_or(Span::from_ms(350)), longest, locked: false }
    }
}

/// One finished attempt at a selection.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Attempt {
    /// How it ended.
    pub outcome: Outcome,
    /// Press minus lighting of the wanted entry, in seconds, where there was a press meant for it. With a pointer:
    /// from the start until it came to rest on what it took first.
    pub latency_s: Option<f64>,
    /// The whole trial was missed; a choice that was begun and then left is an error, but no omission.
    pub missed: bool,
    /// What a pointer did; `None` where none works the menu.
    pub pointed: Option<Pointed>,
}

impl Attempt {
    /// An attempt as the session judged it; `None` for one that tells nothing: broken off, helped, left out.
    #[must_use]
    pub fn of(trial: &Trial) -> Option<Attempt> {
        let counts = Trial { scored: true, ..trial.clone() }.counts();
        let latency_s = trial.meant().and_then(|press| press.latency_us).map(|latency| latency as f64 / 1e6);
        counts.then_some(Attempt { outcome: trial.outcome, latency_s, missed: trial.was_missed(), pointed: None })
    }

    /// The same worked by a pointer.
    #[must_use]
    pub fn pointed(trial: &Trial, pointed: Pointed) -> Option<Attempt> {
        let first = trial.presses.iter().find(|press| press.outcome != Outcome::Extra);
        let latency_s = first.map(|press| press.pressed.since(trial.began).as_seconds());
        Attempt::of(trial).map(|attempt| Attempt { latency_s, pointed: Some(pointed), ..attempt })
    }

    /// It asks for more time: with a pointer only what took something else does.
    fn asks_for_more(&self) -> bool {
        self.outcome != Outcome::Hit && !(self.pointed.is_some() && self.outcome == Outcome::Omission)
    }
}

/// The pacing of one session.
#[derive(Clone, Debug)]
pub struct Pacing {
    /// What is set: the scan interval or the dwell time.
    paces: Id,
    success: f64,
    limits: Limits,
    interval: Span,
    belief: Evidence,
    trouble: Trouble,
    calibrated: bool,
    /// Whether each of the last attempts failed; emptied by a slow-down.
    failed: Vec<bool>,
    /// One of those failures had no latency that the belief could learn from.
    unseen: bool,
    /// Presses in all, and those faster than any reaction.
    pressed: (usize, usize),
    /// It goes by the steps of a plan towards faster, not by the belief.
    stepped: bool,
}

impl Pacing {
    /// A session that begins. `success` is the wanted share of presses in time, above 0 and below 1.
    #[must_use]
    pub fn new(start: &Start, success: f64, limits: Limits) -> Pacing {
        Pacing::of(Id::ScanInterval, start, success, limits)
    }

    /// The same of the scan interval or of the dwell time.
    #[must_use]
    pub fn of(paces: Id, start: &Start, success: f64, limits: Limits) -> Pacing {
        Pacing {
            paces,
            success,
            interval: towards(limits.shortest, start.interval_s).max(limits.shortest).min(limits.longest),
            limits,
            belief: Evidence::of(paces, start, success),
            trouble: Trouble::default(),
            calibrated: false,
            failed: Vec::new(),
            unseen: false,
            pressed: (0, 0),
            stepped: false,
        }
    }

    /// A session that goes by published steps towards faster ([`STEPPED`]), whatever was advised. A step is taken
    /// at the end of a block with at most one error; where it is more than a tenth it takes two blocks. All else
    /// holds: two errors in five slow it down, limits and lock are kept, and it never speeds up in trouble.
    #[must_use]
    pub fn stepped(success: f64, limits: Limits) -> Pacing {
        let first = STEPPED[0].as_seconds();
        Pacing { stepped: true, ..Pacing::new(&Start::from_advice(first, A_YEAR), success, limits) }
    }

    /// Which setting it sets.
    #[must_use]
    pub fn paces(&self) -> Id {
        self.paces
    }

    /// The interval in force.
    #[must_use]
    pub fn interval(&self) -> Span {
        self.interval
    }

    /// Whether enough presses under the moving highlight are known.
    #[must_use]
    pub fn is_calibrated(&self) -> bool {
        self.calibrated
    }

    /// What is believed of the needed interval.
    #[must_use]
    pub fn needed(&self) -> Needed {
        self.belief.needed()
    }

    /// The clinician sets limits; they hold at once.
    pub fn limit(&mut self, limits: Limits) {
        self.limits = limits;
        self.interval = self.interval.max(limits.shortest).min(limits.longest);
    }

    /// An attempt is over. A change is to be in force from the next one.
    pub fn attempted(&mut self, attempt: Attempt) -> Option<Change> {
        if let Some(latency) = attempt.latency_s {
            self.pressed.0 += 1;
            self.pressed.1 += usize::from(latency < FASTEST_S && attempt.pointed.is_none());
        }
        let learned = self.belief.learn(&attempt);
        self.trouble.add(attempt.missed, attempt.latency_s);
        self.belief.drifts(self.trouble.drifts());
        let failed = attempt.asks_for_more();
        self.failed.push(failed);
        // A choice that was begun and left has a latency, but not of the press that failed to come.
        self.unseen |= failed && (!learned || attempt.outcome == Outcome::Omission);
        let (window, most) = ERRORS;
        let failures = self.failed.iter().rev().take(window).filter(|failed| **failed).count();
        (failures >= most).then(|| {
            self.failed.clear();
            let least = if std::mem::take(&mut self.unseen) { UNSEEN } else { SLOWER[0] };
            let [least, most] = [least, SLOWER[1]].map(|times| times * self.interval.as_seconds());
            let aim = self.aim_s().clamp(least, most);
            self.change(aim, Reason::TwoErrors)
        })
    }

    /// A block is over: what comes next, and why.
    pub fn block_ended(&mut self) -> Change {
        if self.stepped {
            return self.next_step();
        }
        let interval = self.interval.as_seconds();
        let aim = self.aim_s();
        if !self.calibrated && self.belief.counted() < CALIBRATION {
            return self.keep(Reason::Calibrating);
        }
        if !std::mem::replace(&mut self.calibrated, true) && !self.presses_to_a_rhythm() {
            return self.change(aim, Reason::Calibrated);
        }
        let near = if self.trouble.tires() { NEAR } else { NEAR_SLOWER };
        if aim > interval * (1.0 + near) {
            return self.change(aim.min(SLOWER[1] * interval), Reason::Slower);
        }
        let faster = aim.max(FASTER * interval);
        if faster > interval * (1.0 - NEAR) || self.belief.enough(faster) < SURE {
            return self.keep(Reason::AboutRight);
        }
        match self.keeps() {
            Some(why) => self.keep(why),
            None => self.change(faster, Reason::Faster),
        }
    }

    fn next_step(&mut self) -> Change {
        self.calibrated |= self.belief.counted() >= CALIBRATION;
        let errors = self.failed.iter().rev().take(ERRORS.0).filter(|failed| **failed).count();
        match (STEPPED.iter().find(|step| **step < self.interval), self.keeps()) {
            (None, _) => self.keep(Reason::AboutRight),
            (_, Some(why)) => self.keep(why),
            _ if errors >= ERRORS.1 => self.keep(Reason::AboutRight),
            (Some(step), None) => {
                let faster = step.as_seconds().max(FASTER * self.interval.as_seconds());
                self.change(faster, Reason::Stepped)
            }
        }
    }

    /// What speaks against getting faster.
    fn keeps(&self) -> Option<Reason> {
        if self.presses_to_a_rhythm() {
            return Some(Reason::NoReactions);
        }
        if self.trouble.omissions_rise() {
            return Some(Reason::Omissions);
        }
        self.trouble.may_tire().then_some(Reason::Tiring)
    }

    fn presses_to_a_rhythm(&self) -> bool {
        let (all, early) = self.pressed;
        early as f64 >= RHYTHM * all as f64 && early > 0
    }

    fn aim_s(&self) -> f64 {
        self.belief.needed().beyond(CAUTION[usize::from(self.trouble.tires())])
    }

    /// Why a change came to nothing.
    fn kept(&self, wanted_s: f64) -> Reason {
        let inside = wanted_s > self.limits.shortest.as_seconds() && wanted_s < self.limits.longest.as_seconds();
        if inside { Reason::AboutRight } else { Reason::AtLimit }
    }

    fn keep(&self, why: Reason) -> Change {
        Change { paces: self.paces, from: self.interval, to: self.interval, why }
    }

    fn change(&mut self, wanted_s: f64, why: Reason) -> Change {
        if self.limits.locked {
            return self.keep(Reason::Locked);
        }
        let from = self.interval;
        let longest_s = self.belief.bears_s(self.success).max(from.as_seconds());
        if wanted_s > longest_s && longest_s <= from.as_seconds() {
            return self.keep(Reason::NotHeld);
        }
        let to = towards(from, wanted_s.min(longest_s)).max(self.limits.shortest).min(self.limits.longest);
        self.interval = to;
        Change { paces: self.paces, from, to, why: if from != to { why } else { self.kept(wanted_s) } }
    }
}

/// From `from` to `seconds` in whole steps, and never beyond.
fn towards(from: Span, seconds: f64) -> Span {
    let steps = seconds * 1e6 / STEP_US;
    let whole = if seconds < from.as_seconds() { libm::ceil(steps - 1e-6) } else { libm::floor(steps + 1e-6) };
    Span((whole.max(0.0) * STEP_US) as u64)
}

#[cfg(test)]
#[path = "pacing_tests.rs"]
mod tests;
