//! A practice session that runs by the switch alone.
//!
//! It stands over one [`Session`] of one step: the carer confirms that help can be called, then the client
//! goes on, rests or ends by a slow scan of three choices. Finished attempts go to the pacing and to the
//! step's test; a new interval is set between selections, and its reason stands in the log as a note.
//! When the step is mastered, done or shown to be too hard, the client chooses what comes next.
//!
//! It ends by itself: when that is chosen, when a rest or a pause lasts, and at the agreed length in any
//! case. A trial that ends shortly before that is the last one, so that hardly any is cut off.

mod follow;
mod pages;

use super::change::Change;
use super::mastery::Mastery;
use super::pacing::{A_YEAR, Limits, Pacing};
use super::plan::{Goal, Help, Pace, Plan};
use super::start::{Start, WAITING_PRESSES};
use super::stays::Pointed;
use super::steps::Step;
use super::summary::{Ending, Summary, Tally};
use crate::menu::Menu;
use crate::session::event::BlockKind;
use crate::session::input::{Input, Rating};
use crate::session::offer::Offer;
use crate::session::practice::Practice;
use crate::session::protocol::{Block, Protocol};
use crate::session::record::Record;
use crate::session::scene::Scene;
use crate::session::{self, Asked, Session};
use crate::settings::{Id, SettingError, Settings};
use crate::sim::sitting::Sits;
use crate::stats::sequential::Verdict;
use crate::time::{Moment, Span};

/// Attempts between two decisions of the pacing.
pub(super) const BLOCK: u32 = 5;
/// A rest or a pause that lasts this long ends practice.
const LONGEST_REST: Span = Span::from_ms(3 * 60_000);
/// Nobody has confirmed that help can be called: practice does not begin.
const UNCONFIRMED: Span = Span::from_ms(10 * 60_000);
/// What is confirmed sooner has not been read: a key was pressed twice.
const READ: Span = Span::from_ms(1_000);
/// Waits before the tile of the calibration lights, in seconds.
const WAITS: [f64; 2] = [1.0, 3.0];

/// How far it has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// The carer has to say that help can be called.
    Unconfirmed,
    /// It runs.
    Running,
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
    /// It ends then at the latest, once it runs.
    ends: Option<Moment>,
    /// `None` on steps without a moving highlight, and until the waiting tile has been pressed enough.
    pacing: Option<Pacing>,
    /// What the pacing sets on this step.
    paces: Option<Id>,
    /// What a pointer has done in the trial under way.
    pointed: Pointed,
    limits: Limits,
    /// Latencies on the tile that waits.
    waiting: Vec<f64>,
    in_block: u32,
    tally: Tally,
    changes: Vec<Change>,
    verdict: Verdict,
    /// When the carer was first asked.
    asked_at: Option<Moment>,
    /// Nothing has been going on since then: rest, pause.
    idle_since: Option<Moment>,
    /// The block ended by a rule that looks after the client.
    stopped: bool,
    /// The plan has an easier step, and a next one.
    around: (bool, bool),
    /// It begins behind another step, which ended with so many presses in a row.
    behind: Option<u32>,
    /// Why the step is over, while the client is asked what comes next.
    pending: Option<Ending>,
    chosen: Option<Offer>,
    /// Stands instead of the session's scene.
    page: Option<Scene>,
    now: Moment,
}

impl Sitting {
    /// A session of `step` by this plan. `menu` is the client's own, `days` how old the plan's advice is.
    ///
    /// # Errors
    /// When the step's protocol holds a setting that is none.
    pub fn new(plan: &Plan, step: &Step, menu: Option<Menu>, days: u32, seed: u64) -> Result<Sitting, SettingError> {
        let (mut protocol, menu) = protocol(plan, step, menu);
        let kind = protocol.blocks.last().map_or(BlockKind::FirstContact, |block| block.kind);
        let mut stated = plan.settings.clone();
        stated.extend(protocol.settings.clone());
        let mut settings = Settings::from_json(&stated)?;
        let paces = step.paces(settings.technique());
        let advised = plan.advised_s().map(|advised_s| (advised_s, days));
        let pacing = paces.and_then(|paces| first_pacing(plan, paces, advised, &settings));
        if paces.is_some() && pacing.is_none() {
            // Without advice a tile that waits comes first.
            let trials = WAITING_PRESSES[1] as u32;
            protocol.blocks.insert(0, Block { trials, wait: WAITS, ..Block::of(BlockKind::Reaction) });
        }
        if let Some(pacing) = &pacing {
            settings.set_raw(pacing.paces(), pacing.interval().0 as i64)?;
        }
        let sitting = Sitting {
            session: Session::new(session::Plan { protocol, menu, settings, seed }),
            help: plan.help.clone(),
            length: Span::from_seconds(60.0 * plan.minutes).unwrap_or(Span::ZERO),
            mastery: step.mastery,
            kind,
            practice: Practice { step: step.id.to_string(), goal: plan.goal, success: plan.success, advised },
            state: State::Unconfirmed,
            ends: None,
            pacing,
            paces,
            pointed: Pointed::default(),
            limits: plan.limits(),
            waiting: Vec::new(),
            in_block: 0,
            tally: Tally::default(),
            changes: Vec::new(),
            verdict: Verdict::GoOn,
            asked_at: None,
            idle_since: None,
            stopped: false,
            around: (false, false),
            behind: None,
            pending: None,
            chosen: None,
            page: None,
            now: Moment::START,
        };
        Ok(sitting.turned())
    }

    /// The plan has an `easier` step than this, or a `next` one: the client may go there.
    #[must_use]
    pub fn among_steps(mut self, easier: bool, next: bool) -> Sitting {
        self.around = (easier, next);
        self
    }

