//! What the people in the room notice from the records: which highlight comes with which frame, how
//! fast the scan goes, and whether the client has gone astray.
//!
//! The rhythm is taken from the settings: a client who has practised feels it.

use std::collections::VecDeque;

use super::view::{Told, View, stays};
use crate::engine::effect::{Effect, Lit};
use crate::engine::tree::GroupIx;
use crate::session::Asked;
use crate::session::event::{BlockKind, Event};
use crate::session::record::{Record, What};
use crate::session::trial::Trial;
use crate::settings::{Settings, Technique};
use crate::time::Moment;

/// What has been noticed so far.
#[derive(Default)]
pub(super) struct Notice {
    settings: Settings,
    /// The block that runs.
    pub block: Option<BlockKind>,
    /// Activations since the block began.
    pub activations: u32,
    question: bool,
    /// The group that was entered by mistake.
    astray: Option<GroupIx>,
    /// Target of the last trial, if it was pressed and not reached.
    went_wrong: Option<String>,
    /// Highlights and their numbers, not yet shown.
    highlights: VecDeque<(u64, Lit)>,
    /// The last one shown.
    lit: Option<Lit>,
    /// A press had no effect: the client looks again.
    in_vain: bool,
}

impl Notice {
    /// Takes note of a record; `asked` is what was asked for before it. What it tells the client comes back.
    pub fn take(&mut self, record: &Record, asked: Asked) -> Option<Told> {
        match &record.what {
            What::Effect(effect) => {
                self.effect(effect, asked);
                None
            }
            What::Event(event) => self.event(event),
            What::Input(_) => None,
        }
    }

    fn effect(&mut self, effect: &Effect, asked: Asked) {
        match effect {
            Effect::Highlight { number, lit, .. } => self.highlights.push_back((*number, *lit)),
            Effect::Activated(_) => self.activations += 1,
            Effect::NotCounted { .. } => self.in_vain = true,
            Effect::Entered { group, entry, into, .. } if asked != Asked::Entry(*group, *entry) => {
                self.astray = self.astray.or(Some(*into));
            }
            Effect::Left { group, .. } if self.astray == Some(*group) => self.astray = None,
            _ => {}
        }
    }

    fn event(&mut self, event: &Event) -> Option<Told> {
        match event {
            Event::Settings { values, .. } => self.settings = (**values).clone(),
            Event::BlockBegan { kind, .. } => (self.block, self.activations) = (Some(*kind), 0),
            Event::BlockEnded { .. } => self.block = None,
            Event::Question => {
                self.question = true;
                return Some(Told::Question);
            }
            Event::Rest { .. } => {
                self.question = false;
                return Some(Told::Rest);
            }
            Event::TrialBegan { target, .. } => {
                (self.question, self.astray) = (false, None);
                return Some(Told::Trial { again: self.went_wrong.as_ref() == Some(target) });
            }
            Event::Trial(trial) => self.went_wrong = wrong_target(trial),
            _ => {}
        }
        None
    }

    /// The frame with this number is shown: what the client sees of it.
    pub fn shown(&mut self, number: u64, at: Moment, asked: Asked) -> View {
        let mut lit = None;
        while self.highlights.front().is_some_and(|(highlight, _)| *highlight <= number) {
            lit = self.highlights.pop_front().map(|(_, lit)| lit);
        }
        self.lit = lit.or(self.lit);
        self.view(at, asked, lit)
    }

    /// Where nothing moves but by the client, it looks again when something new is asked for or its
    /// press had no effect: what it sees then, or `None`.
    pub fn looks_again(&mut self, at: Moment, before: Asked, asked: Asked) -> Option<View> {
        let in_vain = std::mem::take(&mut self.in_vain);
        let waits = match asked {
            Asked::Pair => true,
            Asked::Entry(..) => self.technique() != Technique::Automatic,
            Asked::Press | Asked::Hold(..) | Asked::Nothing => false,
        };
        let still = self.highlights.is_empty() && waits && (asked != before || in_vain);
        still.then(|| self.view(at, asked, Some(self.lit.unwrap_or(Lit::Nothing))))
    }

    fn view(&self, at: Moment, asked: Asked, lit: Option<Lit>) -> View {
        View {
            at,
            asked,
            lit,
            technique: self.technique(),
            question: self.question,
            astray: self.astray.is_some(),
            interval: self.settings.scan_interval(),
            stays: stays(&self.settings, lit),
        }
    }

    /// A single light and pairs of presses are worked in one way only.
    fn technique(&self) -> Technique {
        let tasks = matches!(self.block, Some(BlockKind::TimedPress | BlockKind::MenuTasks | BlockKind::Confirm));
        if tasks || self.question { self.settings.technique() } else { Technique::Automatic }
    }
}

fn wrong_target(trial: &Trial) -> Option<String> {
    (!trial.reached && !trial.presses.is_empty()).then(|| trial.target.clone())
}
