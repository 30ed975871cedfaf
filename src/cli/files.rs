//! Files and shipped texts by name, for the commands.

use std::path::{Path, PathBuf};

use serde_json::Value;

use super::{Trouble, pass, tell};
use crate::code::ClientCode;
use crate::json::shape::Shape;
use crate::log::header::Header;
use crate::log::reader::LogFile;
use crate::menu::Menu;
use crate::menu::shipped as menus;
use crate::problem::{Findings, Problem, Severity};
use crate::session::protocol::Protocol;
use crate::session::record::Record;
use crate::session::{protocol_file, shipped as protocols};
use crate::settings::Settings;
use crate::sim::profile::{Profile, shipped as profiles};
use crate::store;

/// A protocol and its menu, by shipped name or from a file.
pub(super) fn protocol(name: &str) -> Result<(Protocol, Menu), Trouble> {
    if let Some(found) = protocols::find(name) {
        return Ok(found);
    }
    let path = Path::new(name);
    let text = bytes(path, || known(protocols::PROTOCOLS))?;
    let read = protocol_file::read(name, text, |menu| menu_beside(path, menu));
    pass(read.protocol, read.problems)
}

/// The menu that a protocol names: shipped, or a file in the protocol's folder.
pub(super) fn menu_beside(protocol: &Path, name: &str) -> Option<Menu> {
    menus::find(name).or_else(|| {
        let path = protocol.parent().unwrap_or(Path::new("")).join(name);
        let text = store::read_whole(&path).ok()?;
        crate::menu::file::read(&path.display().to_string(), text).0
    })
}

/// The code of a client; one that looks like a name is warned of.
pub(super) fn client(code: &str) -> Result<ClientCode, Trouble> {
    let client: ClientCode = code
        .parse()
        .map_err(|error: crate::code::CodeError| Problem::error("--client", None, error.to_string(), "never a name"))?;
    if let Some(warning) = client.warning() {
        aside!("warning: {warning}");
    }
    Ok(client)
}

/// A menu, by shipped name or from a file.
pub(super) fn menu(name: &str) -> Result<Menu, Trouble> {
    let (menu, problems) = crate::menu::file::read(name, menu_text(name)?);
    pass(menu, problems)
}

/// The text of a menu, by shipped name or from a file.
pub(super) fn menu_text(name: &str) -> Result<Vec<u8>, Trouble> {
    let shipped = menus::MENUS.iter().find(|(known, _)| *known == name).map(|(_, text)| text.as_bytes().to_vec());
    shipped.map_or_else(|| bytes(Path::new(name), || known(menus::MENUS)), Ok)
}

/// Timing settings from a file: an object of names and values, as in a protocol's `settings`. What is left out
/// stays at its default.
pub(super) fn settings(path: &Path) -> Result<Settings, Trouble> {
    let file = path.display().to_string();
    let root = crate::json::read(&file, store::read_whole(path)?)?;
    let mut findings = Findings::of(&file);
    Shape::Settings.check("the settings", &root, &mut findings);
    let settings = match root.to_value() {
        Value::Object(object) if !findings.fatal() => Settings::from_json(&object).ok(),
        _ => None,
    };
    pass(settings, findings.sorted())
}

/// A virtual client, by shipped name or from a file.
pub(super) fn profile(name: &str) -> Result<Profile, Trouble> {
    if let Some(profile) = profiles::find(name) {
        return Ok(profile);
    }
    let text = bytes(Path::new(name), || known(profiles::CLIENTS))?;
    let (profile, problems) = crate::sim::profile::read(name, text);
    pass(profile, problems)
}

/// A log and what is wrong with it.
pub(super) fn log(path: &Path) -> Result<(LogFile, Vec<Problem>), Trouble> {
    Ok(store::read_log(path)?)
}

/// The session of a log that can be judged.
pub(super) struct Log {
    pub path: PathBuf,
    pub header: Header,
    pub records: Vec<Record>,
    /// The first line that is damaged, or before which something is missing.
    pub damaged: Option<u32>,
}

/// Reads a log; damage that can be read around is told.
pub(super) fn session(path: &Path) -> Result<Log, Trouble> {
    let (mut log, problems) = log(path)?;
    let Some(header) = log.header.take() else { return Err(Trouble::Input(problems)) };
    tell(&problems);
    let errors = problems.iter().filter(|problem| problem.severity == Severity::Error);
    let damaged = errors.filter_map(|problem| problem.line).chain(log.first_gap).min();
    Ok(Log { path: path.into(), header, records: log.into_known(), damaged })
}

/// Reads a whole file of at most a few megabytes.
pub(super) fn bytes(path: &Path, known: impl FnOnce() -> String) -> Result<Vec<u8>, Trouble> {
    store::read_whole(path).map_err(|mut problem| {
        problem.remedy = format!("{}; {}", problem.remedy, known());
        problem.into()
    })
}

fn known(shipped: &[(&str, &str)]) -> String {
    let names: Vec<&str> = shipped.iter().map(|(name, _)| *name).collect();
    format!("shipped are {}", names.join(", "))
}

/// The report that belongs to a log: beside it, with its name.
pub(super) fn report_beside(log: &Path) -> PathBuf {
    log.with_extension("html")
}
