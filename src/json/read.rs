//! From bytes to a tree with lines.
//!
//! Lines come from serde_json's raw values, which point into the text that they were read from.
//! Each level of nesting is read from its own raw text, so the work is bounded by size times nesting.

use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::Number;
use serde_json::value::RawValue;

use super::{Body, Located, MOST_BYTES, MOST_NESTED};
use crate::problem::{Problem, shortened};

/// Reads the bytes of a file; `file` is its name for messages.
///
/// # Errors
/// At the first thing that makes it unreadable.
pub fn read(file: &str, bytes: impl AsRef<[u8]>) -> Result<Located, Problem> {
    let text = plain_text(file, bytes.as_ref())?;
    let reader = Reader::new(file, text);
    let root = serde_json::from_str(text).map_err(|error| reader.unreadable(0, text, &error))?;
    reader.node(root, 0)
}

/// The bytes as text, without a byte-order mark.
fn plain_text<'a>(file: &str, bytes: &'a [u8]) -> Result<&'a str, Problem> {
    let line = |offset: usize| Some(1 + bytes[..offset].iter().filter(|byte| **byte == b'\n').count() as u32);
    if bytes.len() > MOST_BYTES {
        let what = format!("it has {} bytes, more than the {MOST_BYTES} that are read", bytes.len());
        return Err(Problem::error(file, None, what, "check that it is the right file"));
    }
    if let Some(offset) = bytes.iter().position(|byte| *byte == 0) {
        return Err(Problem::error(file, line(offset), "it holds a NUL byte", "save it as plain text in UTF-8"));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        Problem::error(file, line(error.valid_up_to()), "it is not UTF-8 text", "save it as plain text in UTF-8")
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.trim().is_empty() {
        return Err(Problem::error(file, None, "it is empty", "write the file anew or take it from a copy"));
    }
    Ok(text)
}

struct Reader<'a> {
    file: &'a str,
    text: &'a str,
    /// Offsets of all line ends.
    ends: Vec<usize>,
}

