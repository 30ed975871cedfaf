//! A practice session that runs by the switch alone.
//!
//! It stands over one [`Session`] of one step: the carer confirms that help can be called, then the client
//! goes on, rests or ends by a slow scan of three choices. Finished attempts go to the pacing and to the
//! step's test; a new interval is set between selections, and its reason stands in the log as a note.
//!
//! It ends by itself: when the step is mastered or shown to be too hard, when a rest or a pause lasts,
//! when the client ends it, and at the agreed length in any case. A trial that ends shortly before that
//! is the last one, so that hardly any is cut off.

use super::change::{Change, Reason};
use super::mastery::Mastery;
use super::pacing::{A_YEAR, Attempt, Limits, Pacing};
use super::plan::{Goal, Help, Pace, Plan};
use super::start::{Start, WAITING_PRESSES};
use super::steps::Step;
use super::summary::{Ending, Summary, Tally};
use crate::engine::effect::Effect;
use crate::menu::Menu;
use crate::session::event::{BlockEnd, BlockKind, Event};
use crate::session::input::{Input, Rating};
use crate::session::practice::Practice;
use crate::session::protocol::{Block, Protocol};
use crate::session::record::{Record, What};
use crate::session::scene::Scene;
use crate::session::trial::{Outcome, Trial};
use crate::session::{self, Asked, Session};
use crate::settings::{Id, SettingError, Settings, value_to_json};
use crate::sim::sitting::Sits;
use crate::stats::Sample;
use crate::stats::sequential::Verdict;
use crate::time::{Moment, Span};

/// Attempts between two decisions of the pacing.
pub(super) const BLOCK: u32 = 5;
/// A rest or a pause that lasts this long ends practice.
const LONGEST_REST: Span = Span::from_ms(3 * 60_000);
/// Nobody has confirmed that help can be called: practice does not begin.
const UNCONFIRMED: Span = Span::from_ms(10 * 60_000);
/// A trial that ends with less than this left is the last one.
const LAST_TRIAL: Span = Span::from_ms(20_000);
/// Waits before the tile of the calibration lights, in seconds.
const WAITS: [f64; 2] = [1.0, 3.0];

/// How far it has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// The carer has to say that help can be called.
    Unconfirmed,
    /// It runs, and ends then at the latest.
    Running { ends: Moment },
    /// It is over.
    Over(Ending),
}

/// One practice session.
#[derive(Clone, Debug)]
pub struct Sitting {
    session: Session,
    help: Help,
    length: Span,
    mastery: Mastery,
    kind: BlockKind,
    practice: Practice,
    state: State,
    /// `None` on steps without a moving highlight, and until the waiting tile has been pressed enough.
    pacing: Option<Pacing>,
    paced: bool,
    limits: Limits,
    /// Latencies on the tile that waits.
    waiting: Vec<f64>,
    in_block: u32,
    tally: Tally,
    changes: Vec<Change>,
    verdict: Verdict,
    /// Nothing has been going on since then: rest, pause.
    idle_since: Option<Moment>,
    /// The block ended by a rule that looks after the client.
    stopped: bool,
    now: Moment,
}

impl Sitting {
    /// A session of `step` by this plan. `menu` is the client's own, `days` how old the plan's advice is.
    ///
    /// # Errors
    /// When the step's protocol holds a setting that is none.
    pub fn new(plan: &Plan, step: &Step, menu: Option<Menu>, days: u32, seed: u64) -> Result<Sitting, SettingError> {
        let advised = plan.advised.as_ref().map(|advised| (advised.scan_interval, days));
        let start = advised.map(|(interval_s, days)| Start::from_advice(interval_s, days));
        let stepped = plan.pace == Pace::Stepped;
        let (protocol, menu) = protocol(plan, step, menu, start.is_none() && !stepped);
        let kind = protocol.blocks.last().map_or(BlockKind::FirstContact, |block| block.kind);
        let limits = plan.limits();
        let mut stated = plan.settings.clone();
        stated.extend(protocol.settings.clone());
        let mut settings = Settings::from_json(&stated)?;
        let paced = step.is_paced(kind, settings.technique());
        let pacing = match start.filter(|_| paced) {
            _ if paced && stepped => Some(Pacing::stepped(plan.success, limits)),
            start => start.map(|start| Pacing::new(&start, plan.success, limits)),
        };
        if let Some(pacing) = &pacing {
            settings.set_raw(Id::ScanInterval, pacing.interval().0 as i64)?;
        }
        Ok(Sitting {
            session: Session::new(session::Plan { protocol, menu, settings, seed }),
            help: plan.help.clone(),
            length: Span::from_seconds(60.0 * plan.minutes).unwrap_or(Span::ZERO),
            mastery: step.mastery,
            kind,
            practice: Practice { step: step.id.to_string(), goal: plan.goal, success: plan.success, advised },
            state: State::Unconfirmed,
            pacing,
            paced,
            limits,
            waiting: Vec::new(),
            in_block: 0,
            tally: Tally::default(),
            changes: Vec::new(),
            verdict: Verdict::GoOn,
            idle_since: None,
            stopped: false,
            now: Moment::START,
        })
    }

