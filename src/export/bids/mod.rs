//! A data set in the form of BIDS, the Brain Imaging Data Structure, version 1.10: behaviour only.
//!
//! ```text
//! dataset_description.json, README, participants.tsv and .json
//! task-firstlook_beh.json                   the columns, the task and its instructions
//! sub-P001/sub-P001_sessions.tsv and .json  one row a session, with the shifted date
//! sub-P001/ses-1/beh/sub-P001_ses-1_task-firstlook_beh.tsv   one row an opportunity
//! sub-P001/ses-1/beh/sub-P001_ses-1_task-firstlook_beh.json  screen, software, settings
//! ```
//!
//! The columns are those of the CSV tables; a few have the names that the standard gives them. An
//! early press has a negative `response_time`, an omission has `n/a`. Source: the specification,
//! <https://bids-specification.readthedocs.io/en/v1.10.0/>.

mod dataset;
mod sidecar;

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::cell::Spelling;
use super::session::{Session, View, protocol_name};
use super::table::{Column, Shown, Table};
use super::{File, opportunities, presses, sessions};
pub use dataset::About;

/// The version of the standard that is followed.
const BIDS_VERSION: &str = "1.10.0";

/// A data set in the making.
#[derive(Debug)]
pub struct Dataset {
    about: About,
    shown: Shown,
    files: Vec<File>,
    tasks: BTreeMap<String, sidecar::Task>,
    subjects: BTreeMap<String, Subject>,
}

/// What is known of a client.
#[derive(Debug)]
struct Subject {
    sessions: Table<sessions::SessionRow>,
    count: u32,
    invented: bool,
}

impl Dataset {
    /// A data set without sessions. Codes and dates are never kept as they are; words that people
    /// typed only if `free_text`.
    #[must_use]
    pub fn new(about: About, free_text: bool) -> Dataset {
        let shown = Shown { free_text, identifying: false };
        Dataset { about, shown, files: Vec::new(), tasks: BTreeMap::new(), subjects: BTreeMap::new() }
    }

    /// Adds a session. Sessions of a client come in the order of their numbers.
    pub fn add(&mut self, session: &Session) {
        let view = View::of(session, self.shown);
        let task = sidecar::Task::of(session.header, protocol_name(session.header, self.shown), self.shown);
        let (pressed, numbers) = presses::rows(&view);
        let mut table = Table::new("beh", "", beh_columns(), self.shown, Spelling::Tsv);
        opportunities::rows(&view, &numbers).iter().for_each(|row| table.add(row));

        let (client, number) = (&session.whose.client, session.whose.session);
        let path = format!("sub-{client}/ses-{number}/beh/sub-{client}_ses-{number}_task-{}_beh", task.label());
        self.files.push(File::new(format!("{path}.tsv"), table.into_text()));
        self.files.push(File::new(format!("{path}.json"), dataset::pretty(&sidecar::of_session(session))));
        match self.tasks.entry(task.label()) {
            Entry::Occupied(mut known) => known.get_mut().join(task),
            Entry::Vacant(place) => _ = place.insert(task),
        }

        let subject = self.subjects.entry(client.clone()).or_insert_with(|| Subject {
            sessions: Table::new("sessions", "", session_columns(), self.shown, Spelling::Tsv),
            count: 0,
            invented: session.header.invented,
        });
        subject.sessions.add(&sessions::row(&view, pressed.len()));
        subject.count += 1;
        subject.invented |= session.header.invented;
    }

    /// The files.
    #[must_use]
    pub fn into_files(self) -> Vec<File> {
        let invented = self.subjects.values().any(|subject| subject.invented);
        let mut files = dataset::top(&self.about, invented, self.tasks.values().any(sidecar::Task::points));
        let columns = Table::new("beh", "", beh_columns(), self.shown, Spelling::Tsv).described();
        for (label, task) in &self.tasks {
            files.push(File::new(
                format!("task-{label}_beh.json"),
                dataset::pretty(&task.sidecar(&self.about, &columns)),
            ));
        }
        let mut participants =
            Table::new("participants", "", dataset::participant_columns(), self.shown, Spelling::Tsv);
        for (client, subject) in self.subjects {
            participants.add(&dataset::Participant {
                client: client.clone(),
                sessions: subject.count,
                invented: subject.invented,
            });
            let path = format!("sub-{client}/sub-{client}_sessions");
            files.push(File::new(format!("{path}.json"), dataset::pretty(&subject.sessions.described().into())));
            files.push(File::new(format!("{path}.tsv"), subject.sessions.into_text()));
        }
        files.push(File::new("participants.json", dataset::pretty(&participants.described().into())));
        files.push(File::new("participants.tsv", participants.into_text()));
        files.extend(self.files);
        files.sort_by(|one, two| one.path.cmp(&two.path));
        files
    }
}

/// The columns of opportunities under the names that the standard has for them, those first. `onset` and
/// `duration` are not among them: the standard keeps these for events beside a recording.
fn beh_columns() -> Vec<Column<opportunities::OpportunityRow>> {
    let names = [("block_kind", "trial_type"), ("latency_s", "response_time")];
    named(opportunities::columns(), &names)
}

/// The columns of sessions under the names that the standard has for them.
fn session_columns() -> Vec<Column<sessions::SessionRow>> {
    let mut columns = named(sessions::columns(), &[("began", "acq_time")]);
    let id = Column::of("session_id", "", "The session, by its number among those of the client.", sessions::label);
    columns.insert(0, id);
    columns
}

/// The columns without those that the path tells, the ones with standard `names` first.
fn named<R>(mut columns: Vec<Column<R>>, names: &[(&str, &'static str)]) -> Vec<Column<R>> {
    columns.retain(|column| !matches!(column.name, "client" | "session"));
    for column in &mut columns {
        if let Some((_, name)) = names.iter().find(|(ours, _)| *ours == column.name) {
            column.name = name;
        }
    }
    columns.sort_by_key(|column| names.iter().position(|(_, name)| *name == column.name).unwrap_or(names.len()));
    columns
}

/// A label of the standard: letters and digits only.
fn label(name: &str) -> String {
    let label: String = name.chars().filter(char::is_ascii_alphanumeric).collect();
    if label.is_empty() { "own".into() } else { label }
}
