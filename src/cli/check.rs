//! `check`: what a file is, what is wrong with it, and what a protocol asks of the client.

#[path = "check_logs.rs"]
mod logs;

use std::path::Path;

use serde_json::Value;

use super::args::CheckArgs;
use super::{Done, Trouble, files, tell};
use crate::log::begins_as_a_line;
use crate::log::header::Header;
use crate::menu::Menu;
use crate::practice::plan::Plan;
use crate::problem::{Problem, Severity, shortened};
use crate::session::protocol::Protocol;
use crate::session::{protocol_file, shipped as protocols};
use crate::settings::Settings;
use crate::store;

pub(super) fn run(args: &CheckArgs) -> Done {
    let mut sound = true;
    for name in &args.files {
        let path = Path::new(name);
        if path.is_dir() {
            sound &= logs::check_folder(path, args.repair.as_deref())?;
        } else if matches!(kind(path), Some(Kind::Log)) {
            sound &= logs::check_log(path, "", args.repair.as_deref())? != logs::State::Damaged;
        } else {
            let problems = check(name)?;
            tell(&problems);
            sound &= problems.iter().all(|problem| problem.severity == Severity::Warning);
        }
    }
    // What is wrong has been told, file by file.
    if sound { Ok(()) } else { Err(Trouble::Input(Vec::new())) }
}

fn check(name: &str) -> Result<Vec<Problem>, Trouble> {
    if let Some((protocol, menu)) = protocols::find(name) {
        return Ok(tell_cost(name, &protocol, &menu));
    }
    if let Some(menu) = crate::menu::shipped::find(name) {
        tell_menu(name, &menu);
        return Ok(Vec::new());
    }
    let path = Path::new(name);
    match kind(path) {
        Some(Kind::Menu) => {
            let (menu, problems) = crate::menu::file::read(name, store::read_whole(path)?);
            if let Some(menu) = menu {
                tell_menu(name, &menu);
            }
            Ok(problems)
        }
        Some(Kind::Plan) => {
            let (plan, problems) = crate::practice::plan::read(name, store::read_whole(path)?);
            if let Some(plan) = plan {
                let (steps, minutes) = (plan.steps.join(", "), plan.minutes);
                say!("{name}: the practice plan `{}`: {steps}; at most {minutes} minutes a session", plan.name);
                say!("{name}: the carer is asked before each start: {}", plan.help.question());
            }
            Ok(problems)
        }
        Some(Kind::Other(what)) => Ok(vec![Problem::error(name, None, what, "give one of these")]),
        Some(Kind::Log | Kind::Protocol) | None => {
            let read = protocol_file::read(name, store::read_whole(path)?, |menu| files::menu_beside(path, menu));
            let mut problems = read.problems;
            if let Some((protocol, menu)) = read.protocol {
                problems.extend(tell_cost(name, &protocol, &menu));
            }
            Ok(problems)
        }
    }
}

enum Kind {
    Log,
    Menu,
    Plan,
    Protocol,
    /// None of these, with the reason.
    Other(String),
}

const NONE: &str = "no session log, menu, protocol or practice plan";

/// What the file says it is, in its first line or in its `format`; `None` where that cannot be told.
fn kind(path: &Path) -> Option<Kind> {
    use std::io::{BufRead as _, Read as _};
    let file = std::fs::File::open(path).ok()?;
    let mut first = Vec::new();
    std::io::BufReader::new(file.take(1 << 22)).read_until(b'\n', &mut first).ok()?;
    let of = |value: &Value| match value.get("format").and_then(Value::as_str) {
        Some(Header::FORMAT) => Some(Kind::Log),
        Some(Protocol::FORMAT) => Some(Kind::Protocol),
        Some(Plan::FORMAT) => Some(Kind::Plan),
        Some(crate::menu::file::FORMAT) => Some(Kind::Menu),
        Some(other) => Some(Kind::Other(format!("it is a `{}`, {NONE}", shortened(other)))),
        None => None,
    };
    if begins_as_a_line(&first) {
        return Some(Kind::Log);
    }
    if begins_no_object(&first) {
        return Some(Kind::Other(format!("it is {NONE}: these begin with `{{`")));
    }
    if let Ok(value) = serde_json::from_slice::<Value>(&first) {
        return of(&value);
    }
    let whole: Value = serde_json::from_slice(&store::read_whole(path).ok()?).ok()?;
    of(&whole)
}

/// Whether something else than a JSON object begins here. Text of 16 bits a letter may be one that was saved wrongly.
fn begins_no_object(bytes: &[u8]) -> bool {
    let bytes = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes).trim_ascii_start();
    bytes.first().is_some_and(|first| !matches!(first, b'{' | 0xfe | 0xff))
}

fn tell_menu(name: &str, menu: &Menu) {
    say!("{name}: the menu `{}` with {} items", menu.name, menu.items().len());
}

/// Prints what the protocol asks of the client; gives the warnings.
fn tell_cost(name: &str, protocol: &Protocol, menu: &Menu) -> Vec<Problem> {
    let settings = Settings::from_json(&protocol.settings).unwrap_or_default();
    match protocol.cost(menu, &settings) {
        Ok(cost) => {
            say!("{name}: the protocol `{}`, {} blocks, {cost}", protocol.name, protocol.blocks.len());
            protocol.cost_warnings(&cost, name)
        }
        Err(error) => vec![Problem::error(name, None, error.to_string(), "`pacewright settings` lists them all")],
    }
}