    /// What the carer has to confirm before it begins, while it has not been.
    #[must_use]
    pub fn to_confirm(&self) -> Option<String> {
        (self.state == State::Unconfirmed).then(|| self.help.question())
    }

    /// Something happened at `at`. [`Input::Next`] confirms that help can be called, and begins; from then
    /// on only the switch goes on.
    pub fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        self.advance(at, out);
        if input == Input::Next {
            if self.state != State::Unconfirmed {
                return;
            }
            self.state = State::Running { ends: self.now.max(at) + self.length };
        }
        self.pass(at, input, out);
    }

    /// Does all that is due up to and including `now`.
    pub fn advance(&mut self, now: Moment, out: &mut Vec<Record>) {
        while let Some((due, ending)) = self.own_deadline().filter(|(due, _)| *due <= now) {
            self.run(due, out);
            // What ran until then may have moved it.
            if self.own_deadline().is_some_and(|(still, _)| still <= due) {
                self.end(due, ending, out);
            }
        }
        self.run(now, out);
    }

    /// When [`Sitting::advance`] has to be called next.
    #[must_use]
    pub fn deadline(&self) -> Option<Moment> {
        let own = self.own_deadline().map(|(due, _)| due.max(self.now));
        [self.session.deadline(), own].into_iter().flatten().min()
    }

    /// What is to be seen now.
    #[must_use]
    pub fn scene(&self) -> &Scene {
        self.session.scene()
    }

    /// What a client who understands the screen would do now.
    #[must_use]
    pub fn asked(&self) -> Asked {
        self.session.asked()
    }

    /// It is over.
    #[must_use]
    pub fn finished(&self) -> bool {
        matches!(self.state, State::Over(_))
    }

    /// Everything that decides how it runs, for the header of its log.
    #[must_use]
    pub fn session_plan(&self) -> &session::Plan {
        self.session.plan()
    }

    /// The session that runs, for its stall limit and its pages.
    #[must_use]
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// What is practised, for the header of its log.
    #[must_use]
    pub fn practice(&self) -> &Practice {
        &self.practice
    }

    /// What it came to; `None` until it is over.
    #[must_use]
    pub fn summary(&self) -> Option<Summary> {
        let State::Over(ending) = self.state else { return None };
        let bears = self.pacing.as_ref().filter(|pacing| pacing.is_calibrated() && self.tally.bears_advice());
        Some(Summary {
            ending,
            verdict: self.verdict,
            interval: bears.map(Pacing::interval),
            changes: self.changes.clone(),
            tally: self.tally.clone(),
        })
    }

    /// The end that comes by itself: when, and which.
    fn own_deadline(&self) -> Option<(Moment, Ending)> {
        match self.state {
            State::Unconfirmed => Some((Moment::START + UNCONFIRMED, Ending::NotConfirmed)),
            State::Running { ends } => {
                let rested = self.idle_since.map(|since| (since + LONGEST_REST, Ending::Resting));
                [Some((ends, Ending::Length)), rested].into_iter().flatten().min_by_key(|(due, _)| *due)
            }
            State::Over(_) => None,
        }
    }

    fn run(&mut self, now: Moment, out: &mut Vec<Record>) {
        while let Some(due) = self.session.deadline().filter(|due| *due <= now) {
            let from = out.len();
            self.session.advance(due, out);
            self.now = self.now.max(due);
            self.watch(from, out);
        }
        self.now = self.now.max(now);
        self.session.advance(now, out);
    }

    fn pass(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        let from = out.len();
        self.session.input(at, input, out);
        self.now = self.now.max(at);
        self.watch(from, out);
    }

    fn end(&mut self, at: Moment, ending: Ending, out: &mut Vec<Record>) {
        if !self.finished() {
            self.state = State::Over(ending);
            self.session.input(self.now.max(at), Input::End, out);
        }
    }

    /// Looks at the records from `from` on, and at those that its own inputs add.
    fn watch(&mut self, from: usize, out: &mut Vec<Record>) {
        let mut place = from;
        while place < out.len() && !self.finished() {
            let Record { at, what } = out[place].clone();
            place += 1;
            match what {
                What::Effect(Effect::Activated(_)) => self.pressed(at, out),
                What::Event(event) => self.told(at, event, out),
                What::Effect(_) | What::Input(_) => {}
            }
        }
    }

    fn pressed(&mut self, at: Moment, out: &mut Vec<Record>) {
        if let State::Running { .. } = self.state {
            self.tally.pressed();
            if self.kind == BlockKind::FirstContact {
                self.decide(at, out);
            }
        }
    }

    fn told(&mut self, at: Moment, event: Event, out: &mut Vec<Record>) {
        self.tally.note(&event);
        match event {
            Event::Rest { .. } | Event::Paused { .. } => self.idle_since = self.idle_since.or(Some(at)),
            Event::Question | Event::CarriedOn | Event::Resumed | Event::TrialBegan { .. } => self.idle_since = None,
            Event::BlockEnded { why, .. } => {
                self.stopped |= why == BlockEnd::StopRule;
                if self.pacing.is_none() {
                    self.start_pacing(at, out);
                }
            }
            Event::Trial(trial) => self.judged(at, &trial, out),
            Event::Finished { complete } => {
                let ending = match (complete, self.stopped) {
                    (_, true) => Ending::Tired,
                    (true, false) => Ending::Done,
                    (false, false) => Ending::Asked,
                };
                self.state = State::Over(ending);
            }
            _ => {}
        }
    }

    fn judged(&mut self, at: Moment, trial: &Trial, out: &mut Vec<Record>) {
        let Some(attempt) = Attempt::of(trial) else { return };
        if trial.kind != self.kind {
            return self.waited(attempt);
        }
        self.tally.add(trial);
        if self.paced {
            self.pace(at, attempt, out);
        }
        self.decide(at, out);
        if let State::Running { ends } = self.state
            && ends.since(at) < LAST_TRIAL
        {
            self.end(at, Ending::Length, out);
        }
    }

    /// An attempt on the tile that waits.
    fn waited(&mut self, attempt: Attempt) {
        self.waiting.extend(attempt.latency_s.filter(|_| attempt.outcome == Outcome::Hit));
    }

    /// From the presses on the waiting tile, once they are over.
    fn start_pacing(&mut self, at: Moment, out: &mut Vec<Record>) {
        let sample = Sample::new(self.waiting.clone()).ok();
        let Some(start) = sample.filter(|_| self.paced).and_then(|sample| Start::from_waiting(&sample)) else { return };
        let pacing = Pacing::new(&start, self.practice.success, self.limits);
        let from = self.pacing.as_ref().map_or(Settings::default().scan_interval(), Pacing::interval);
        let change = Change { from, to: pacing.interval(), why: Reason::Calibrated };
        self.pacing = Some(pacing);
        self.put_in_force(at, change, out);
    }

    fn pace(&mut self, at: Moment, attempt: Attempt, out: &mut Vec<Record>) {
        // Without enough presses on the waiting tile it starts from the setting in force, hardly believed.
        let unsure = Start::from_advice(self.session.scan_interval().as_seconds(), A_YEAR);
        let pacing = self.pacing.get_or_insert_with(|| Pacing::new(&unsure, self.practice.success, self.limits));
        let at_once = pacing.attempted(attempt);
        self.in_block += 1;
        let at_end = (self.in_block == BLOCK).then(|| pacing.block_ended());
        self.in_block %= BLOCK;
        for change in at_once.into_iter().chain(at_end) {
            self.put_in_force(at, change, out);
        }
    }

    /// The new interval holds from the next trial; its reason stands in the log.
    fn put_in_force(&mut self, at: Moment, change: Change, out: &mut Vec<Record>) {
        self.changes.push(change);
        if change.is_change() {
            let name = Id::ScanInterval.setting().name.to_string();
            let value = value_to_json(Id::ScanInterval, change.to.0 as i64);
            self.session.input(at, Input::Set { name, value }, out);
            self.session.input(at, Input::Note { text: change.to_string() }, out);
        }
    }

    /// Asks the step's test, until it has answered.
    fn decide(&mut self, at: Moment, out: &mut Vec<Record>) {
        if self.verdict != Verdict::GoOn {
            return;
        }
        self.verdict = self.mastery.after(self.tally.hits, self.tally.misses, self.tally.presses);
        match (self.verdict, self.practice.goal) {
            (Verdict::Good, Goal::Improve) => self.end(at, Ending::Mastered, out),
            (Verdict::Poor, _) => self.end(at, Ending::TooHard, out),
            _ => {}
        }
    }
}

