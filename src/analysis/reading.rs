//! One walk over the records of a session: what belongs to which block.

use serde::Serialize;

use super::hands::Hands;
use crate::log::header::Header;
use crate::session::event::{BlockEnd, BlockKind, Event};
use crate::session::input::{Input, Prompt};
use crate::session::record::{Record, What};
use crate::session::trial::{Outcome, Trial};
use crate::settings::{ItemTaken, ScanWhileHeld, Settings, Technique};
use crate::switch_check::Finding;
use crate::time::{Moment, Span};

/// What was read.
#[derive(Debug)]
pub(crate) struct Reading<'a> {
    /// The log's header.
    pub header: &'a Header,
    /// All records.
    pub records: &'a [Record],
    /// Blocks in order.
    pub blocks: Vec<BlockReading<'a>>,
    /// Rests by reason, in order of first appearance.
    pub rests: Vec<(String, u32)>,
    /// Pauses by reason, in order of first appearance.
    pub pauses: Vec<(String, u32)>,
    /// Time to the last record.
    pub length: Span,
    /// The session ended with all blocks done.
    pub complete: bool,
}

/// One block.
#[derive(Debug)]
pub(crate) struct BlockReading<'a> {
    /// Its place in the protocol, from 0.
    pub block: u16,
    /// Its kind.
    pub kind: BlockKind,
    /// When it began.
    pub began: Moment,
    /// When it ended, or the last instant read of it.
    pub ended: Moment,
    /// Why it ended.
    pub why: Option<BlockEnd>,
    /// Its scan interval.
    pub scan_interval: Span,
    /// Time in which nobody watched: pauses, and the switch in the assessor's hands.
    pub idle: Span,
    /// Activations in a quiet watch.
    pub unwanted: u32,
    /// What a switch check found out.
    pub switches: Vec<Finding>,
    /// Its trials.
    pub trials: Vec<Judged<'a>>,
    /// What the client said, the last answer to each question.
    pub ratings: Vec<(String, u8)>,
}

/// A trial with what the records around it say of it.
#[derive(Debug)]
pub(crate) struct Judged<'a> {
    /// As it was logged.
    pub trial: &'a Trial,
    /// How many trials stand above it in the log.
    pub place: usize,
    /// The clinician left it out afterwards.
    pub excluded: bool,
    /// A hold time delays the choice, so that it is part of the latency that counts.
    pub hold_counts: bool,
    /// A scan runs by itself in this technique, so that its rate can be advised.
    pub paced: bool,
}

/// Why a trial does not enter the findings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LeftOut {
    /// It was practice.
    Practice,
    /// The clinician left it out.
    Excluded,
    /// It was broken off.
    Aborted,
    /// The client was helped.
    Prompted,
}

impl Judged<'_> {
    /// Whether it enters the findings.
    pub fn counts(&self) -> bool {
        self.left_out().is_none()
    }

    /// Why it does not enter the findings; of several reasons the first that holds.
    pub fn left_out(&self) -> Option<LeftOut> {
        let trial = self.trial;
        if !trial.scored {
            Some(LeftOut::Practice)
        } else if self.excluded || trial.excluded.is_some() {
            Some(LeftOut::Excluded)
        } else if trial.outcome == Outcome::Aborted {
            Some(LeftOut::Aborted)
        } else {
            (trial.prompt != Prompt::None).then_some(LeftOut::Prompted)
        }
    }
}

impl BlockReading<'_> {
    /// How long it took.
    pub fn length(&self) -> Span {
        self.ended.since(self.began)
    }
}

impl<'a> Reading<'a> {
    /// All trials in the order of the log.
    pub fn trials(&'a self) -> Vec<&'a Judged<'a>> {
        let mut trials: Vec<_> = self.blocks.iter().flat_map(|block| &block.trials).collect();
        trials.sort_by_key(|judged| judged.place);
        trials
    }

    /// Reads `records`.
    pub fn of(header: &'a Header, records: &'a [Record]) -> Reading<'a> {
        let mut walk = Walk::new(header, records);
        for record in records {
            walk.take(record);
        }
        walk.idle_until(walk.now);
        walk.reading.length = walk.now.since(Moment::START);
        walk.reading
    }
}

/// The state of the walk.
struct Walk<'a> {
    reading: Reading<'a>,
    now: Moment,
    /// Trials so far.
    trials: usize,
    /// In force.
    settings: &'a Settings,
    hands: Hands,
    /// Since when nobody has watched.
    idle_since: Option<Moment>,
}

