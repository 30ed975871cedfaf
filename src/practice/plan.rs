//! The practice plan: what is practised, how long, within which limits, and how the client calls for help.
//!
//! ```json
//! {
//!   "format": "pacewright practice plan",
//!   "version": 1,
//!   "name": "Three weeks at home",
//!   "client": "C07",
//!   "steps": ["two-items", "three-items", "household"],
//!   "minutes": 10,
//!   "goal": "improve",
//!   "success": 0.9,
//!   "limits": { "shortest": 0.6, "longest": 4 },
//!   "advised": { "scan_interval": 1.4, "on": "2026-11-20" },
//!   "help": { "by": "second-means", "how": "the call button at the left hand" }
//! }
//! ```
//!
//! Without `help` the plan cannot be used: the practice menu calls nobody. Nothing here opens a file or
//! reads a clock.

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use super::pacing::Limits;
use super::steps::{self, Step};
use crate::json::Located;
use crate::json::shape::{Shape, needed, optional};
use crate::problem::{Findings, Problem, did_you_mean, shortened};
pub use crate::session::practice::Goal;
use crate::settings::Id;
use crate::time::Span;

/// A whole plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// Always [`Plan::FORMAT`].
    pub format: String,
    /// Version of the format; this program reads [`Plan::VERSION`].
    pub version: u32,
    /// What it is called.
    pub name: String,
    /// Code of the client, never a name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub client: Option<String>,
    /// Steps by name, in the order in which they are practised; never empty.
    pub steps: Vec<String>,
    /// Agreed length of a session, in minutes; it is never longer.
    pub minutes: f64,
    /// What practice is for.
    pub goal: Goal,
    /// Wanted share of presses in time.
    #[serde(default = "nine_in_ten")]
    pub success: f64,
    /// By what the scan interval changes.
    #[serde(default)]
    pub pace: Pace,
    /// Timing settings advised for the client, by their names in the registry; a step's own come before them.
    #[serde(default, skip_serializing_if = "Map::is_empty")]
    pub settings: Map<String, Value>,
    /// Rest is offered after this many attempts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rest_every: Option<u32>,
    /// The clinician's limits.
    #[serde(default)]
    pub limits: Bounds,
    /// The last advice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub advised: Option<Advised>,
    /// The client's own menu: a shipped menu, or a file beside the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub menu: Option<String>,
    /// How the client calls for help while practising.
    pub help: Help,
}

fn nine_in_ten() -> f64 {
    0.9
}

/// By what the scan interval changes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pace {
    /// By what the client's presses say.
    #[default]
    Client,
    /// By published steps from 1.1 to 0.7 s ([`super::compare::STEPPED`]).
    Stepped,
}

/// The clinician's limits of the scan interval, or of the dwell time where a pointer works it, in seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Bounds {
    /// Never shorter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shortest: Option<f64>,
    /// Never longer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub longest: Option<f64>,
    /// The advised value stays.
    pub locked: bool,
}

/// What was advised: a scan interval, or for a plan whose technique is `dwell` a dwell time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Advised {
    /// In seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scan_interval: Option<f64>,
    /// In seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dwell: Option<f64>,
    /// The day, as 2026-11-20.
    pub on: String,
}

/// How the client calls for help while practising.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Help {
    /// By what.
    pub by: HelpBy,
    /// In words: which means, or who.
    pub how: String,
}

/// What help is called by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HelpBy {
    /// Something beside the practised switch.
    SecondMeans,
    /// Somebody stays in the room.
    PersonInRoom,
}

impl Help {
    /// What the carer confirms before each start.
    #[must_use]
    pub fn question(&self) -> String {
        match self.by {
            HelpBy::SecondMeans => format!("Practice calls nobody. Is this at hand and working: {}?", self.how),
            HelpBy::PersonInRoom => format!("Practice calls nobody. Will somebody stay in the room: {}?", self.how),
        }
    }
}

impl Plan {
    /// What the `format` field holds.
    pub const FORMAT: &'static str = "pacewright practice plan";
    /// The version written and read.
    pub const VERSION: u32 = 1;

    /// What the pacing sets: the scan interval, or with a pointer the dwell time.
    #[must_use]
    pub fn paces(&self) -> Id {
        let technique = self.settings.get(Id::Technique.setting().name).and_then(Value::as_str);
        if technique == Some("dwell") { Id::Dwell } else { Id::ScanInterval }
    }

