//! What a file may hold, described as data, and the check of a tree against it.
//!
//! One description gives the check for unknown and missing fields, for kinds of value and for
//! ranges, with a line and a remedy for each; what a range cannot say is checked by the owner of
//! the file format.

use super::{Body, Located};
use crate::problem::{Findings, did_you_mean, listed, shortened};
use crate::settings::{SettingError, find, value_from_json};

/// What a value may be.
#[derive(Debug)]
pub enum Shape {
    /// Text of this many characters at most.
    Text(usize),
    /// `true` or `false`.
    Flag,
    /// A whole number within these bounds.
    Whole(i64, i64),
    /// A number within these bounds.
    Number(f64, f64),
    /// This version of a format.
    Version(i64),
    /// One of these words.
    Choice(&'static [&'static str]),
    /// A list whose members have this shape.
    List {
        /// Shape of each member.
        of: &'static Shape,
        /// Fewest members.
        least: usize,
        /// Most members.
        most: usize,
    },
    /// An object.
    Table {
        /// What it is, for messages: "an entry".
        what: &'static str,
        /// Its fields.
        fields: &'static [Field],
    },
    /// An object whose field `by` names which of these shapes it has.
    OneOf {
        /// Name of that field.
        by: &'static str,
        /// Each name with its shape.
        of: &'static [(&'static str, &'static Shape)],
    },
    /// An object of settings by their names in the registry.
    Settings,
}

/// One field of an object.
#[derive(Debug)]
pub struct Field {
    /// Its name.
    pub name: &'static str,
    /// What it may hold.
    pub shape: &'static Shape,
    /// It may not be left out.
    pub needed: bool,
}

/// A field that may not be left out.
#[must_use]
pub const fn needed(name: &'static str, shape: &'static Shape) -> Field {
    Field { name, shape, needed: true }
}

/// A field that may be left out.
#[must_use]
pub const fn optional(name: &'static str, shape: &'static Shape) -> Field {
    Field { name, shape, needed: false }
}

impl Shape {
    /// Adds a problem for everything in `value` that does not fit; `name` is what messages call it.
    pub fn check(&self, name: &str, value: &Located, findings: &mut Findings) {
        match (self, &value.body) {
            (Shape::Table { what, fields }, Body::Table(_)) => check_table(what, fields, value, findings),
            (Shape::List { of, least, most }, Body::List(members)) => {
                check_length(name, value, (*least, *most), findings);
                members.iter().for_each(|member| of.check(name, member, findings));
            }
            (Shape::OneOf { by, of }, Body::Table(_)) => check_one_of(name, by, of, value, findings),
            (Shape::Settings, Body::Table(_)) => check_settings(value, findings),
            _ if self.fits(value) => {}
            _ => findings.error(value.line, format!("`{name}` is {}", shown(value)), format!("give {}", self.words())),
        }
    }

    fn fits(&self, value: &Located) -> bool {
        match (self, &value.body) {
            (Shape::Text(most), Body::Text(text)) => text.chars().count() <= *most,
            (Shape::Flag, Body::Flag(_)) => true,
            (Shape::Whole(min, max), Body::Number(number)) => {
                number.as_i64().is_some_and(|n| (*min..=*max).contains(&n))
            }
            (Shape::Number(min, max), Body::Number(_)) => value.number().is_some_and(|n| (*min..=*max).contains(&n)),
            (Shape::Version(version), Body::Number(number)) => number.as_i64() == Some(*version),
            (Shape::Choice(words), Body::Text(text)) => words.contains(&text.as_str()),
            _ => false,
        }
    }

    fn words(&self) -> String {
        match self {
            Shape::Text(most) => format!("text in double quotes, {most} characters at most"),
            Shape::Flag => "`true` or `false`".into(),
            Shape::Whole(min, max) => format!("a whole number from {min} to {max}"),
            Shape::Number(min, max) => format!("a number from {min} to {max}"),
            Shape::Version(version) => format!("`{version}`: this program reads no other version"),
            Shape::Choice(words) if words.len() == 1 => listed(words),
            Shape::Choice(words) => format!("one of {}", listed(words)),
            Shape::List { .. } => "a list in square brackets".into(),
            Shape::Table { .. } | Shape::OneOf { .. } | Shape::Settings => "an object in curly brackets".into(),
        }
    }
}

