//! What stands beside the tables of a data set: the task once, and what held in each session.

use std::collections::BTreeSet;

use serde_json::{Map, Value, json};

use super::{About, label};
use crate::export::session::Session;
use crate::export::table::Shown;
use crate::log::header::Header;
use crate::session::event::{BlockKind, Event};
use crate::session::protocol::Block;
use crate::session::record::What;
use crate::session::words;
use crate::settings::{Settings, Technique};

/// What the protocol asks for.
#[derive(Debug)]
pub(super) struct Task {
    name: String,
    about: String,
    /// What its blocks are, and which of them a pointer works.
    blocks: BTreeSet<(BlockKind, bool)>,
}

impl Task {
    /// The task of a protocol that may be called `name`.
    pub fn of(header: &Header, name: String, shown: Shown) -> Task {
        let blocks = header.protocol.blocks.iter().map(|block| (block.kind, points(block, &header.settings))).collect();
        let typed = name != header.protocol.name && !shown.free_text;
        let about = if typed { String::new() } else { header.protocol.about.clone() };
        Task { name, about, blocks }
    }

    /// Another session of it, which a pointer may have worked where a switch worked this one.
    pub fn join(&mut self, other: Task) {
        self.blocks.extend(other.blocks);
    }

    /// A pointer works some of it.
    pub fn points(&self) -> bool {
        self.blocks.iter().any(|(_, points)| *points)
    }

    /// Its label in file names.
    pub fn label(&self) -> String {
        label(&self.name)
    }

    /// The sidecar for all its sessions.
    pub fn sidecar(&self, about: &About, columns: &Map<String, Value>) -> Value {
        let mut sidecar = Map::new();
        sidecar.insert("TaskName".into(), self.name.clone().into());
        sidecar.insert("TaskDescription".into(), self.description().into());
        sidecar.insert("Instructions".into(), self.instructions().into());
        sidecar.extend(about.part(true));
        sidecar.extend(columns.clone());
        sidecar.into()
    }

    fn description(&self) -> String {
        let switch = self.blocks.iter().any(|(_, points)| !points).then_some(SWITCH);
        let said = switch.into_iter().chain(self.points().then_some(POINTER)).chain([self.about.as_str()]);
        said.filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" ")
    }

    fn instructions(&self) -> String {
        self.blocks.iter().map(|(kind, points)| cue(*kind, *points)).collect::<Vec<_>>().join(" ")
    }
}

const SWITCH: &str = "A scanning menu is worked with one switch.";
const POINTER: &str = "A menu is worked with a pointer: an entry on which it rests for the dwell time is taken. No highlight \
                       moves, and nothing is pressed.";

/// A pointer works this block.
fn points(block: &Block, settings: &Settings) -> bool {
    block.settings_over(settings).as_ref().unwrap_or(settings).technique() == Technique::Dwell
}

/// What a block asks on the screen.
fn cue(kind: BlockKind, points: bool) -> &'static str {
    match kind {
        BlockKind::TimedPress if points => words::TIMED_POINTER,
        BlockKind::FirstContact => words::CONTACT,
        BlockKind::QuietWatch => words::WATCH,
        BlockKind::SwitchCheck => words::CHECK_HOW,
        BlockKind::Reaction => words::REACTION,
        BlockKind::TimedPress => words::TIMED,
        BlockKind::Repeat => words::REPEAT,
        BlockKind::MenuTasks | BlockKind::Confirm => {
            "(The name and the picture of an item, to be chosen from the menu.)"
        }
    }
}

/// The sidecar of one session.
pub(super) fn of_session(session: &Session) -> Value {
    json!({
        "StimulusPresentation": presentation(session.header),
        "TimingSettings": session.header.settings,
        "TimingSettingsChanges": changes(session),
    })
}

fn presentation(header: &Header) -> Value {
    let mut found = json!({ "SoftwareName": "pacewright", "SoftwareVersion": header.program });
    if header.setup.screen_distance_mm > 0 {
        found["ScreenDistance"] = json!(f64::from(header.setup.screen_distance_mm) / 1e3);
    }
    if header.measured.frame_interval_us > 0 {
        found["ScreenRefreshRate"] = json!(1e6 / header.measured.frame_interval_us as f64);
    }
    found
}

/// All values from each change on.
fn changes(session: &Session) -> Vec<Value> {
    let changes = session.records.iter().filter_map(|record| match &record.what {
        What::Event(Event::Settings { revision, values, .. }) => {
            Some(json!({ "Onset": record.at.0 as f64 / 1e6, "Revision": revision, "TimingSettings": values }))
        }
        _ => None,
    });
    changes.collect()
}