    /// What was advised of it, in seconds.
    #[must_use]
    pub fn advised_s(&self) -> Option<f64> {
        let advised = self.advised.as_ref()?;
        if self.paces() == Id::Dwell { advised.dwell } else { advised.scan_interval }
    }

    /// The limits that the pacing keeps; the goal "keep" is never faster than the advice.
    #[must_use]
    pub fn limits(&self) -> Limits {
        let all = Limits::of(self.paces());
        let span = |seconds: Option<f64>| seconds.and_then(Span::from_seconds);
        let advised = self.advised_s().filter(|_| self.goal == Goal::Keep);
        let shortest = span(self.limits.shortest).unwrap_or(all.shortest).max(span(advised).unwrap_or_default());
        let longest = span(self.limits.longest).unwrap_or(all.longest);
        Limits { shortest: shortest.min(longest), longest, locked: self.limits.locked }
    }
}

impl Plan {
    /// Begins with the interval that practice ended with on the day `on` (as 2026-11-20), where that is no older than
    /// the advice; says whether it does. Where what there is is kept, or the clinician has locked it, the advice
    /// stands.
    pub fn go_on_from(&mut self, interval: Span, on: &str) -> bool {
        let newer = self.advised.as_ref().is_none_or(|advised| *advised.on <= *on);
        let moves = newer && self.goal == Goal::Improve && !self.limits.locked;
        if moves {
            let seconds = Some(interval.as_seconds());
            let [scan_interval, dwell] = if self.paces() == Id::Dwell { [None, seconds] } else { [seconds, None] };
            self.advised = Some(Advised { scan_interval, dwell, on: on.to_string() });
        }
        moves
    }
}

static SHORT: Shape = Shape::Text(60);
static STEP: Shape = Shape::Text(40);
static DWELL: Shape = Shape::Number(0.3, 10.0);
static SECONDS: Shape = Shape::Number(0.3, 20.0);
static LIMITS: Shape = Shape::Table {
    what: "`limits`",
    fields: &[optional("shortest", &SECONDS), optional("longest", &SECONDS), optional("locked", &Shape::Flag)],
};
static ADVISED: Shape = Shape::Table {
    what: "`advised`",
    fields: &[optional("scan_interval", &SECONDS), optional("dwell", &DWELL), needed("on", &Shape::Text(10))],
};
static HELP: Shape = Shape::Table {
    what: "`help`",
    fields: &[needed("by", &Shape::Choice(&["second-means", "person-in-room"])), needed("how", &Shape::Text(120))],
};
static PLAN: Shape = Shape::Table {
    what: "the plan",
    fields: &[
        needed("format", &Shape::Choice(&[Plan::FORMAT])),
        needed("version", &Shape::Version(Plan::VERSION as i64)),
        needed("name", &SHORT),
        optional("client", &SHORT),
        needed("steps", &Shape::List { of: &STEP, least: 1, most: 20 }),
        needed("minutes", &Shape::Number(1.0, 30.0)),
        needed("goal", &Shape::Choice(&["improve", "keep"])),
        optional("success", &Shape::Number(0.7, 0.98)),
        optional("pace", &Shape::Choice(&["client", "stepped"])),
        optional("settings", &Shape::Settings),
        optional("rest_every", &Shape::Whole(3, 20)),
        optional("limits", &LIMITS),
        optional("advised", &ADVISED),
        optional("menu", &SHORT),
        optional("help", &HELP),
    ],
};

/// Reads a plan; `file` is its name for messages. Problems come in the order of lines.
#[must_use]
pub fn read(file: &str, bytes: impl AsRef<[u8]>) -> (Option<Plan>, Vec<Problem>) {
    let root = match crate::json::read(file, bytes) {
        Ok(root) => root,
        Err(problem) => return (None, vec![problem]),
    };
    let mut findings = Findings::of(file);
    PLAN.check("the plan", &root, &mut findings);
    if root.field("help").is_none() {
        let remedy = "add `help` with `by` (a second means, or a person in the room) and `how`: practice calls nobody";
        findings.error(root.line, "the plan does not say how the client calls for help", remedy);
    }
    let plan = if findings.fatal() { None } else { typed(&root, &mut findings) };
    if let Some(plan) = &plan {
        contradictions(plan, &root, &mut findings);
    }
    let plan = plan.filter(|_| !findings.fatal());
    (plan, findings.sorted())
}

/// The tree as a plan; its shape was checked, so this fails on our own mistake only.
fn typed(root: &Located, findings: &mut Findings) -> Option<Plan> {
    serde_json::from_value(root.to_value())
        .map_err(|error| findings.error(root.line, format!("cannot read the plan: {error}"), "correct that field"))
        .ok()
}