fn check_table(what: &str, fields: &[Field], table: &Located, findings: &mut Findings) {
    for (name, value) in table.fields() {
        match fields.iter().find(|field| field.name == name) {
            Some(field) => field.shape.check(name, value, findings),
            None => {
                let remedy = did_you_mean(name, fields.iter().map(|field| field.name));
                findings.error(value.line, format!("unknown field `{}` in {what}", shortened(name)), remedy);
            }
        }
    }
    for field in fields.iter().filter(|field| field.needed && table.field(field.name).is_none()) {
        let remedy = format!("add it: {}", field.shape.words());
        findings.error(table.line, format!("{what} has no `{}`", field.name), remedy);
    }
}

fn check_one_of(name: &str, by: &str, of: &[(&str, &Shape)], table: &Located, findings: &mut Findings) {
    let words: Vec<&str> = of.iter().map(|(word, _)| *word).collect();
    let remedy = format!("give one of {}", listed(&words));
    let Some(named) = table.field(by) else {
        return findings.error(table.line, format!("`{name}` has no `{by}`"), remedy);
    };
    match of.iter().find(|(word, _)| named.text() == Some(word)) {
        Some((_, shape)) => shape.check(name, table, findings),
        None => findings.error(named.line, format!("`{by}` is {}", shown(named)), remedy),
    }
}

fn check_length(name: &str, list: &Located, (least, most): (usize, usize), findings: &mut Findings) {
    let count = list.members().len();
    if count < least {
        let what =
            if count == 0 { format!("`{name}` is empty") } else { format!("`{name}` has too few members: {count}") };
        findings.error(list.line, what, format!("give at least {least}"));
    } else if count > most {
        findings.error(list.line, format!("`{name}` has too many members: {count}"), format!("give at most {most}"));
    }
}

fn check_settings(table: &Located, findings: &mut Findings) {
    for (name, value) in table.fields() {
        let checked = find(name).and_then(|id| value_from_json(id, &value.to_value()));
        if let Err(error) = checked {
            let words = setting_words(&error);
            match words.split_once("; ") {
                Some((what, remedy)) => findings.error(value.line, what, remedy),
                None => findings.error(value.line, words, "`pacewright settings` says more"),
            }
        }
    }
}

/// The words of a setting's error, its free text cut short.
fn setting_words(error: &SettingError) -> String {
    match error {
        SettingError::Unknown { name } => SettingError::Unknown { name: shortened(name) }.to_string(),
        SettingError::NotAValue { id, text } => SettingError::NotAValue { id: *id, text: shortened(text) }.to_string(),
        SettingError::OutOfRange { .. } => error.to_string(),
    }
}

/// A value for a message.
fn shown(value: &Located) -> String {
    match &value.body {
        Body::Null => "`null`".into(),
        Body::Flag(flag) => format!("`{flag}`"),
        Body::Number(number) => format!("`{number}`"),
        Body::Text(text) => format!("the text `{}`", shortened(text)),
        Body::List(_) => "a list".into(),
        Body::Table(_) => "an object".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    static LEVEL: Shape = Shape::Whole(0, 100);
    static FIELDS: &[Field] = &[needed("level", &LEVEL), optional("settings", &Shape::Settings)];
    static THING: Shape = Shape::Table { what: "a thing", fields: FIELDS };

    fn said(text: &str) -> Vec<String> {
        let mut findings = Findings::of("f");
        THING.check("thing", &crate::json::read("f", text).unwrap(), &mut findings);
        findings.sorted().iter().map(ToString::to_string).collect()
    }

    #[test]
    fn every_misfit_has_a_line_and_a_remedy() {
        assert_eq!(said(r#"{"level":100}"#), Vec::<String>::new());
        assert_eq!(said("[]"), ["`f`, line 1: `thing` is a list; give an object in curly brackets"]);
        assert_eq!(
            said("{\n\"levle\":1}"),
            [
                "`f`, line 1: a thing has no `level`; add it: a whole number from 0 to 100",
                "`f`, line 2: unknown field `levle` in a thing; did you mean `level`?",
            ]
        );
        assert_eq!(said(r#"{"level":-1}"#), ["`f`, line 1: `level` is `-1`; give a whole number from 0 to 100"]);
        assert_eq!(
            said(r#"{"level":1.5,"settings":{"scan_interval":99}}"#),
            [
                "`f`, line 1: `level` is `1.5`; give a whole number from 0 to 100",
                "`f`, line 1: 99 s is outside the range of `scan_interval`: 0.3 to 20 s in steps of 0.05; `pacewright settings` says more",
            ]
        );
    }
}
