//! The first line of a log: all that is needed to run the session again and to judge its numbers.

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::menu::Menu;
use crate::problem::{Problem, Severity};
use crate::session::Plan;
use crate::session::practice::Practice;
use crate::session::protocol::Protocol;
use crate::session::setup::Setup;
use crate::settings::Settings;

/// The header. The wall clock and everything measured on the machine stand here and nowhere else,
/// so that two runs with one seed differ on this line only.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Header {
    /// Always [`Header::FORMAT`].
    pub format: String,
    /// Version of the format.
    pub version: u32,
    /// Version of the program that wrote it.
    pub program: String,
    /// Code of the client.
    pub client: String,
    /// A virtual client pressed: the data are invented.
    pub invented: bool,
    /// Wall clock at [`crate::time::Moment::START`], RFC 3339 with offset.
    pub began: String,
    /// Seed of all draws.
    pub seed: u64,
    /// The log of the session that was broken off and is continued here, by its file name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub continues: Option<String>,
    /// What was practised; only a practice session has it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub practice: Option<Practice>,
    /// Circumstances.
    pub setup: Setup,
    /// All settings at the start.
    pub settings: Settings,
    /// The protocol in full.
    pub protocol: Protocol,
    /// The menu in full, as in a menu file.
    pub menu: Value,
    /// What was measured of clock, frames and input before the start.
    pub measured: Measured,
}

/// How good the rulers were. Zero means that it was not measured.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Measured {
    /// Least step of the clock, in nanoseconds.
    pub clock_step_ns: u64,
    /// Cost of reading the clock, in nanoseconds.
    pub clock_read_ns: u64,
    /// Median interval between frames, in microseconds.
    pub frame_interval_us: u64,
    /// Median time from a scene's deadline to its frame's hand-over, in microseconds.
    pub frame_lag_us: u64,
    /// Steps at which the input device is polled, in microseconds; 0 where it is not polled.
    pub input_step_us: u64,
    /// Median time from a call of another thread to its arrival at the window thread, in microseconds.
    pub pump_lag_us: u64,
    /// Kind of display and driver.
    pub display: String,
    /// The sound device, or why there was none; empty where nothing was to be heard.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub sound: String,
    /// Time from opening the sound device to its first pull, in microseconds; 0 where none plays.
    #[serde(skip_serializing_if = "is_zero")]
    pub sound_start_us: u64,
    /// Time from the due time of every sound to its being heard, in microseconds; 0 where no device plays.
    #[serde(skip_serializing_if = "is_zero")]
    pub sound_latency_us: u64,
}

fn is_zero(number: &u64) -> bool {
    *number == 0
}

impl Measured {
    /// Delay that is taken to stand inside every measured latency, in microseconds: from the hand-over of a frame
    /// to its light, taken as one frame (drivers queue none to two, and no light sensor measured it), and on
    /// average half a step of the input's polling. What lies before the hand-over is no part of a latency, for
    /// latencies begin there. `None` when frames were not measured.
    #[must_use]
    pub fn lag_us(&self) -> Option<u64> {
        (self.frame_interval_us > 0).then(|| self.frame_interval_us + self.input_step_us / 2)
    }
}

impl Header {
    /// What the `format` field holds.
    pub const FORMAT: &'static str = "pacewright session log";
    /// The version written; older ones are read.
    pub const VERSION: u32 = 1;

    /// The header of a session run by this program; client, set-up and measurements are still empty.
    #[must_use]
    pub fn for_plan(plan: &Plan) -> Header {
        Header {
            format: Header::FORMAT.into(),
            version: Header::VERSION,
            program: env!("CARGO_PKG_VERSION").into(),
            client: String::new(),
            invented: false,
            began: String::new(),
            seed: plan.seed,
            continues: None,
            practice: None,
            setup: Setup::default(),
            settings: plan.settings.clone(),
            protocol: plan.protocol.clone(),
            menu: plan.menu.to_json(),
            measured: Measured::default(),
        }
    }

    /// The plan of the logged session; `file` names the log in the problem.
    ///
    /// # Errors
    /// When its menu is none: the first problem found in it.
    pub fn plan(&self, file: &str) -> Result<Plan, Problem> {
        let (menu, problems) = Menu::from_json("menu", &self.menu);
        let menu = menu.ok_or_else(|| {
            let first = problems.into_iter().find(|problem| problem.severity == Severity::Error);
            let why = first.map_or_else(|| "it is none".into(), |problem| problem.what);
            Problem::error(file, Some(1), format!("cannot use the menu in the header: {why}"), "copy the file again")
        })?;
        Ok(Plan { protocol: self.protocol.clone(), menu, settings: self.settings.clone(), seed: self.seed })
    }
}

/// Why a header cannot be used, and whether reading on makes no sense.
pub(super) struct Unfit {
    pub(super) what: String,
    pub(super) remedy: &'static str,
    pub(super) stop: bool,
}

#[derive(Deserialize)]
struct Preface {
    format: String,
    version: u32,
}

/// The header that a line states, with its version if that is an older one.
pub(super) fn understand(text: &str) -> Result<(Header, Option<u32>), Unfit> {
    let unreadable = |error: serde_json::Error| Unfit {
        what: format!("the header cannot be understood: {error}"),
        remedy: "without it the records cannot be judged",
        stop: false,
    };
    let preface: Preface = serde_json::from_str(text).map_err(unreadable)?;
    if preface.format != Header::FORMAT {
        let what = format!("the format is `{}`, not `{}`", preface.format, Header::FORMAT);
        return Err(Unfit { what, remedy: "give a session log", stop: true });
    }
    if preface.version > Header::VERSION {
        let what = format!("the log has version {}, this program reads up to {}", preface.version, Header::VERSION);
        return Err(Unfit { what, remedy: "read it with a newer pacewright", stop: true });
    }
    let header = serde_json::from_str(text).map_err(unreadable)?;
    Ok((header, (preface.version < Header::VERSION).then_some(preface.version)))
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A small header for the tests of this layer.
    pub(crate) fn header() -> Header {
        let protocol = serde_json::json!({
            "format": Protocol::FORMAT, "version": Protocol::VERSION, "name": "short", "menu": "six",
            "blocks": [{"kind": "reaction", "trials": 3, "wait": [2.1, 0.1 + 0.2]}],
        });
        let plan = Plan {
            protocol: serde_json::from_value(protocol).unwrap(),
            menu: crate::menu::shipped::find("six").unwrap(),
            settings: Settings::default(),
            seed: u64::MAX,
        };
        let began = "2026-01-02T03:04:05+01:00".into();
        Header { client: "A1".into(), invented: true, began, ..Header::for_plan(&plan) }
    }

    #[test]
    fn a_header_reads_back_exactly_and_gives_the_plan_again() {
        let text = serde_json::to_string(&header()).unwrap();
        let read: Header = serde_json::from_str(&text).unwrap();
        assert_eq!(read, header());
        let plan = read.plan("a.jsonl").unwrap();
        assert_eq!((Header::for_plan(&plan).menu, plan.seed), (header().menu, u64::MAX));
        assert_eq!(plan.menu, crate::menu::shipped::find("six").unwrap());
    }

    #[test]
    fn a_menu_that_is_none_is_told() {
        let problem = Header { menu: Value::Null, ..header() }.plan("a.jsonl").unwrap_err().to_string();
        assert!(problem.starts_with("`a.jsonl`, line 1: cannot use the menu in the header: "), "{problem}");
    }
}