/// What no field can tell by itself.
fn contradictions(plan: &Plan, root: &Located, findings: &mut Findings) {
    let line = |name: &str| root.field(name).map_or(root.line, |value| value.line);
    if plan.help.how.trim().is_empty() {
        findings.error(line("help"), "`how` is empty", "say which means, or who stays in the room");
    }
    unfit_steps(plan, root, findings);
    unfit_advice(plan, line, findings);
    unfit_pace(plan, line, findings);
    if plan.menu.is_none() && plan.steps.iter().any(|step| step == "own-menu") {
        findings.warning(line("steps"), "`own-menu` without a `menu`", "name one; a shipped menu is used until then");
    }
}

fn unfit_steps(plan: &Plan, root: &Located, findings: &mut Findings) {
    for (place, at) in root.field("steps").map_or(&[][..], Located::members).iter().enumerate() {
        let step = &plan.steps[place];
        if steps::find(step).is_none() {
            let remedy = did_you_mean(step, steps::STEPS.iter().map(|step| step.id));
            findings.error(at.line, format!("unknown step `{}`", shortened(step)), remedy);
        } else if plan.steps[..place].contains(step) {
            findings.error(at.line, format!("the step `{step}` stands twice"), "remove one of them");
        } else if plan.paces() == Id::Dwell && steps::find(step).is_some_and(Step::needs_a_switch) {
            let what = format!("the step `{step}` needs a switch: a pointer that rests has no press and no hold");
            findings.error(at.line, what, "remove it; with a pointer practice begins with `two-items`");
        }
    }
}

/// Limits and advice that do not go together; `line` tells where a field stands.
fn unfit_advice(plan: &Plan, line: impl Fn(&str) -> u32, findings: &mut Findings) {
    let (shortest, longest) = (plan.limits.shortest.unwrap_or(0.3), plan.limits.longest.unwrap_or(20.0));
    if shortest > longest {
        let what = format!("`shortest` ({shortest} s) is longer than `longest` ({longest} s)");
        findings.error(line("limits"), what, "give the shorter one first");
    }
    match (&plan.advised, plan.advised_s()) {
        (Some(_), None) => {
            let name = plan.paces().setting().name;
            let what = format!("the advice has no `{name}`, which this plan's technique is paced by");
            findings.error(line("advised"), what, format!("give `{name}` in seconds"));
        }
        (Some(_), Some(advised_s)) if advised_s < shortest || advised_s > longest => {
            let what = format!("the advised {advised_s} s lies outside the limits");
            findings.error(line("advised"), what, format!("allow {shortest} to {longest} s, or ask for new advice"));
        }
        (Some(advised), _) if !is_day(&advised.on) => {
            let what = format!("`on` is `{}`", shortened(&advised.on));
            findings.error(line("advised"), what, "write the day as 2026-11-20");
        }
        (None, _) if plan.limits.locked => {
            findings.error(line("limits"), "`locked` without an advised value", "add `advised`, or unlock it");
        }
        (None, _) if plan.goal == Goal::Keep => {
            findings.error(line("goal"), "the goal is `keep`, but there is no advised value", "add `advised`");
        }
        _ => {}
    }
}

/// What goes against the pacing: its goal, a lock, a setting, a pointer; `line` tells where a field stands.
fn unfit_pace(plan: &Plan, line: impl Fn(&str) -> u32, findings: &mut Findings) {
    if plan.pace == Pace::Stepped && (plan.goal == Goal::Keep || plan.limits.locked) {
        let what = "`pace` goes by steps towards faster, but the goal is `keep` or the interval is locked";
        findings.error(line("pace"), what, "leave out `pace`, or improve without a lock");
    }
    let paced = plan.paces().setting().name;
    if plan.settings.contains_key(paced) {
        let what = format!("`{paced}` stands among the settings, but practice changes it");
        findings.error(line("settings"), what, "put it into `advised`; `limits` can lock it");
    }
    if plan.pace == Pace::Stepped && plan.paces() == Id::Dwell {
        let what = "`pace` goes by steps of the scan interval, but a pointer works it";
        findings.error(line("pace"), what, "leave it out");
    }
}

/// Four digits, two and two; whether the month has that day is not looked at.
fn is_day(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let digits = |part: &&str| part.bytes().all(|byte| byte.is_ascii_digit());
    parts.iter().map(|part| part.len()).eq([4, 2, 2]) && parts.iter().all(digits)
}

#[cfg(test)]
#[path = "plan_tests.rs"]
mod tests;
