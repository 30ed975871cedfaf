//! Advice and comparisons as JSON; `docs/json.md` names every field.

use serde_json::{Value, json};

use super::confirm::Verdict;
use super::recommendation::{Advice, Recommendation};
use super::set_up::SetUpAdvice;
use super::sheet::Sheet;
use crate::settings::{Id, Settings};

/// Recommendations, sheet and verdict of one set-up.
#[must_use]
pub fn advice(advice: &SetUpAdvice) -> Value {
    json!({
        "recommendations": recommendations(&advice.recommendations, &advice.verdict),
        "sheet": sheet(&advice.sheet, &advice.evidence.settings),
        "confirm": confirm(&advice.verdict),
    })
}

fn recommendations(list: &[Recommendation], verdict: &Verdict) -> Vec<Value> {
    let told = |one: &Recommendation| {
        let mut object = json!(one);
        let valued = matches!(one.advice, Advice::Set { .. } | Advice::Choose { .. });
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