impl<'a> Walk<'a> {
    fn new(header: &'a Header, records: &'a [Record]) -> Walk<'a> {
        let (blocks, rests, pauses) = (Vec::new(), Vec::new(), Vec::new());
        Walk {
            reading: Reading { header, records, blocks, rests, pauses, length: Span::ZERO, complete: false },
            now: Moment::START,
            trials: 0,
            settings: &header.settings,
            hands: Hands::new(),
            idle_since: Some(Moment::START),
        }
    }

    fn take(&mut self, record: &'a Record) {
        self.now = self.now.max(record.at);
        self.hands.take(record);
        match &record.what {
            What::Input(input) => self.input(input),
            What::Event(event) => self.event(event, self.now),
            What::Effect(_) => {}
        }
        self.note_idle();
    }

    fn input(&mut self, input: &'a Input) {
        let Input::Rate { question, value } = input else { return };
        if let Some(block) = self.reading.blocks.last_mut() {
            let question = name(question);
            block.ratings.retain(|(known, _)| *known != question);
            block.ratings.push((question, *value));
        }
    }

    fn event(&mut self, event: &'a Event, at: Moment) {
        match event {
            Event::BlockBegan { block, kind } => {
                self.idle_until(at);
                self.block(*block, *kind);
            }
            Event::BlockEnded { block, why } => {
                self.idle_until(at);
                if let Some(found) = self.open(*block) {
                    (found.ended, found.why) = (at, Some(*why));
                }
            }
            Event::Settings { values, .. } => {
                self.settings = values;
                if let Some(block) = self.reading.blocks.last_mut().filter(|block| block.trials.is_empty()) {
                    block.scan_interval = values.scan_interval();
                }
            }
            Event::Trial(trial) => self.trial(trial),
            Event::SwitchChecked(finding) => {
                if let Some(block) = self.reading.blocks.last_mut() {
                    block.switches.push((**finding).clone());
                }
            }
            Event::Excluded { block, trial, .. } => self.exclude(*block, *trial),
            Event::Unwanted { block } if !self.hands.mine => {
                if let Some(block) = self.open(*block) {
                    block.unwanted += 1;
                }
            }
            Event::Rest { why } => count(&mut self.reading.rests, name(why)),
            Event::Paused { why } => count(&mut self.reading.pauses, name(why)),
            Event::Finished { complete } => self.reading.complete = *complete,
            _ => {}
        }
    }

    /// The block of this number that has not ended.
    fn open(&mut self, block: u16) -> Option<&mut BlockReading<'a>> {
        self.reading.blocks.iter_mut().rev().find(|found| found.block == block && found.why.is_none())
    }

    fn block(&mut self, block: u16, kind: BlockKind) -> &mut BlockReading<'a> {
        let (began, scan_interval) = (self.now, self.settings.scan_interval());
        self.reading.blocks.push(BlockReading {
            block,
            kind,
            began,
            ended: began,
            why: None,
            scan_interval,
            idle: Span::ZERO,
            unwanted: 0,
            switches: Vec::new(),
            trials: Vec::new(),
            ratings: Vec::new(),
        });
        self.reading.blocks.last_mut().expect("a block was just added")
    }

    fn trial(&mut self, trial: &'a Trial) {
        let settings = self.settings;
        let judged = Judged {
            trial,
            place: self.trials,
            excluded: false,
            hold_counts: hold_counts(settings),
            paced: matches!(settings.technique(), Technique::Automatic | Technique::Inverse),
        };
        self.trials += 1;
        let now = self.now;
        // The beginning of the block may be missing from a damaged log.
        let block = match self.reading.blocks.iter().rposition(|found| found.block == trial.block) {
            Some(index) => &mut self.reading.blocks[index],
            None => self.block(trial.block, trial.kind),
        };
        block.ended = block.ended.max(now);
        block.scan_interval = trial.interval_us;
        block.trials.push(judged);
    }

    fn exclude(&mut self, block: u16, number: u32) {
        let trials = self.reading.blocks.iter_mut().filter(|found| found.block == block).flat_map(|b| &mut b.trials);
        if let Some(judged) = trials.filter(|judged| judged.trial.trial == number).last() {
            judged.excluded = true;
        }
    }

    fn note_idle(&mut self) {
        if self.hands.mine || self.hands.paused {
            self.idle_since = self.idle_since.or(Some(self.now));
        } else {
            self.idle_until(self.now);
        }
    }

    /// Time that nobody watched ends here; it belongs to the block that is open.
    fn idle_until(&mut self, now: Moment) {
        let Some(since) = self.idle_since.take() else { return };
        if let Some(block) = self.reading.blocks.last_mut().filter(|block| block.why.is_none()) {
            block.idle = block.idle + now.since(since);
            block.ended = block.ended.max(now);
        }
    }
}

/// Whether a hold time delays the choice while the highlight moves on.
fn hold_counts(settings: &Settings) -> bool {
    !settings.hold().is_zero()
        && settings.technique() == Technique::Automatic
        && settings.item_taken() == ItemTaken::Acceptance
        && settings.scan_while_held() == ScanWhileHeld::RunsOn
}

/// The name that a value has in the log.
fn name(value: impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(name)) => name,
        _ => String::new(),
    }
}

fn count(list: &mut Vec<(String, u32)>, name: String) {
    match list.iter_mut().find(|(known, _)| *known == name) {
        Some((_, count)) => *count += 1,
        None => list.push((name, 1)),
    }
}
