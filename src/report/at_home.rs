//! At home: what each household task takes, now and slower. A short table.

use super::text::{escape, glued, table};
use crate::analysis::words::{capital, percent};
use crate::forecast::home::{AtHome, State, TaskAtHome};
use crate::forecast::home_text::{rests_on, seconds, slower, swallowed};

pub(super) fn table_of(found: &AtHome) -> String {
    let states = found.tasks.first().map_or(&[][..], |task| &task.states);
    let heads: Vec<String> = states.iter().map(|state| capital(&slower(state.slower))).collect();
    let heads: Vec<&str> = std::iter::once("Task").chain(heads.iter().map(String::as_str)).collect();
    let caption = "At the settings of the sheet, by a client fitted to this session: mean time, and how often a wrong \
                   choice is made on the way. A model, no promise.";
    let lines: Vec<Vec<String>> = found.tasks.iter().map(line).collect();
    format!("{}<p>{}</p>\n", table("wide", caption, &heads, &lines), escape(&rests_on(found)))
}

fn line(task: &TaskAtHome) -> Vec<String> {
    let remark = swallowed(task).map_or_else(String::new, |remark| format!(". {}", remark.trim_start()));
    let name = format!("{} ({}){remark}", task.task, task.items.join(", "));
    std::iter::once(escape(&name)).chain(task.states.iter().map(cell)).collect()
}

fn cell(state: &State) -> String {
    let given_up = match state.given_up.value {
        0.0 => String::new(),
        share => format!("; given up after 10 min in {}", percent(share)),
    };
    let wrong = percent(state.wrong.value);
    let takes = state.seconds.map_or_else(|| "not done".into(), seconds);
    glued(&escape(&format!("{takes}; wrong choice in {wrong}{given_up}")))
}