impl<'a> Reader<'a> {
    fn new(file: &'a str, text: &'a str) -> Reader<'a> {
        Reader { file, text, ends: text.match_indices('\n').map(|(offset, _)| offset).collect() }
    }

    /// The line of this offset, from 1.
    fn line(&self, offset: usize) -> u32 {
        1 + self.ends.partition_point(|end| *end < offset) as u32
    }

    /// Where a slice of the text begins in it.
    fn offset(&self, slice: &str) -> usize {
        slice.as_ptr() as usize - self.text.as_ptr() as usize
    }

    fn node(&self, raw: &'a RawValue, depth: usize) -> Result<Located, Problem> {
        let text = raw.get();
        let line = self.line(self.offset(text));
        if depth > MOST_NESTED {
            let what = format!("it is nested more than {MOST_NESTED} deep");
            return Err(Problem::error(self.file, Some(line), what, "use fewer lists within lists"));
        }
        let body = match text.as_bytes().first() {
            Some(b'{') => self.table(text, depth)?,
            Some(b'[') => self.list(text, depth)?,
            Some(b'"') => Body::Text(self.clean(self.parsed(text)?, line)?),
            Some(b't') => Body::Flag(true),
            Some(b'f') => Body::Flag(false),
            Some(b'n') => Body::Null,
            _ => Body::Number(self.finite(text, line)?),
        };
        Ok(Located { line, body })
    }

    fn list(&self, text: &'a str, depth: usize) -> Result<Body, Problem> {
        let members: Vec<&RawValue> = self.parsed(text)?;
        Ok(Body::List(members.into_iter().map(|member| self.node(member, depth + 1)).collect::<Result<_, _>>()?))
    }

    fn table(&self, text: &'a str, depth: usize) -> Result<Body, Problem> {
        let pairs: Pairs<'a> = self.parsed(text)?;
        let mut seen = std::collections::HashSet::new();
        let mut fields = Vec::with_capacity(pairs.0.len());
        for (name, raw) in pairs.0 {
            let line = self.line(self.offset(raw.get()));
            let name = self.clean(name, line)?;
            if !seen.insert(name.clone()) {
                let what = format!("`{}` stands here for the second time", shortened(&name));
                return Err(Problem::error(self.file, Some(line), what, "keep only one of the two"));
            }
            fields.push((name, self.node(raw, depth + 1)?));
        }
        Ok(Body::Table(fields))
    }

    fn parsed<T: Deserialize<'a>>(&self, text: &'a str) -> Result<T, Problem> {
        serde_json::from_str(text).map_err(|error| self.unreadable(self.offset(text), text, &error))
    }

    fn clean(&self, text: String, line: u32) -> Result<String, Problem> {
        match text.chars().find(|letter| letter.is_control()) {
            None => Ok(text),
            Some(letter) => {
                let what = format!("`{}` holds the control character U+{:04X}", shortened(&text), u32::from(letter));
                Err(Problem::error(self.file, Some(line), what, "remove it"))
            }
        }
    }

    /// Whole numbers stay whole; all others are read exactly as Rust reads them.
    fn finite(&self, text: &str, line: u32) -> Result<Number, Problem> {
        let whole = text.parse::<i64>().map(Number::from).ok();
        let number = whole.or_else(|| text.parse::<f64>().ok().and_then(Number::from_f64));
        number.ok_or_else(|| {
            let what = format!("the number `{}` is too large", shortened(text));
            Problem::error(self.file, Some(line), what, "write a smaller one")
        })
    }

    /// A syntax error in the slice that begins at `start`, in words.
    fn unreadable(&self, start: usize, slice: &str, error: &serde_json::Error) -> Problem {
        let line = self.line(start) + (error.line() as u32).saturating_sub(1);
        let message = error.to_string();
        let cause = message.split(" at line ").next().unwrap_or(&message);
        let (what, remedy) = if error.is_eof() {
            ("it ends too early".to_string(), "it was cut short, or a closing bracket or quote is missing")
        } else if let Some(word) = not_a_number(slice, error) {
            (format!("`{word}` is no number that a file may hold"), "write a number such as 1.5")
        } else {
            (format!("cannot read it as JSON: {cause}"), remedy_for(cause))
        };
        Problem::error(self.file, Some(line), what, remedy)
    }
}

fn remedy_for(cause: &str) -> &'static str {
    match cause {
        "expected value" => "write a value there, or remove the comma before it",
        "key must be a string" => "put the name in double quotes, or remove the comma before the bracket",
        "trailing characters" => "only one object may stand in the file",
        cause if cause.starts_with("expected `,`") => "put a comma between two values",
        cause if cause.starts_with("control character") => "close the double quotes, or remove the character",
        _ => "correct the text on this line",
    }
}

/// The word at the error, if it is one that other languages use for a number.
fn not_a_number(text: &str, error: &serde_json::Error) -> Option<&'static str> {
    let line = text.split('\n').nth(error.line().checked_sub(1)?)?.as_bytes();
    let (before, after) = line.split_at(error.column().saturating_sub(1).min(line.len()));
    let start = before.iter().rposition(|byte| !byte.is_ascii_alphabetic()).map_or(0, |place| place + 1);
    let end = before.len() + after.iter().take_while(|byte| byte.is_ascii_alphabetic()).count();
    ["NaN", "nan", "Infinity", "inf"].into_iter().find(|word| word.as_bytes() == &line[start..end])
}

/// The fields of an object in order, repeated names and all.
struct Pairs<'a>(Vec<(String, &'a RawValue)>);

