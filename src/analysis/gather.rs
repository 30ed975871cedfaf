//! From the records of one or more sessions to the evidence of one client and set-up.

use std::fmt;

use super::evidence::Evidence;
use super::opportunities::opportunities;
use super::reading::Reading;
use crate::log::header::Header;
use crate::menu::Menu;
use crate::session::event::{BlockKind, Event};
use crate::session::record::{Record, What};
use crate::settings::Settings;

/// Why sessions cannot be judged together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unfit {
    /// What is wrong.
    pub what: String,
    /// What to do about it.
    pub remedy: String,
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "cannot judge these sessions together: {}; {}", self.what, self.remedy)
    }
}

impl std::error::Error for Unfit {}

/// The evidence of `sessions`, which are in order of time.
///
/// Any list of records will do, a damaged log's too: what is missing is missing from the evidence.
///
/// # Errors
/// When there is no session, when two differ in client, set-up or menu, or when a menu cannot be
/// read.
pub fn evidence(sessions: &[(&Header, &[Record])]) -> Result<Evidence, Unfit> {
    let ((first, _), (last, last_records)) =
        sessions.first().zip(sessions.last()).ok_or_else(|| unfit("there is none", "give at least one session log"))?;
    for (header, _) in sessions {
        alike(first, header)?;
    }
    let menu = menu(last)?;
    let mut evidence = Evidence {
        setup: first.setup.clone(),
        menu,
        settings: last_settings(last, last_records).clone(),
        sessions: sessions.len() as u32,
        invented: sessions.iter().any(|(header, _)| header.invented),
        opportunities: Vec::new(),
        contacts: Vec::new(),
        quiet_s: 0.0,
        involuntary: 0,
        lag_s: lag_s(sessions),
    };
    for (index, (header, records)) in sessions.iter().enumerate() {
        add(&mut evidence, index as u32, header, records);
    }
    Ok(evidence)
}

fn add(evidence: &mut Evidence, session: u32, header: &Header, records: &[Record]) {
    let reading = Reading::of(header, records);
    let found = opportunities(session, header, &evidence.menu, records, &reading);
    evidence.opportunities.extend(found);
    for block in reading.blocks.iter().filter(|block| block.kind == BlockKind::QuietWatch) {
        evidence.quiet_s += (block.length() - block.idle).as_seconds();
        evidence.involuntary += block.unwanted;
    }
}

/// Whether the session of `other` may stand beside that of `first`.
fn alike(first: &Header, other: &Header) -> Result<(), Unfit> {
    let set_up = |header: &Header| {
        let setup = header.setup.clone();
        [
            ("client", header.client.clone(), "give the logs of one client at a time"),
            ("site", setup.site, "give the logs of one site at a time"),
            ("side", setup.side, "give the logs of one side at a time"),
            ("switch", setup.switch, "give the logs of one switch at a time"),
            ("mounting", setup.mounting, "give the logs of one mounting at a time"),
            ("position", setup.position, "give the logs of one body position at a time"),
        ]
    };
    for ((name, one, remedy), (_, two, _)) in set_up(first).into_iter().zip(set_up(other)) {
        if one != two {
            return Err(unfit(&format!("the {name} differs (`{one}` and `{two}`)"), remedy));
        }
    }
    if first.menu != other.menu {
        return Err(unfit("the menu differs", "give the logs that were taken with one menu"));
    }
    Ok(())
}

fn menu(header: &Header) -> Result<Menu, Unfit> {
    let plan = header.plan("log").map_err(|problem| unfit(&problem.what, &problem.remedy))?;
    Ok(plan.menu)
}

fn unfit(what: &str, remedy: &str) -> Unfit {
    Unfit { what: what.to_string(), remedy: remedy.to_string() }
}

/// The settings in force at the end.
fn last_settings<'a>(header: &'a Header, records: &'a [Record]) -> &'a Settings {
    let values = records.iter().rev().find_map(|record| match &record.what {
        What::Event(Event::Settings { values, .. }) => Some(&**values),
        _ => None,
    });
    values.unwrap_or(&header.settings)
}

/// Frame lag and, on average, half a step of the input; the mean of the sessions that measured it.
fn lag_s(sessions: &[(&Header, &[Record])]) -> Option<f64> {
    let measured = sessions.iter().map(|(header, _)| &header.measured).filter(|measured| measured.frame_lag_us > 0);
    let lags: Vec<f64> =
        measured.map(|measured| (measured.frame_lag_us as f64 + measured.input_step_us as f64 / 2.0) / 1e6).collect();
    (!lags.is_empty()).then(|| lags.iter().sum::<f64>() / lags.len() as f64)
}