impl Sits for Sitting {
    fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        Sitting::input(self, at, input, out);
    }
    fn advance(&mut self, now: Moment, out: &mut Vec<Record>) {
        Sitting::advance(self, now, out);
    }
    fn deadline(&self) -> Option<Moment> {
        Sitting::deadline(self)
    }
    fn scene(&self) -> &Scene {
        Sitting::scene(self)
    }
    fn asked(&self) -> Asked {
        Sitting::asked(self)
    }
    fn finished(&self) -> bool {
        Sitting::finished(self)
    }
    fn rating_asked(&self) -> Option<Rating> {
        None
    }
}

/// The step's protocol as the plan wants it. Without advice a tile that waits comes first.
fn protocol(plan: &Plan, step: &Step, own: Option<Menu>, calibrates: bool) -> (Protocol, Menu) {
    let (mut protocol, menu) = step.protocol();
    protocol.rest_every = plan.rest_every.unwrap_or(protocol.rest_every);
    // The sitting has an agreed length of its own.
    protocol.stop.minutes = 0.0;
    if step.paced && calibrates {
        let trials = WAITING_PRESSES[1] as u32;
        protocol.blocks.insert(0, Block { trials, wait: WAITS, ..Block::of(BlockKind::Reaction) });
    }
    let menu = own.filter(|_| step.own_menu).unwrap_or(menu);
    (protocol, menu)
}

#[cfg(test)]
#[path = "sitting_tests.rs"]
pub(super) mod tests;
