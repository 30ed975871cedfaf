//! The machine: samples in, raw edges of up to four switches out.
//!
//! A press is stamped when it is known which one it is, and lasts as long as the breath did. On a side
//! without a hard press that is the least duration after its beginning; with one, a soft press is known
//! only once the level has stopped rising or is back at rest, so that a hard one is never first taken
//! for a soft one. The beginning of the breath is told beside it.

use serde::{Deserialize, Serialize};

use super::breath::{Breath, Due, Rules};
use super::rest::Rest;
use super::thin::Thin;
use super::{Calibration, Refusal, Side, Strength, Thresholds, Way};
use crate::settings::Settings;
use crate::time::{Moment, Span};

/// A level that departs from rest for longer than this is no breath.
const LONGEST: Span = Span::from_ms(15_000);
/// A level that has gone this part of the way from soft to hard has grown.
const GROWS: f64 = 8.0;
/// After a press the level may swing through to the other side for this long.
const REBOUND: Span = Span::from_ms(150);
/// So many departures that were too short to count, within [`TREMBLES_WITHIN`], are told.
const TREMBLES: u32 = 10;
const TREMBLES_WITHIN: Span = Span::from_ms(10_000);

/// Something that the machine says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told {
    /// A switch closes (`down`) or opens.
    Edge {
        /// Which one.
        way: Way,
        /// It closes.
        down: bool,
    },
    /// It is known which press this is.
    Press {
        /// Which one.
        way: Way,
        /// When the level left rest.
        began: Moment,
        /// How far it has gone by now.
        peak: f64,
    },
    /// Something is wrong with the level.
    Trouble(Trouble),
}

/// What can be wrong with a level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Trouble {
    /// It stands away from rest for longer than any breath.
    Stands,
    /// It has come to rest elsewhere than where it was calibrated.
    Moved,
    /// It comes and goes at a threshold, too shortly to count.
    Trembles,
    /// The device gave something that is no level.
    Unusable,
}

/// A level as switches.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    calibration: Calibration,
    thresholds: Thresholds,
    /// The presses that are asked for.
    ways: Vec<Way>,
    least: Span,
    settling: Span,
    rest: Rest,
    thin: Thin,
    breath: Option<Breath>,
    /// A switch that is down, and when it opens; never while its breath goes on.
    down: Option<(Way, Moment)>,
    /// The side to which the level may still swing through, and until when that begins.
    rebound: Option<(Side, Moment)>,
    swings: bool,
    /// The first of the last departures that were too short, and how many there were.
    short: (Moment, u32),
    unusable: bool,
}

impl Level {
    /// The switches of a calibrated level; `ways` are those that do something.
    ///
    /// # Errors
    /// When the thresholds lie inside the noise of the rest.
    pub fn new(calibration: &Calibration, ways: &[Way], settings: &Settings) -> Result<Level, Refusal> {
        let thresholds = calibration.thresholds(settings)?;
        Ok(Level {
            calibration: calibration.clone(),
            thresholds,
            ways: ways.to_vec(),
            least: settings.level_least(),
            settling: settings.level_settling(),
            rest: Rest::new(calibration, &thresholds),
            thin: Thin::new(calibration, thresholds),
            breath: None,
            down: None,
            rebound: None,
            swings: false,
            short: (Moment::START, 0),
            unusable: false,
        })
    }

    /// Takes other settings from now on.
    ///
    /// # Errors
    /// When their thresholds lie inside the noise of the rest; the ones before stay.
    pub fn set(&mut self, settings: &Settings) -> Result<(), Refusal> {
        self.thresholds = self.calibration.thresholds(settings)?;
        (self.least, self.settling) = (settings.level_least(), settings.level_settling());
        self.rest.set(&self.thresholds);
        self.thin.set(self.thresholds);
        Ok(())
    }

    /// The last thing that came was no level.
    #[must_use]
    pub fn is_unusable(&self) -> bool {
        self.unusable
    }

