//! What people said or did beside the protocol, in order.

use super::text::{clock, escape, table};
use crate::session::event::Event;
use crate::session::input::{Input, Interruption, Prompt};
use crate::session::record::{Record, What};

pub(super) fn list(records: &[Record]) -> String {
    let lines: Vec<_> = records.iter().filter_map(line).collect();
    if lines.is_empty() {
        return "<p>None.</p>\n".into();
    }
    table(
        "remarks",
        "Remarks, help, interruptions, changes and exclusions, with the time since the start.",
        &["Time", "What", "Words"],
        &lines,
    )
}

fn line(record: &Record) -> Option<Vec<String>> {
    let (what, said) = remark(&record.what)?;
    Some(vec![clock(record.at.0 as f64 / 1e6), what.into(), escape(&said)])
}

fn remark(what: &What) -> Option<(&'static str, String)> {
    match what {
        What::Input(Input::Note { text }) => Some(("Remark", text.clone())),
        What::Input(Input::Prompt { prompt }) => help(*prompt).map(|help| ("Help", help.into())),
        What::Input(Input::Interruption { interruption }) => Some(("Interruption", came_between(*interruption).into())),
        What::Input(Input::Set { name, value }) => {
            Some(("Setting", format!("{} becomes {value}", name.replace('_', " "))))
        }
        What::Event(Event::Excluded { block, trial, reason }) => {
            Some(("Trial left out", format!("block {}, trial {trial}: {}", block + 1, reason)))
        }
        _ => None,
    }
}

fn help(prompt: Prompt) -> Option<&'static str> {
    match prompt {
        Prompt::None => None,
        Prompt::Spoken => Some("by words"),
        Prompt::Touched => Some("by touch"),
    }
}

fn came_between(interruption: Interruption) -> &'static str {
    match interruption {
        Interruption::Cough => "coughing",
        Interruption::Suction => "suction",
        Interruption::Spasm => "a spasm",
        Interruption::Talk => "talk",
        Interruption::Care => "care",
    }
}
