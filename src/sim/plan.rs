//! What is selected in counted selections, under which timings, and when one of them is over.

use std::sync::Arc;

use super::aims::Aims;
use super::weighted::Weighted;
use crate::engine::tree::{ItemIx, ScanTree};
use crate::settings::Settings;
use crate::time::{Moment, Span};

/// A menu, its timings, and how errors on it are put right.
#[derive(Clone, Debug)]
pub struct Plan {
    pub(super) tree: Arc<ScanTree>,
    pub(super) settings: Settings,
    pub(super) aims: Aims,
    pub(super) wanted: Weighted,
    /// Item by item: taken by mistake, it has to be taken once more before the person goes on.
    pub(super) undo: Vec<bool>,
    pub(super) patience: Span,
    pub(super) trials: Option<Trials>,
}

/// Selections as a session runs them: each ends with the first choice or with the loops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trials {
    /// When the first cue is shown.
    pub begin: Moment,
    /// From the end of the pause after a selection to the start of the next scan.
    pub lead: Span,
    /// From the instant at which something is due to be seen to its frame.
    pub lag: Span,
}

impl Plan {
    /// Items are wanted as often as `weights` say, in the order of their numbers; `undo` tells whether a
    /// wrong item is taken once more to put it right, `exits` whether the person takes the exit of a
    /// wrong group or waits its loops out. A selection is given up after `patience`.
    ///
    /// `None` unless every weight is a number of at least 0, one is above it, and each item that is
    /// wanted is on the menu.
    #[must_use]
    pub fn new(
        tree: Arc<ScanTree>,
        settings: Settings,
        weights: &[f64],
        undo: bool,
        exits: bool,
        patience: Span,
    ) -> Option<Plan> {
        let wanted = Weighted::new(weights)?;
        let there = |item: usize| tree.path(ItemIx(item as u16)).is_some();
        if !weights.iter().enumerate().all(|(item, weight)| *weight == 0.0 || there(item)) {
            return None;
        }
        let aims = Aims::new(&tree, weights.len() as u16, exits);
        let undo = vec![undo; weights.len()];
        Some(Plan { tree, settings, aims, wanted, undo, patience, trials: None })
    }

    /// The same where only some items have to be undone, in the order of their numbers.
    #[must_use]
    pub fn undoing(self, undo: Vec<bool>) -> Plan {
        Plan { undo, ..self }
    }

    /// The same, as a session runs it.
    #[must_use]
    pub fn as_trials(self, trials: Trials) -> Plan {
        Plan { trials: Some(trials), ..self }
    }

    pub(super) fn lag(&self) -> Span {
        self.trials.map_or(Span::ZERO, |trials| trials.lag)
    }

    /// From a choice to the next scan.
    pub(super) fn pause(&self) -> Span {
        self.settings.pause_after_selection() + self.lead()
    }

    pub(super) fn lead(&self) -> Span {
        self.trials.map_or(Span::ZERO, |trials| trials.lead)
    }
}
