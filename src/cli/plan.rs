//! From arguments to the plan of a session and the header of its log.

use super::Trouble;
use crate::log::header::{Header, Measured};
use crate::menu::Menu;
use crate::problem::Problem;
use crate::session::protocol::Protocol;
use crate::session::setup::Setup;
use crate::session::{Plan, words};
use crate::settings::{Id, Settings, find, parse_value};
use crate::store::wall_clock;

/// The plan: the protocol's settings over the defaults, the `NAME=VALUE` changes over both.
pub(super) fn plan(protocol: Protocol, menu: Menu, changes: &[String], seed: u64) -> Result<Plan, Trouble> {
    let settings = Settings::from_json(&protocol.settings).map_err(|error| setting_problem(&error.to_string()))?;
    Ok(Plan { protocol, menu, settings: changed(settings, changes)?, seed })
}

/// Settings with the `NAME=VALUE` changes.
pub(super) fn changed(mut settings: Settings, changes: &[String]) -> Result<Settings, Trouble> {
    for change in changes {
        change_setting(&mut settings, change)?;
    }
    Ok(settings)
}

/// Makes one `NAME=VALUE` change.
pub(super) fn change_setting(settings: &mut Settings, text: &str) -> Result<(), Trouble> {
    let (id, raw) = change(text)?;
    settings.set_raw(id, raw).map_err(|error| setting_problem(&error.to_string()))
}

/// The setting and the value of a `NAME=VALUE`.
pub(super) fn change(text: &str) -> Result<(Id, i64), Trouble> {
    let (name, value) =
        text.split_once('=').ok_or_else(|| setting_problem(&format!("`{text}` is no setting; write `name=value`")))?;
    let id = find(name.trim()).map_err(|error| setting_problem(&error.to_string()))?;
    let raw = parse_value(id, value).map_err(|error| setting_problem(&error.to_string()))?;
    Ok((id, raw))
}

/// A session that is not to repeat draws its order from the time of day.
#[cfg_attr(not(feature = "app"), allow(dead_code))] // Only the window never repeats.
pub(super) fn seed_of_the_clock() -> Result<u64, Trouble> {
    Ok(wall_clock()?.timestamp().as_microsecond().unsigned_abs())
}

fn setting_problem(what: &str) -> Trouble {
    Problem::error("--set", None, what, "`pacewright settings` lists them all").into()
}

/// The header of the log of this plan.
pub(super) fn header(plan: &Plan, client: &str, began: String, setup: Setup, measured: Measured) -> Header {
    Header {
        client: client.to_string(),
        began,
        setup: Setup { text_version: words::TEXT_VERSION, language: words::LANGUAGE.to_string(), ..setup },
        measured,
        ..Header::for_plan(plan)
    }
}
