//! What is kept of a client beside the session logs: what was agreed, what no switch can tell, goals.
//!
//! One JSON file a client in the data folder, written whole at each change. Codes, never names. Every
//! field may be empty: each question of the visit can be skipped.

use serde::{Deserialize, Serialize};

use super::carry_over::Controller;
use super::cost::Way;
use super::goals::Goal;
use crate::practice::plan::Plan;
use crate::problem::{Problem, shortened};
use crate::session::setup::Setup;

/// A client's file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Person {
    /// Always [`Person::FORMAT`].
    pub format: String,
    /// Version of the format; this program reads [`Person::VERSION`].
    pub version: u32,
    /// No longer seen: shown only when asked for.
    pub archived: bool,
    /// Whether what the client can do is changing: decides when a review is due.
    pub changing: bool,
    /// Day of the next review, as 2026-11-29; empty when none is set.
    pub review: String,
    /// Why the client is here, in the client's own words.
    pub reason: String,
    /// Who agreed to the visit and how.
    pub agreed: String,
    /// Whether data may go to research, asked separately.
    pub research: Option<bool>,
    /// The agreed signs.
    pub signs: Signs,
    /// How the client calls for help today.
    pub help: String,
    /// Whom carers ask about the switch.
    pub contact: String,
    /// What no program can measure, as short notes by the name of the question.
    pub notes: std::collections::BTreeMap<String, String>,
    /// Whether a direct way was found, and what followed.
    pub outcome: Outcome,
    /// Where the client works the switch: chair, bed, night.
    pub set_ups: Vec<Setup>,
    /// The client's own menu, as in a menu file; without one the protocol's is used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub menu: Option<serde_json::Value>,
    /// What is practised between visits, as in a practice plan; it may be half typed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub practice: Option<Plan>,
    /// Goals of the client's own.
    pub goals: Vec<Goal>,
    /// What the controller at home offers.
    pub controller: Controller,
    /// Ways of doing it, with their costs.
    pub costs: Vec<Way>,
    /// What was decided about the advice, newest last.
    pub decisions: Vec<Decision>,
}

/// How the client says yes, no and stop.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Signs {
    /// Yes.
    pub yes: String,
    /// No.
    pub no: String,
    /// Stop.
    pub stop: String,
}

/// What the visit led to before any switch was tried.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Nobody has said so far.
    #[default]
    NotAsked,
    /// No direct way was found: scanning is tried.
    Scanning,
    /// There is a direct way: scanning is not what this client needs.
    DirectWay,
    /// No switch can be worked reliably today.
    NoReliableSwitch,
}

/// What was decided about one advised value.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decision {
    /// The day, as 2026-11-29.
    pub on: String,
    /// The log that the advice came from, by its file name.
    pub log: String,
    /// The setting, by its name in files.
    pub setting: String,
    /// What was advised, for people.
    pub advised: String,
    /// What was decided.
    pub verdict: Verdict,
    /// Why, where it was adjusted or rejected.
    #[serde(default)]
    pub reason: String,
}

/// A decision.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// As advised.
    Accepted,
    /// Another value, for people.
    Adjusted(String),
    /// Not at all.
    Rejected,
}

impl Default for Person {
    fn default() -> Person {
        Person {
            format: Person::FORMAT.into(),
            version: Person::VERSION,
            archived: false,
            changing: false,
            review: String::new(),
            reason: String::new(),
            agreed: String::new(),
            research: None,
            signs: Signs::default(),
            help: String::new(),
            contact: String::new(),
            notes: std::collections::BTreeMap::new(),
            outcome: Outcome::default(),
            set_ups: Vec::new(),
            menu: None,
            practice: None,
            goals: Vec::new(),
            controller: Controller::default(),
            costs: Vec::new(),
            decisions: Vec::new(),
        }
    }
}

impl Person {
    /// What the `format` field holds.
    pub const FORMAT: &'static str = "pacewright client";
    /// The version written and read.
    pub const VERSION: u32 = 1;

    /// Reads a client's file.
    ///
    /// # Errors
    /// The line that cannot be read, another format, or a newer version.
    pub fn read(file: &str, bytes: &[u8]) -> Result<Person, Problem> {
        let person: Person = serde_json::from_slice(bytes).map_err(|error| {
            let line = u32::try_from(error.line()).ok().filter(|line| *line > 0);
            let what = format!("cannot read the client's file: {}", shortened(&error.to_string()));
            Problem::error(file, line, what, "mend it by hand, or move it away: the session logs are not touched by it")
        })?;
        if person.format != Person::FORMAT {
            let what = format!("this is no client's file: its format is `{}`", shortened(&person.format));
            return Err(Problem::error(file, None, what, "move it away"));
        }
        if person.version > Person::VERSION {
            let what = format!("it was written by a newer program (version {})", person.version);
            return Err(Problem::error(
                file,
                None,
                what,
                "use that program; this one would lose what it does not know",
            ));
        }
        Ok(person)
    }

    /// The client's file as bytes.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        let mut text = serde_json::to_string_pretty(self).unwrap_or_default();
        text.push('\n');
        text.into_bytes()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_comes_back_as_it_was_written() {
        let mut person = Person { reason: "\"I want to open my own door\"".into(), ..Person::default() };
        person.notes.insert("vision".into(), "glasses".into());
        person.decisions.push(Decision {
            on: "2026-11-29".into(),
            log: "C07-20261129-101500.jsonl".into(),
            setting: "scan_interval".into(),
            advised: "1.15 s".into(),
            verdict: Verdict::Adjusted("1.3 s".into()),
            reason: "was tired".into(),
        });
        assert_eq!(Person::read("p", &person.bytes()).unwrap(), person);
    }

    #[test]
    fn what_cannot_be_read_names_its_line() {
        let problem = Person::read("c.json", b"{\n \"archived\": 3\n}").unwrap_err();
        assert_eq!(problem.line, Some(2));
        assert!(Person::read("c.json", br#"{"format":"x"}"#).unwrap_err().what.contains("no client's file"));
        assert!(Person::read("c.json", br#"{"version":9}"#).unwrap_err().what.contains("newer"));
    }
}