    /// The thresholds in force.
    #[must_use]
    pub fn thresholds(&self) -> &Thresholds {
        &self.thresholds
    }

    /// Where rest is now.
    #[must_use]
    pub fn rest(&self) -> f64 {
        self.rest.level
    }

    /// Whether a sample changes anything: one that does not has to be left out, of the log as well.
    #[must_use]
    pub fn matters(&self, at: Moment, value: i32) -> bool {
        self.thin.matters(at, value, self.rest.level)
    }

    /// The level is this from `at` on; what was due before is done first. A stamp before that of the last
    /// sample counts as the same.
    pub fn level(&mut self, at: Moment, value: i32, out: &mut Vec<(Moment, Told)>) {
        self.advance(at, out);
        if let Some((since, before)) = self.thin.last.replace((at, value))
            && self.breath.is_none()
        {
            self.rest.follow(before, at.since(since));
        }
        self.rest.look(at, value);
        self.look(at, value);
        self.advance(at, out);
    }

    /// The device gave something that is no level; said once, until it gives a level again.
    pub fn unusable(&mut self, at: Moment, out: &mut Vec<(Moment, Told)>) {
        self.advance(at, out);
        if !std::mem::replace(&mut self.unusable, true) {
            out.push((at, Told::Trouble(Trouble::Unusable)));
        }
    }

    /// The device is gone: what is down opens, and the level has to be seen at rest or on its way again.
    pub fn lose(&mut self, at: Moment, out: &mut Vec<(Moment, Told)>) {
        self.advance(at, out);
        self.open(at, out);
        self.breath = None;
        self.thin.last = None;
        self.rest.lose();
    }

    /// Does all that is due up to `now`, each at its own instant.
    pub fn advance(&mut self, now: Moment, out: &mut Vec<(Moment, Told)>) {
        while let Some(due) = self.deadline().filter(|due| *due <= now) {
            self.run(due, out);
        }
    }

    /// When [`Level::advance`] has to be called next.
    #[must_use]
    pub fn deadline(&self) -> Option<Moment> {
        let breath = self.breath.as_ref().map(|breath| {
            let longest = breath.began + LONGEST;
            breath.due(&self.rules(breath.side)).map_or(longest, |(at, _)| at.min(longest))
        });
        let opens = self.down.map(|(_, at)| at).filter(|at| *at < Moment::NEVER);
        [breath, opens, self.rest.deadline()].into_iter().flatten().min()
    }

    fn rules(&self, side: Side) -> Rules {
        let has = |strength| self.ways.contains(&Way { side, strength });
        Rules {
            least: self.least,
            settling: self.settling,
            step: self
                .thin
                .step()
                .max(self.thresholds.side(side).map_or(0.0, |limits| limits.hard_on - limits.soft_on) / GROWS),
            soft: has(Strength::Soft),
            hard: has(Strength::Hard),
        }
    }

    fn uses(&self, side: Side) -> bool {
        self.ways.iter().any(|way| way.side == side)
    }

    /// What the level does to the breath under way, or whether one begins.
    fn look(&mut self, at: Moment, value: i32) {
        self.unusable = false;
        let value = f64::from(value);
        if let Some(breath) = &mut self.breath {
            let side = breath.side;
            let far = side.from_rest(value, self.rest.level);
            let rules = self.rules(side);
            if let (Some(breath), Some(limits)) = (&mut self.breath, self.thresholds.side(side)) {
                breath.level(at, far, &limits, &rules);
            }
        } else if !self.rest.is_sought() {
            self.begin(at, value);
        }
    }

    fn begin(&mut self, at: Moment, value: f64) {
        let Some((side, far)) = self.left(value) else { return self.swings = false };
        match self.rebound {
            Some((other, until)) if other == side && (at < until || self.swings) => self.swings = true,
            _ => {
                let mut breath = Breath::new(side, at);
                if let Some(limits) = self.thresholds.side(side) {
                    breath.level(at, far, &limits, &self.rules(side));
                }
                (self.breath, self.rebound, self.swings) = (Some(breath), None, false);
            }
        }
    }

