//! An arrangement as JSON.
//!
#![doc = include_str!("../../docs/arrange.md")]

use serde_json::{Value, json};

use super::judge::Judge;
use super::proposal::{Which, compared};
use super::{Arranged, Proposed};
use crate::advice::expected_time::{Presses, Takes};
use crate::menu::Menu;
use crate::settings::{Id, value_to_json};

/// All of it.
#[must_use]
pub fn arranged<P: Presses>(judge: &Judge<P>, menu: &Menu, arranged: &Arranged) -> Value {
    let each = compared(&arranged.bests).map(|(which, found)| {
        let mut one = takes(&found.judged.takes);
        one["arrangement"] = json!(id(which));
        one
    });
    json!({
        "items": judge.stock.items.len(),
        "today": takes(&arranged.today.takes),
        "compared": each.collect::<Vec<_>>(),
        "entropy_bits": arranged.bound.entropy,
        "huffman_questions": arranged.bound.huffman,
        "least_s": arranged.bound.seconds,
        "proposed": arranged.proposed.as_ref().map(|one| proposed(judge, menu, arranged, one)),
    })
}

fn proposed<P: Presses>(judge: &Judge<P>, menu: &Menu, arranged: &Arranged, proposed: &Proposed) -> Value {
    let gain = &proposed.saving.gain;
    let tasks = menu.tasks.iter().map(|task| {
        let [now, then] = [&arranged.today, &proposed.judged].map(|judged| judge.task(&judged.each, task).seconds);
        json!({ "task": task.label, "today_s": now, "proposed_s": then })
    });
    json!({
        "arrangement": id(proposed.which),
        "takes": takes(&proposed.judged.takes),
        "saves": gain.share,
        "saves_s_a_day": proposed.saving.a_day_s,
        "saves_s_a_press": gain.saved_by_a_press.is_finite().then_some(gain.saved_by_a_press),
        "moved": proposed.moved,
        "pattern": value_to_json(Id::Pattern, proposed.pattern),
        "tasks": tasks.collect::<Vec<_>>(),
    })
}

fn takes(takes: &Takes) -> Value {
    json!({ "seconds": takes.seconds, "hits": takes.hits, "wrong_items": takes.wrong_items })
}

fn id(which: Which) -> &'static str {
    match which {
        Which::Reordered => "reordered",
        Which::List => "list",
        Which::Grid => "equal-rows",
        Which::Eased => "few-hits",
        Which::Fastest => "fastest",
    }
}
