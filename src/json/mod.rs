//! Reading JSON that people write: a tree in which every value knows its line.
//!
//! Stricter than JSON itself: one size limit, one nesting limit, no name twice in an object, no
//! control characters in text, and no number too large for a double. A byte-order mark is allowed.
//! Nothing here opens a file.

mod read;
pub mod shape;

use serde_json::{Map, Number, Value};

pub use read::read;

/// Greatest size of a file, in bytes.
pub const MOST_BYTES: usize = 1 << 20;
/// Greatest nesting of lists and objects.
pub const MOST_NESTED: usize = 32;

/// A value and the line on which it begins, from 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Located {
    /// Its line.
    pub line: u32,
    /// What it is.
    pub body: Body,
}

/// A JSON value.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// `null`.
    Null,
    /// `true` or `false`.
    Flag(bool),
    /// A finite number.
    Number(Number),
    /// Text without control characters.
    Text(String),
    /// A list.
    List(Vec<Located>),
    /// An object: its fields in the order of the file, no name twice.
    Table(Vec<(String, Located)>),
}

impl Located {
    /// The field of this name, if this is an object that has it.
    #[must_use]
    pub fn field(&self, name: &str) -> Option<&Located> {
        self.fields().iter().find(|(known, _)| known == name).map(|(_, value)| value)
    }

    /// The fields; none if this is no object.
    #[must_use]
    pub fn fields(&self) -> &[(String, Located)] {
        if let Body::Table(fields) = &self.body { fields } else { &[] }
    }

    /// The members; none if this is no list.
    #[must_use]
    pub fn members(&self) -> &[Located] {
        if let Body::List(members) = &self.body { members } else { &[] }
    }

    /// The text, if this is text.
    #[must_use]
    pub fn text(&self) -> Option<&str> {
        if let Body::Text(text) = &self.body { Some(text) } else { None }
    }

    /// The number, if this is one.
    #[must_use]
    pub fn number(&self) -> Option<f64> {
        if let Body::Number(number) = &self.body { number.as_f64() } else { None }
    }

    /// Whether this is `true`.
    #[must_use]
    pub fn is_true(&self) -> bool {
        self.body == Body::Flag(true)
    }

    /// The same without lines.
    #[must_use]
    pub fn to_value(&self) -> Value {
        match &self.body {
            Body::Null => Value::Null,
            Body::Flag(flag) => Value::Bool(*flag),
            Body::Number(number) => Value::Number(number.clone()),
            Body::Text(text) => Value::String(text.clone()),
            Body::List(members) => members.iter().map(Located::to_value).collect(),
            Body::Table(fields) => Value::Object(
                fields.iter().map(|(name, value)| (name.clone(), value.to_value())).collect::<Map<_, _>>(),
            ),
        }
    }
}

/// The first JSON example in the module documentation of this source, for the test that holds it to the reader.
#[cfg(test)]
pub(crate) fn documented_example(source: &str) -> String {
    source
        .lines()
        .skip_while(|line| !line.contains("```json"))
        .skip(1)
        .take_while(|line| !line.contains("```"))
        .map(|line| line.trim_start_matches("//!").to_string() + "\n")
        .collect()
}