    /// The side on which the level is past the soft threshold, and how far.
    fn left(&self, value: f64) -> Option<(Side, f64)> {
        let past = |side: &Side| {
            let far = side.from_rest(value, self.rest.level);
            self.uses(*side) && self.thresholds.side(*side).is_some_and(|limits| far >= limits.soft_on)
        };
        let side = Side::ALL.into_iter().find(past)?;
        Some((side, side.from_rest(value, self.rest.level)))
    }

    fn run(&mut self, at: Moment, out: &mut Vec<(Moment, Told)>) {
        if self.down.is_some_and(|(_, opens)| opens <= at) {
            return self.open(at, out);
        }
        let Some(breath) = self.breath else { return self.settle(at, out) };
        match breath.due(&self.rules(breath.side)) {
            Some((due, Due::Is(strength))) if due <= at => self.decide(at, strength, out),
            Some((due, Due::Over)) if due <= at => self.over(at, breath, out),
            _ if breath.began + LONGEST <= at => self.stands(at, out),
            _ => self.settle(at, out),
        }
    }

    /// It is known which press this is; not every one of them does something.
    fn decide(&mut self, at: Moment, strength: Strength, out: &mut Vec<(Moment, Told)>) {
        let Some(breath) = &mut self.breath else { return };
        breath.decided = Some((strength, at));
        let (way, began, peak) = (Way { side: breath.side, strength }, breath.began, breath.peak);
        if self.ways.contains(&way) {
            // A press before it that has not opened yet does so first.
            self.open(at, out);
            out.extend([(at, Told::Press { way, began, peak }), (at, Told::Edge { way, down: true })]);
            self.down = Some((way, Moment::NEVER));
        }
    }

    /// The breath is over: its switch opens once it has been down for as long as the breath lasted.
    fn over(&mut self, at: Moment, breath: Breath, out: &mut Vec<(Moment, Told)>) {
        let length = breath.length(at);
        if breath.decided.is_none() && length >= self.least {
            self.decide(at, Strength::Soft, out);
        } else if breath.decided.is_none() {
            self.trembles(at, out);
        }
        let decided = self.breath.and_then(|breath| breath.decided);
        if let (Some((_, opens)), Some((_, decided))) = (&mut self.down, decided) {
            *opens = (*opens).min(at.max(decided + length));
        }
        let other = if breath.side == Side::Above { Side::Below } else { Side::Above };
        (self.rebound, self.breath) = (Some((other, at + REBOUND)), None);
        if let Some((_, value)) = self.thin.last {
            self.look(at, value);
        }
    }

    fn trembles(&mut self, at: Moment, out: &mut Vec<(Moment, Told)>) {
        if at.since(self.short.0) > TREMBLES_WITHIN {
            self.short = (at, 0);
        }
        self.short.1 += 1;
        if self.short.1 == TREMBLES {
            out.push((at, Told::Trouble(Trouble::Trembles)));
        }
    }

    fn stands(&mut self, at: Moment, out: &mut Vec<(Moment, Told)>) {
        out.push((at, Told::Trouble(Trouble::Stands)));
        self.open(at, out);
        self.breath = None;
        self.rest.stands();
        if let Some((_, value)) = self.thin.last {
            self.rest.look(at, value);
        }
    }

    fn settle(&mut self, at: Moment, out: &mut Vec<(Moment, Told)>) {
        if self.rest.deadline().is_some_and(|due| due <= at) {
            self.rest.settle();
            out.push((at, Told::Trouble(Trouble::Moved)));
        }
    }

    fn open(&mut self, at: Moment, out: &mut Vec<(Moment, Told)>) {
        if let Some((way, _)) = self.down.take() {
            out.push((at, Told::Edge { way, down: false }));
        }
    }
}