    /// Begins behind a step of the same practice, with [`Sitting::go_on`]: help was confirmed, `left` is what is left
    /// of the agreed length, and the last step ended with so many presses in a row.
    #[must_use]
    pub fn behind(mut self, left: Span, in_a_row: u32) -> Sitting {
        (self.length, self.behind) = (left, Some(in_a_row));
        self
    }

    /// Begins at once where it stands behind another step; what happens is added to `out`. Its switches are known by
    /// then.
    pub fn go_on(&mut self, out: &mut Vec<Record>) {
        let Some(presses) = self.behind.take() else { return };
        self.confirm(Moment::START, out);
        self.pass(Moment::START, Input::InARow { presses }, out);
        self.pass(Moment::START, Input::Next, out);
        // Past the question whether to start: it has been chosen.
        self.pass(Moment::START, Input::Next, out);
        self.page = self.page();
    }

    /// A warning for the carer, until the first block begins.
    pub fn warn(&mut self, text: &str) {
        self.session.warn(text);
        self.page = self.page();
    }

    /// What the carer has to confirm before it begins, while it has not been.
    #[must_use]
    pub fn to_confirm(&self) -> Option<String> {
        (self.state == State::Unconfirmed).then(|| self.help.question())
    }

    /// Something happened at `at`. [`Input::Next`] confirms that help can be called; from then on only the
    /// switch goes on, except out of a pause.
    pub fn input(&mut self, at: Moment, input: Input, out: &mut Vec<Record>) {
        if input != Input::Stalled {
            // Behind a stall nothing that is due may act.
            self.advance(at, out);
        }
        let waits = self.session.is_paused() || self.session.in_assessors_hands();
        match (&input, self.state) {
            (Input::Shown { .. }, State::Unconfirmed) => self.asked_at = self.asked_at.or(Some(at)),
            (Input::Next, State::Unconfirmed) if self.session.is_paused() => {}
            (Input::Next, State::Unconfirmed) if self.asked_at.is_some_and(|asked| at >= asked + READ) => {
                self.confirm(at, out);
            }
            (Input::Next, State::Unconfirmed) => return,
            (Input::Next, State::Running) if !waits => return,
            (Input::MyPresses { on: false } | Input::SkipBlock, State::Unconfirmed) => return,
            _ => {}
        }
        self.pass(at, input, out);
        self.page = self.page();
    }

    fn confirm(&mut self, at: Moment, out: &mut Vec<Record>) {
        self.pass(at, Input::Note { text: format!("Confirmed: {}", self.help.question()) }, out);
        self.state = State::Running;
        self.ends = Some(self.now.max(at) + self.length);
    }

    /// Does all that is due up to and including `now`.
    pub fn advance(&mut self, now: Moment, out: &mut Vec<Record>) {
        while let Some((due, ending)) = self.own_deadline().filter(|(due, _)| *due <= now) {
            self.run(due, out);
            // What ran until then may have moved it.
            if self.own_deadline().is_some_and(|(still, _)| still <= due) {
                let from = out.len();
                self.end(due, ending, out);
                self.watch(from, out);
            }
        }
        self.run(now, out);
        self.page = self.page();
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
        self.page.as_ref().unwrap_or_else(|| self.session.scene())
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

    /// Why it ended, once it has.
    #[must_use]
    pub fn ending(&self) -> Option<Ending> {
        if let State::Over(ending) = self.state { Some(ending) } else { None }
    }

    /// What the client chose at its end.
    #[must_use]
    pub fn chosen(&self) -> Option<Offer> {
        self.chosen
    }

    /// The agreed length.
    #[must_use]
    pub fn length(&self) -> Span {
        self.length
    }

    /// What is left of the agreed length.
    #[must_use]
    pub fn left(&self) -> Span {
        self.ends.map_or(self.length, |ends| ends.since(self.now))
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
        let ending = self.ending()?;
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
            State::Running => {
                let ends = self.ends?;
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
            self.state = State::Over(self.pending.unwrap_or(ending));
            self.session.input(self.now.max(at), Input::End, out);
        }
    }

    /// The page is that of the state.
    fn turned(mut self) -> Sitting {
        self.page = self.page();
        self
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
    fn session(&self) -> &Session {
        Sitting::session(self)
    }
}

/// The pacing to begin with: by the plan's steps, or from what was `advised` (seconds, and days ago). `None` where nobody
/// advised a scan interval.
fn first_pacing(plan: &Plan, paces: Id, advised: Option<(f64, u32)>, settings: &Settings) -> Option<Pacing> {
    if plan.pace == Pace::Stepped {
        return Some(Pacing::stepped(plan.success, plan.limits()));
    }
    let (seconds, days) = advised.or_else(|| {
        // Of a dwell time that nobody advised little is believed.
        let in_force = Span(settings.raw(Id::Dwell).unsigned_abs()).as_seconds();
        (paces == Id::Dwell).then_some((in_force, A_YEAR))
    })?;
    Some(Pacing::of(paces, &Start::from_advice(seconds, days), plan.success, plan.limits()))
}

/// The step's protocol as the plan wants it.
fn protocol(plan: &Plan, step: &Step, own: Option<Menu>) -> (Protocol, Menu) {
    let (mut protocol, menu) = step.protocol();
    protocol.rest_every = plan.rest_every.unwrap_or(protocol.rest_every);
    // The sitting has an agreed length of its own.
    protocol.stop.minutes = 0.0;
    let menu = own.filter(|_| step.own_menu).unwrap_or(menu);
    (protocol, menu)
}

#[cfg(test)]
#[path = "sitting_tests.rs"]
pub(super) mod tests;
