//! Advice and comparisons as JSON; `docs/json.md` names every field.

use serde_json::{Value, json};

use super::confirm::Verdict;
use super::overview::{Overview, SetUpOverview};
use super::recommendation::{Advice, Recommendation};
use super::set_up::SetUpAdvice;
use super::sheet::Sheet;
use crate::analysis::gather::Unfit;
use crate::settings::{Id, Settings};

fn advice(advice: &SetUpAdvice) -> Value {
    json!({
        "recommendations": recommendations(&advice.recommendations, &advice.verdict),
        "sheet": sheet(&advice.sheet, &advice.evidence.settings),
        "confirm": confirm(&advice.verdict),
    })
}

/// Several sessions of one client; `began` names a session by its place among all.
#[must_use]
pub fn overview(overview: &Overview, began: impl Fn(usize) -> String) -> Value {
    json!({
        "set_ups": overview.set_ups.iter().map(|one| set_up(one, &began)).collect::<Vec<_>>(),
        "comparisons": overview.comparisons,
    })
}

fn set_up(one: &SetUpOverview, began: impl Fn(usize) -> String) -> Value {
    let named = |sessions: &[usize]| sessions.iter().map(|index| began(*index)).collect::<Vec<_>>();
    let mut object = told(&one.advice);
    object["name"] = json!(one.set_up.name);
    object["sessions"] = json!(named(&one.set_up.sessions));
    object["measured"] = json!(named(&one.measured));
    object["other_menu"] = json!(named(&one.set_up.other_menu));
    object["ratings"] = json!(one.said);
    object["changes"] = json!(one.changes);
    object
}

/// What to set, or why nothing can be advised: `recommendations`, `sheet`, `confirm`, `no_recommendations`.
#[must_use]
pub fn told(found: &Result<SetUpAdvice, Unfit>) -> Value {
    let nothing = || json!({ "recommendations": [], "sheet": null, "confirm": null });
    let mut object = found.as_ref().map_or_else(|_| nothing(), advice);
    object["no_recommendations"] = json!(found.as_ref().err().map(Unfit::to_string));
    object
}

fn recommendations(list: &[Recommendation], verdict: &Verdict) -> Vec<Value> {
    let told = |one: &Recommendation| {
        let mut object = json!(one);
        let valued = matches!(one.advice, Advice::Set { .. });
        object["status"] = json!(valued.then(|| verdict.status()));
        object
    };
    list.iter().map(told).collect()
}

fn sheet(sheet: &Sheet, in_force: &Settings) -> Value {
    let names = |ids: &[Id]| ids.iter().map(|id| id.setting().name).collect::<Vec<_>>();
    json!({
        "settings": sheet.settings.to_json(),
        "in_force": in_force.to_json(),
        "advised": names(&sheet.advised),
        "changed": names(&sheet.changed),
        "broken": sheet.broken,
    })
}

fn confirm(verdict: &Verdict) -> Value {
    let mut object = json!(verdict);
    object["text"] = Value::from(verdict.text());
    object
}
