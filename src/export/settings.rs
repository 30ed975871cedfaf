//! One row for every timing setting at the start, and one for every change.

use super::cell::Cell;
use super::levels::SETTING_SOURCES;
use super::presses::micros;
use super::session::{Owned, View, Whose, keys};
use super::table::Column;
use crate::session::event::Event;
use crate::session::record::What;
use crate::settings::{Id, REGISTRY, Settings, value_to_json};
use crate::time::Moment;

type Field = Column<SettingRow>;

/// A setting, or a change of one.
#[derive(Clone, Debug)]
pub struct SettingRow {
    whose: Whose,
    at: Moment,
    revision: u32,
    setting: Id,
    before: Option<i64>,
    value: i64,
}

impl Owned for SettingRow {
    fn whose(&self) -> &Whose {
        &self.whose
    }
}

/// The rows of a session.
pub(super) fn rows(view: &View) -> Vec<SettingRow> {
    let mut in_force = &view.session.header.settings;
    let row =
        |at, revision, setting, before, value| SettingRow { whose: view.whose(), at, revision, setting, before, value };
    let mut rows: Vec<SettingRow> =
        REGISTRY.iter().map(|setting| row(Moment::START, 0, setting.id, None, in_force.raw(setting.id))).collect();
    for record in view.session.records {
        let What::Event(Event::Settings { revision, values, .. }) = &record.what else { continue };
        for (id, before) in changed(in_force, values) {
            rows.push(row(record.at, *revision, id, Some(before), values.raw(id)));
        }
        in_force = values;
    }
    rows
}

/// The settings that differ, each with its value before.
fn changed(before: &Settings, after: &Settings) -> Vec<(Id, i64)> {
    let ids = REGISTRY.iter().map(|setting| setting.id);
    ids.filter(|id| before.raw(*id) != after.raw(*id)).map(|id| (id, before.raw(id))).collect()
}

/// A value as it stands in files: a number in the unit of the dictionary, or a word.
fn value(setting: Id, raw: i64) -> Cell {
    match value_to_json(setting, raw) {
        serde_json::Value::String(word) => Cell::text(word),
        number => Cell::text(number.to_string()),
    }
}

/// What a row holds.
pub(super) fn columns() -> Vec<Field> {
    let mut all: Vec<Field> = keys().into();
    all.extend([
        Field::of("at_s", "s", "When the value came into force, since the session began.", |row| micros(row.at)),
        Field::of("revision", "", "Number of the set of values from then on; trials name theirs.", |row| {
            Cell::Whole(row.revision.into())
        }),
        Field::of("source", "", "Where the value comes from.", |row| {
            Cell::text(if row.before.is_some() { "change" } else { "start" })
        })
        .levels(SETTING_SOURCES),
        Field::of("setting", "", "Its name; see the rows of table setting in the data dictionary.", |row| {
            Cell::text(row.setting.setting().name)
        }),
        Field::of(
            "before",
            "",
            "Its value before, in the unit that the data dictionary gives for it; missing at the start.",
            |row| Cell::some(row.before, |raw| value(row.setting, raw)),
        ),
        Field::of("value", "", "Its value, in the unit that the data dictionary gives for it.", |row| {
            value(row.setting, row.value)
        }),
    ]);
    all
}
