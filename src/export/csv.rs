//! Tidy tables of many sessions, and the dictionary that describes them.
//!
//! Sessions are added one at a time, so that memory holds the text of the tables and one log.

use super::cell::{Cell, Spelling};
use super::session::{Session, View};
use super::table::{Column, Kept, Shown, Table};
use super::{File, blocks, opportunities, presses, sessions, settings, trials};
use crate::settings::{Kind, REGISTRY, Setting, allowed, value_to_json};

/// The tables.
#[derive(Debug)]
pub struct Tables {
    shown: Shown,
    sessions: Table<sessions::SessionRow>,
    blocks: Table<blocks::BlockRow>,
    trials: Table<trials::TrialRow>,
    opportunities: Table<opportunities::OpportunityRow>,
    presses: Table<presses::PressRow>,
    settings: Table<settings::SettingRow>,
    notes: Table<sessions::NoteRow>,
}

impl Tables {
    /// Tables without rows.
    #[must_use]
    pub fn new(shown: Shown) -> Tables {
        fn table<R>(name: &'static str, meaning: &'static str, columns: Vec<Column<R>>, shown: Shown) -> Table<R> {
            Table::new(name, meaning, columns, shown, Spelling::Csv)
        }
        Tables {
            shown,
            sessions: table("sessions", "One row a session.", sessions::columns(), shown),
            blocks: table("blocks", "One row a block that was begun.", blocks::columns(), shown),
            trials: table("trials", "One row a trial, whether it counts or not.", trials::columns(), shown),
            opportunities: table(
                "opportunities",
                "One row for each lighting of the wanted entry that was answered or went by; pairs of presses and quiet watches have none.",
                opportunities::columns(),
                shown,
            ),
            presses: table(
                "presses",
                "One row for each closure of the raw contact: contact bounce, ignored presses and the assessor's own too.",
                presses::columns(),
                shown,
            ),
            settings: table(
                "settings",
                "One row for each timing setting at the start of a session, and one for each change.",
                settings::columns(),
                shown,
            ),
            notes: table("notes", "One row a remark of the clinician.", sessions::note_columns(), shown),
        }
    }

    /// Adds a session.
    pub fn add(&mut self, session: &Session) {
        let view = View::of(session, self.shown);
        let (pressed, numbers) = presses::rows(&view);
        self.sessions.add(&sessions::row(&view, pressed.len()));
        blocks::rows(&view).iter().for_each(|row| self.blocks.add(row));
        trials::rows(&view).iter().for_each(|row| self.trials.add(row));
        opportunities::rows(&view, &numbers).iter().for_each(|row| self.opportunities.add(row));
        pressed.iter().for_each(|row| self.presses.add(row));
        settings::rows(&view).iter().for_each(|row| self.settings.add(row));
        sessions::notes(&view).iter().for_each(|row| self.notes.add(row));
    }

    /// The files, the dictionary last. The remarks are among them only where free text was asked for.
    #[must_use]
    pub fn into_files(self) -> Vec<File> {
        let mut dictionary = Table::new("data_dictionary", "", columns(), self.shown, Spelling::Csv);
        let mut files = Vec::new();
        finish(self.sessions, &mut dictionary, &mut files);
        finish(self.blocks, &mut dictionary, &mut files);
        finish(self.trials, &mut dictionary, &mut files);
        finish(self.opportunities, &mut dictionary, &mut files);
        finish(self.presses, &mut dictionary, &mut files);
        finish(self.settings, &mut dictionary, &mut files);
        if self.shown.shows(Kept::FreeText) {
            finish(self.notes, &mut dictionary, &mut files);
        }
        REGISTRY.iter().map(Entry::of_setting).for_each(|entry| dictionary.add(&entry));
        files.push(File::new("data_dictionary.csv", dictionary.into_text()));
        files
    }
}

/// Describes a table and puts its file beside the others.
fn finish<R>(table: Table<R>, dictionary: &mut Table<Entry>, files: &mut Vec<File>) {
    dictionary.add(&Entry::of_table(&table));
    table.columns().iter().map(|column| Entry::of_column(table.name, column)).for_each(|entry| dictionary.add(&entry));
    files.push(File::new(format!("{}.csv", table.name), table.into_text()));
}

/// A line of the dictionary.
#[derive(Debug, Default)]
struct Entry {
    table: String,
    name: String,
    unit: String,
    meaning: String,
    levels: String,
}

impl Entry {
    fn of_table<R>(table: &Table<R>) -> Entry {
        Entry { table: table.name.into(), meaning: table.meaning.into(), ..Entry::default() }
    }

    fn of_column<R>(table: &str, column: &Column<R>) -> Entry {
        let levels: Vec<String> = column.levels.iter().map(|(word, meaning)| format!("{word}: {meaning}")).collect();
        Entry {
            table: table.into(),
            name: column.name.into(),
            unit: column.unit.into(),
            meaning: column.meaning.into(),
            levels: levels.join(" | "),
        }
    }

    fn of_setting(setting: &'static Setting) -> Entry {
        let unit = match setting.kind {
            Kind::Time { .. } | Kind::OptionalTime { .. } => "s",
            Kind::Share { .. } => "%",
            Kind::Angle { .. } => "degrees",
            Kind::Count { .. } | Kind::Choice(_) => "",
        };
        let default = value_to_json(setting.id, setting.default);
        let levels = match setting.kind {
            Kind::Choice(options) => {
                options.iter().map(|(word, label)| format!("{word}: {label}")).collect::<Vec<_>>().join(" | ")
            }
            _ => allowed(setting),
        };
        Entry {
            table: "setting".into(),
            name: setting.name.into(),
            unit: unit.into(),
            meaning: format!("{}: {}. {} Default {default}.", setting.label, setting.short, setting.long),
            levels,
        }
    }
}

fn columns() -> Vec<Column<Entry>> {
    vec![
        Column::of("table", "", "", |entry: &Entry| Cell::text(entry.table.clone())),
        Column::of("column", "", "", |entry| Cell::text(entry.name.clone())),
        Column::of("unit", "", "", |entry| Cell::text(entry.unit.clone())),
        Column::of("meaning", "", "", |entry| Cell::text(entry.meaning.clone())),
        Column::of("levels", "", "", |entry| Cell::text(entry.levels.clone())),
    ]
}
