//! A logged session under other settings: what can be told exactly, and what a fitted client answers.
//!
//! When the switch closed and opened does not depend on what the filter makes of it. So for settings
//! of the filter the logged edges are run through it once more: exact, as long as the person presses
//! the same way. What is taken by a press hangs on the scan, and how a person answers another scan is
//! not in the log: there the client that was fitted to it answers.

use serde::Serialize;
use serde_json::Value;

use super::fit::fit;
use super::selections::{Outcomes, Selections, selections};
use crate::advice::recommendation::Remark;
use crate::advice::{consistency, contradiction};
use crate::analysis::gather::{self, Unfit};
use crate::analysis::refiltered::{FILTER, Refiltered, refiltered};
use crate::log::header::Header;
use crate::session::Plan;
use crate::session::input::Input;
use crate::session::record::{Record, What};
use crate::settings::{Id, find, value_from_json, value_to_json};

/// How the answer to a change was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    /// The logged edges, once more through the filter.
    Exact,
    /// The fitted client at the real engine.
    Simulated,
}

/// One setting that is tried.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// Its name.
    pub setting: &'static str,
    /// Its value in the log, as in files.
    pub was: Value,
    /// The value tried.
    pub tried: Value,
    /// How its effect on which presses count is known.
    pub how: How,
    #[serde(skip)]
    id: Id,
    #[serde(skip)]
    raws: [i64; 2],
}

impl Change {
    /// Which setting.
    #[must_use]
    pub fn id(&self) -> Id {
        self.id
    }

    /// The raw values: in the log, and tried.
    #[must_use]
    pub fn raws(&self) -> [i64; 2] {
        self.raws
    }
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// What was tried.
    pub changes: Vec<Change>,
    /// Which presses count, where settings of the filter are tried: exact.
    pub presses: Option<Refiltered>,
    /// What the choices came to, in the log.
    pub logged: Outcomes,
    /// What they come to by the fitted client; why there is none where the log does not bear one.
    pub selections: Result<Selections, Unfit>,
    /// Rules of consistency that the settings tried break.
    pub broken: Vec<Remark>,
}

/// Tries other settings on the session of a log.
///
/// # Errors
/// When the menu of the log cannot be read, and when the settings tried contradict themselves.
pub fn tried(header: &Header, records: &[Record], changes: &[(Id, i64)]) -> Result<Tried, Unfit> {
    let evidence = gather::evidence(&[(header, records)])?;
    let was = plan(header, records)?;
    let then = changes.iter().fold(was.clone(), |plan, (id, raw)| with(plan, *id, *raw));
    let before = contradiction::of_session(&was.settings, &evidence);
    let new = contradiction::of_session(&then.settings, &evidence).into_iter().find(|remark| !before.contains(remark));
    if let Some(Remark { text, remedy }) = new {
        let [what, remedy] = [text, remedy].map(|text| text.trim_end_matches('.').to_string());
        return Err(Unfit { what, remedy });
    }
    let filter: Vec<(Id, i64)> = changes.iter().copied().filter(|(id, _)| FILTER.contains(id)).collect();
    let logged = Outcomes::of(header, records);
    let profile = fit(&[(header, records)]);
    let interval_s = then.settings.scan_interval().as_seconds();
    Ok(Tried {
        changes: changes.iter().map(|(id, raw)| change(*id, was.settings.raw(*id), *raw)).collect(),
        presses: (!filter.is_empty()).then(|| refiltered(header, records, &evidence, &filter)),
        selections: profile.map(|profile| selections(&logged, &profile, &was, &then)),
        broken: consistency::Judged::new(&then.settings, interval_s, &evidence).broken(),
        logged,
    })
}

fn change(id: Id, was: i64, tried: i64) -> Change {
    let how = if FILTER.contains(&id) { How::Exact } else { How::Simulated };
    let value = |raw| value_to_json(id, raw);
    Change { setting: id.setting().name, was: value(was), tried: value(tried), how, id, raws: [was, tried] }
}

/// The plan of the log with what the clinician changed on the way, as if it had been so from the start.
fn plan(header: &Header, records: &[Record]) -> Result<Plan, Unfit> {
    let plan = header.plan("log").map_err(|problem| Unfit { what: problem.what, remedy: problem.remedy })?;
    let set = |record: &Record| match &record.what {
        What::Input(Input::Set { name, value }) => {
            let id = find(name).ok()?;
            Some((id, value_from_json(id, value).ok()?))
        }
        _ => None,
    };
    Ok(records.iter().filter_map(set).fold(plan, |plan, (id, raw)| with(plan, id, raw)))
}

/// The plan under another value, wherever its protocol states one.
fn with(mut plan: Plan, id: Id, raw: i64) -> Plan {
    let name = id.setting().name;
    plan.settings = plan.settings.with(id, raw);
    plan.protocol.settings.remove(name);
    plan.protocol.blocks.iter_mut().for_each(|block| _ = block.settings.remove(name));
    plan
}
