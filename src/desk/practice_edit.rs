//! The practice plan of a client as it is edited at the desk, until it is a whole one that can be written.

use std::sync::LazyLock;

use serde_json::{Map, Value};

use crate::code::ClientCode;
use crate::practice::plan::{self, Advised, Bounds, Goal, Help, HelpBy, Pace, Plan};
use crate::practice::steps::STEPS;
use crate::problem::Problem;
use crate::settings::{Id, Settings, Technique, value_to_json};

/// Steps that a first plan holds: up to the highlight over three items.
const FIRST: usize = 5;
/// Minutes of a first plan (common practice, no source).
const MINUTES: f64 = 10.0;

/// Each step with its name for people, the easiest first.
pub static NAMES: LazyLock<Vec<(&'static str, String)>> =
    LazyLock::new(|| STEPS.iter().map(|step| (step.id, step.protocol().0.name)).collect());

/// A plan to begin with. `help` is how the client calls for help, as far as it is known; `sheet` what the settings
/// sheet holds on the day `today`. The client practises as the sheet has it: technique, hold time and all.
#[must_use]
pub fn fresh(client: &ClientCode, help: &str, sheet: Option<&Settings>, today: &str) -> Plan {
    let points = sheet.is_some_and(|sheet| sheet.technique() == Technique::Dwell);
    let advised = sheet.map(|sheet| {
        let [scan_interval, dwell] = [sheet.scan_interval(), sheet.dwell()].map(|span| Some(span.as_seconds()));
        let on = today.to_string();
        if points { Advised { scan_interval: None, dwell, on } } else { Advised { scan_interval, dwell: None, on } }
    });
    let steps = STEPS.iter().filter(|step| !points || !step.needs_a_switch()).take(FIRST);
    Plan {
        format: Plan::FORMAT.into(),
        version: Plan::VERSION,
        name: format!("{client} {today}"),
        client: Some(client.to_string()),
        steps: steps.map(|step| step.id.to_string()).collect(),
        minutes: MINUTES,
        goal: Goal::Improve,
        success: 0.9,
        pace: Pace::Client,
        settings: sheet.map(own_settings).unwrap_or_default(),
        rest_every: None,
        limits: Bounds::default(),
        advised,
        menu: None,
        help: Help { by: HelpBy::PersonInRoom, how: help.trim().to_string() },
    }
}

/// What the sheet has otherwise than it is by itself, but for what practice paces.
fn own_settings(sheet: &Settings) -> Map<String, Value> {
    let plain = Settings::default();
    let own = sheet.differences(&plain).filter(|id| !matches!(id, Id::ScanInterval | Id::Dwell));
    own.map(|id| (id.setting().name.to_string(), value_to_json(id, sheet.raw(id)))).collect()
}

/// Takes a step into the plan or out of it; the easier ones stay before the harder.
pub fn choose(plan: &mut Plan, step: &str, wanted: bool) {
    let keeps = |id: &str| if id == step { wanted } else { plan.steps.iter().any(|known| known == id) };
    plan.steps = STEPS.iter().map(|step| step.id).filter(|id| keeps(id)).map(str::to_string).collect();
}

/// The plan as a file, and what is wrong with it; a file only where it could be practised by.
#[must_use]
pub fn written(plan: &Plan) -> (Option<String>, Vec<Problem>) {
    let text = serde_json::to_string_pretty(plan).unwrap_or_default() + "\n";
    let (read, problems) = plan::read("practice plan", &text);
    (read.map(|_| text), problems)
}

/// Its name in the data folder.
#[must_use]
pub fn file_name(client: &ClientCode) -> String {
    format!("{client}-practice-plan.json")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fresh_plan(help: &str) -> Plan {
        let sheet = Settings::default().with(Id::ScanInterval, 1_400_000);
        fresh(&"C07".parse().unwrap(), help, Some(&sheet), "2026-11-29")
    }

    #[test]
    fn a_fresh_plan_practises_as_the_sheet_has_it() {
        let sheet = Settings::for_technique("step").with(Id::Hold, 300_000).with(Id::ScanInterval, 1_400_000);
        let plan = fresh(&"C07".parse().unwrap(), "the night nurse", Some(&sheet), "2026-11-29");
        assert_eq!((plan.settings["technique"].as_str(), plan.settings["hold"].as_f64()), (Some("step"), Some(0.3)));
        assert_eq!((plan.advised_s(), written(&plan).1), (Some(1.4), vec![]));
        let pointer = Settings::for_technique("dwell").with(Id::Dwell, 900_000);
        let plan = fresh(&"C07".parse().unwrap(), "the night nurse", Some(&pointer), "2026-11-29");
        assert_eq!((plan.advised_s(), plan.steps[0].as_str()), (Some(0.9), "two-items"));
        assert_eq!(written(&plan).1, [], "what a pointer cannot practise is not in it");
    }

    #[test]
    fn a_fresh_plan_lacks_nothing_but_the_way_to_call_for_help() {
        let (text, problems) = written(&fresh_plan("  "));
        assert!(text.is_none() && problems.len() == 1 && problems[0].what.contains("`how` is empty"), "{problems:?}");
        let plan = fresh_plan("the night nurse");
        let (text, problems) = written(&plan);
        assert_eq!(problems, []);
        assert_eq!(plan::read("plan", text.unwrap()).0, Some(plan));
    }

    #[test]
    fn steps_stay_in_their_order_and_a_plan_without_any_cannot_be_written() {
        let mut plan = fresh_plan("the night nurse");
        choose(&mut plan, "household", true);
        choose(&mut plan, "five-items", true);
        choose(&mut plan, "anything", false);
        assert_eq!(plan.steps, ["when-lit", "wait-then-press", "two-items", "three-items", "five-items", "household"]);
        STEPS.iter().for_each(|step| choose(&mut plan, step.id, false));
        assert!(written(&plan).0.is_none());
    }

    #[test]
    fn a_contradiction_is_told_and_nothing_is_written() {
        let mut plan = fresh_plan("the night nurse");
        plan.limits = Bounds { shortest: Some(3.0), longest: Some(2.0), locked: false };
        let (text, problems) = written(&plan);
        assert!(text.is_none() && problems.iter().any(|problem| problem.what.contains("longer than")), "{problems:?}");
    }
}
