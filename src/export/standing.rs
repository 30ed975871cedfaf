//! How the trial of a row stands towards the findings.

use super::cell::Cell;
use super::levels::LEFT_OUT;
use super::table::Column;
use crate::analysis::reading::{Judged, LeftOut};

/// How a trial stands towards the findings.
#[derive(Clone, Copy, Debug)]
pub(super) struct Standing {
    pub left_out: Option<LeftOut>,
    pub interrupted: bool,
}

impl Standing {
    pub fn of(judged: &Judged) -> Standing {
        Standing { left_out: judged.left_out(), interrupted: judged.trial.interruption.is_some() }
    }

    pub fn counts(self) -> bool {
        self.left_out.is_none()
    }

    /// The word of [`super::levels::LEFT_OUT`].
    pub fn left_out(self) -> Cell {
        Cell::some(self.left_out, |reason| {
            Cell::text(match reason {
                LeftOut::Practice => "practice",
                LeftOut::Excluded => "excluded",
                LeftOut::Aborted => "aborted",
                LeftOut::Prompted => "prompted",
            })
        })
    }
}

/// A row that may belong to a trial.
pub(super) trait InTrial {
    fn standing(&self) -> Option<Standing>;
}

/// The columns that say how the trial of a row stands towards the findings.
pub(super) fn in_trial<R: InTrial>() -> [Column<R>; 3] {
    [
        Column::of("trial_counts", "", "Its trial enters the findings; missing outside trials.", |row: &R| {
            Cell::some(row.standing(), |standing| Cell::Flag(standing.counts()))
        }),
        Column::of(
            "left_out",
            "",
            "Why its trial does not enter the findings; the first reason that holds.",
            |row: &R| Cell::some(row.standing(), Standing::left_out),
        )
        .levels(LEFT_OUT),
        Column::of("interrupted", "", "Something came between in its trial, which counts all the same.", |row: &R| {
            Cell::some(row.standing(), |standing| Cell::Flag(standing.interrupted))
        }),
    ]
}
