//! The practice plan of a client as it is edited at the desk, until it is a whole one that can be written.

use std::sync::LazyLock;

use crate::code::ClientCode;
use crate::practice::plan::{self, Advised, Bounds, Goal, Help, HelpBy, Pace, Plan};
use crate::practice::steps::STEPS;
use crate::problem::Problem;

/// Steps that a first plan holds: up to the highlight over three items.
const FIRST: usize = 5;
/// Minutes of a first plan (common practice, no source).
const MINUTES: f64 = 10.0;

/// Each step with its name for people, the easiest first.
pub static NAMES: LazyLock<Vec<(&'static str, String)>> =
    LazyLock::new(|| STEPS.iter().map(|step| (step.id, step.protocol().0.name)).collect());

/// A plan to begin with. `help` is how the client calls for help, as far as it is known; `advised_s` the scan interval
/// that the settings sheet holds, in seconds, on the day `today`.
#[must_use]
pub fn fresh(client: &ClientCode, help: &str, advised_s: Option<f64>, today: &str) -> Plan {
    let advised = advised_s.map(|seconds| Advised { scan_interval: Some(seconds), dwell: None, on: today.to_string() });
    Plan {
        format: Plan::FORMAT.into(),
        version: Plan::VERSION,
        name: format!("{client} {today}"),
        client: Some(client.to_string()),
        steps: STEPS.iter().take(FIRST).map(|step| step.id.to_string()).collect(),
        minutes: MINUTES,
        goal: Goal::Improve,
        success: 0.9,
        pace: Pace::Client,
        settings: serde_json::Map::new(),
        rest_every: None,
        limits: Bounds::default(),
        advised,
        menu: None,
        help: Help { by: HelpBy::PersonInRoom, how: help.trim().to_string() },
    }
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
        fresh(&"C07".parse().unwrap(), help, Some(1.4), "2026-11-29")
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
