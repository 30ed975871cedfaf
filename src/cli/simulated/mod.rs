//! What `simulate` tells: a table for people, one for programs, a picture.

pub(super) mod csv;
pub(super) mod plot;
pub(super) mod text;

use crate::settings::Id;
use crate::sim::outcome::Outcome;
use crate::sim::sweep::Axis;

/// The axes with several values: the columns of a table.
fn swept(outcome: &Outcome) -> Vec<&Axis> {
    outcome.axes.iter().filter(|axis| axis.values.len() > 1).collect()
}

/// The value of this setting at a point.
fn value(values: &[(Id, i64)], id: Id) -> i64 {
    values.iter().find(|(known, _)| *known == id).map_or(id.setting().default, |(_, raw)| *raw)
}