impl<'de: 'a, 'a> Deserialize<'de> for Pairs<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Pairs<'a>, D::Error> {
        struct InOrder;
        impl<'de> Visitor<'de> for InOrder {
            type Value = Vec<(String, &'de RawValue)>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut pairs = Vec::new();
                while let Some(pair) = map.next_entry()? {
                    pairs.push(pair);
                }
                Ok(pairs)
            }
        }
        deserializer.deserialize_map(InOrder).map(Pairs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: impl AsRef<[u8]>) -> String {
        read("f.json", text).unwrap_err().to_string()
    }

    #[test]
    fn every_value_knows_its_line() {
        let root = read("f.json", "\u{feff}{\n\"a\": [1,\n  {\"b\": \"ä\"}]\n}").unwrap();
        let inner = &root.field("a").unwrap().members()[1];
        assert_eq!((root.line, inner.line, inner.field("b").unwrap().text()), (1, 3, Some("ä")));
    }

    #[test]
    fn numbers_are_read_exactly() {
        for number in [0.1, 1.3, 5e-324, f64::MAX, 123_456_789.123_456_79, -0.007] {
            let text = serde_json::to_string(&number).unwrap();
            assert_eq!(read("f.json", &text).unwrap().number(), Some(number));
        }
    }

    #[test]
    fn what_cannot_be_read_says_why_and_where() {
        assert_eq!(
            said("{\n\"a\":1,\n\"a\":2}"),
            "`f.json`, line 3: `a` stands here for the second time; keep only one of the two"
        );
        assert_eq!(
            said("[1,\nNaN]"),
            "`f.json`, line 2: `NaN` is no number that a file may hold; write a number such as 1.5"
        );
        assert_eq!(
            said("{\"a\": -Infinity}"),
            "`f.json`, line 1: `Infinity` is no number that a file may hold; write a number such as 1.5"
        );
        assert_eq!(said("[\n1e999]"), "`f.json`, line 2: the number `1e999` is too large; write a smaller one");
        assert_eq!(
            said("{\"a\":"),
            "`f.json`, line 1: it ends too early; it was cut short, or a closing bracket or quote is missing"
        );
        assert_eq!(
            said("[1,]"),
            "`f.json`, line 1: cannot read it as JSON: expected value; write a value there, or remove the comma before it"
        );
        assert_eq!(
            said("[1]\n[2]"),
            "`f.json`, line 2: cannot read it as JSON: trailing characters; only one object may stand in the file"
        );
        assert_eq!(
            said("[\n\"a\\u0007\"]"),
            "`f.json`, line 2: `a\u{fffd}` holds the control character U+0007; remove it"
        );
        assert_eq!(said(b"{\n\0"), "`f.json`, line 2: it holds a NUL byte; save it as plain text in UTF-8");
        assert_eq!(said(b"{\n\n\xff"), "`f.json`, line 3: it is not UTF-8 text; save it as plain text in UTF-8");
        assert_eq!(said(" \n"), "`f.json`: it is empty; write the file anew or take it from a copy");
        let unquoted = "`f.json`, line 1: cannot read it as JSON: expected value; write a value there, or remove the comma before it";
        assert_eq!(said("[angle]"), unquoted);
        assert_eq!(
            said("[nan]"),
            "`f.json`, line 1: `nan` is no number that a file may hold; write a number such as 1.5"
        );
        assert!(said("[\"\\ud800\"]").contains("line 1: cannot read it as JSON: "));
    }

    #[test]
    fn size_and_nesting_have_limits() {
        assert!(said(" ".repeat(MOST_BYTES + 1)).contains("more than the 1048576 that are read"));
        let deep = |depth: usize| format!("{}{}", "[".repeat(depth), "]".repeat(depth));
        assert!(read("f.json", deep(MOST_NESTED)).is_ok());
        assert!(said(deep(MOST_NESTED + 2)).contains("nested more than 32 deep"));
        assert!(said(deep(MOST_BYTES / 2)).contains("nested more than 32 deep"));
        assert!(said("[".repeat(MOST_BYTES)).contains("ends too early"));
    }
}
