//! The files at the top of a data set.

use serde_json::{Map, Value, json};

use super::BIDS_VERSION;
use crate::export::File;
use crate::export::cell::Cell;
use crate::export::table::Column;

/// What its makers say of a data set, by the keys of the standard.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct About(pub Map<String, Value>);

impl About {
    /// Keys that belong to the sidecars of a task, not to the description of the data set.
    const OF_TASK: [&str; 5] =
        ["InstitutionName", "InstitutionAddress", "InstitutionalDepartmentName", "CogAtlasID", "CogPOID"];

    fn name(&self) -> &str {
        self.0.get("Name").and_then(Value::as_str).unwrap_or("Switch presses in a scanning menu")
    }

    /// What belongs to the sidecars of a task, or else what does not.
    pub(super) fn part(&self, of_task: bool) -> impl Iterator<Item = (String, Value)> {
        let wanted = move |key: &str| About::OF_TASK.contains(&key) == of_task;
        self.0.iter().filter(move |(key, _)| wanted(key)).map(|(key, value)| (key.clone(), value.clone()))
    }
}

/// The description and the read-me.
pub(super) fn top(about: &About, invented: bool, pointed: bool) -> Vec<File> {
    vec![
        File::new("dataset_description.json", pretty(&description(about))),
        File::new("README", readme(about, invented, pointed)),
    ]
}

/// What the makers say, and above it what is true of every export.
fn description(about: &About) -> Value {
    let mut description: Map<String, Value> = about.part(false).collect();
    description.insert("Name".into(), about.name().into());
    description.insert("BIDSVersion".into(), BIDS_VERSION.into());
    description.insert("DatasetType".into(), "raw".into());
    let program = json!([{ "Name": "pacewright", "Version": env!("CARGO_PKG_VERSION") }]);
    description.insert("GeneratedBy".into(), program);
    description.into()
}

fn readme(about: &About, invented: bool, pointed: bool) -> String {
    let origin = if invented {
        "At least one participant is a virtual client: see `invented` in participants.tsv.\n\n"
    } else {
        ""
    };
    let pointer = if pointed {
        "Where the technique in TimingSettings is dwell, a pointer worked the menu: an entry on which it rested for the \
         dwell time was taken. Nothing was pressed and no highlight moved, so these blocks have no rows in _beh.tsv; \
         their trials stand in the tables of `pacewright export --as csv`.\n\n"
    } else {
        ""
    };
    format!(
        "{}\n\n{origin}People with severe paralysis worked a scanning menu with one switch. The highlight moves over the \
         entries of the menu; a press takes the entry that is lit. Each row of a _beh.tsv file is one opportunity: one \
         lighting of the entry that was wanted, with the press that is attributed to it.\n\n{pointer}\
         response_time runs from the hand-over of the frame to the press. It is negative for a press that came before \
         the highlight, longer than window_s for a late one, and n/a where no press came; then the response is censored \
         at censor_time_s. Nothing was removed: practice, help, exclusions and broken-off trials are rows too, marked \
         by trial_counts and left_out. in_findings marks the latencies that pacewright itself summarises.\n\n\
         Codes were exchanged. All dates of a participant were shifted by the same number of days, to 1925 or earlier; \
         the time of day was kept.\n\n\
         The raw presses, contact bounce included, stand in the tables of `pacewright export --as csv`.\n",
        about.name()
    )
}

/// A participant.
#[derive(Clone, Debug)]
pub(super) struct Participant {
    pub client: String,
    pub sessions: u32,
    pub invented: bool,
}

pub(super) fn participant_columns() -> Vec<Column<Participant>> {
    vec![
        Column::of("participant_id", "", "The participant.", |row: &Participant| {
            Cell::text(format!("sub-{}", row.client))
        }),
        Column::of("sessions", "", "Sessions in this data set.", |row| Cell::Whole(row.sessions.into())),
        Column::of("invented", "", "A virtual client pressed: the data are invented.", |row| Cell::Flag(row.invented)),
    ]
}

/// JSON as people read it.
pub(super) fn pretty(value: &Value) -> String {
    format!("{value:#}\n")
}
