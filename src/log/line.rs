//! One line of a log: how it is put together, checked and taken apart.

use std::fmt;
use std::io::Write;

use serde::de::{DeserializeOwned, IgnoredAny};
use serde::{Deserialize, Serialize};

use super::plain;
use crate::session::record::{Record, What};
use crate::time::Moment;

/// A longer line is damage: it is skipped, whatever it holds. 4 MiB.
pub const MOST_BYTES: usize = 4 << 20;

/// How every line begins.
const BEGINNING: &[u8] = b"{\"seq\":";
/// `,"crc":"` before the eight digits, `"}` after them.
const BEFORE_DIGITS: &[u8] = b",\"crc\":\"";
const AFTER_DIGITS: &[u8] = b"\"}";
const TAIL: usize = BEFORE_DIGITS.len() + 8 + AFTER_DIGITS.len();

/// One record line as it was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its number in the file, from 1.
    pub line: u32,
    /// Its sequence number.
    pub seq: u64,
    /// What it holds.
    pub content: Content,
}

/// What a record line holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Content {
    /// A record of a kind that this version knows.
    Known(Record),
    /// A record of another kind: the whole line as it stands.
    Unknown(String),
}

/// The end record: how many records of each sort came before it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct End {
    /// Inputs.
    pub inputs: u64,
    /// Effects of the engine.
    pub effects: u64,
    /// Events of the session.
    pub events: u64,
}

impl End {
    pub(super) fn count(&mut self, what: &What) {
        match what {
            What::Input(_) => self.inputs += 1,
            What::Effect(_) => self.effects += 1,
            What::Event(_) => self.events += 1,
        }
    }
}

/// Adds one line to `buffer`; `payload` must serialise to a JSON object with at least one field.
pub(super) fn write_line(buffer: &mut Vec<u8>, seq: u64, at: Option<Moment>, payload: &impl Serialize) {
    let start = buffer.len();
    // A `Vec` takes every write, and records hold neither maps with odd keys nor failing types.
    write!(buffer, "{{\"seq\":{seq}").expect("memory takes every byte");
    if let Some(at) = at {
        write!(buffer, ",\"at\":{}", at.0).expect("memory takes every byte");
    }
    let joint = buffer.len();
    serde_json::to_writer(&mut *buffer, payload).expect("records are plain data");
    debug_assert!(buffer[joint] == b'{' && buffer.len() > joint + 2, "a payload is an object with fields");
    buffer[joint] = b',';
    buffer.pop();
    let sum = crc32fast::hash(&buffer[start..]);
    writeln!(buffer, ",\"crc\":\"{sum:08x}\"}}").expect("memory takes every byte");
}

/// Whether the line, damaged or not, begins as the lines of a log do.
#[must_use]
pub fn begins_as_a_line(line: &[u8]) -> bool {
    line.starts_with(BEGINNING)
}

/// What is wrong with a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Damage {
    Empty,
    TooLong,
    NotUtf8 { byte: usize },
    NoChecksum,
    WrongChecksum { written: String, computed: u32 },
    NoRecord(String),
}

impl fmt::Display for Damage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Damage::Empty => write!(f, "the line is empty"),
            Damage::TooLong => write!(f, "the line is longer than {MOST_BYTES} bytes"),
            Damage::NotUtf8 { byte } => write!(f, "the line is no UTF-8 text from its byte {byte} on"),
            Damage::NoChecksum => write!(f, "the line does not end with a checksum"),
            Damage::WrongChecksum { written, computed } => {
                write!(f, "the checksum is wrong: `{written}` is written, `{computed:08x}` is computed")
            }
            Damage::NoRecord(why) => write!(f, "the line is no record: {why}"),
        }
    }
}

/// The text of a line whose checksum is right. `line` comes without its LF.
pub(super) fn checked(line: &[u8]) -> Result<&str, Damage> {
    if line.is_empty() {
        return Err(Damage::Empty);
    }
    let text = std::str::from_utf8(line).map_err(|error| Damage::NotUtf8 { byte: error.valid_up_to() + 1 })?;
    let (body, tail) = line.split_at(line.len().checked_sub(TAIL).ok_or(Damage::NoChecksum)?);
    let digits = tail
        .strip_prefix(BEFORE_DIGITS)
        .and_then(|rest| rest.strip_suffix(AFTER_DIGITS))
        .filter(|digits| digits.iter().all(|digit| matches!(digit, b'0'..=b'9' | b'a'..=b'f')))
        .ok_or(Damage::NoChecksum)?;
    let computed = crc32fast::hash(body);
    if number(digits) == computed {
        Ok(text)
    } else {
        Err(Damage::WrongChecksum { written: String::from_utf8_lossy(digits).into_owned(), computed })
    }
}

/// The number that lower-case hex digits state.
fn number(digits: &[u8]) -> u32 {
    let digit = |byte: u8| if byte.is_ascii_digit() { byte - b'0' } else { byte - b'a' + 10 };
    digits.iter().fold(0, |number, byte| number << 4 | u32::from(digit(*byte)))
}

/// What every line has, and which sort of line it is.
#[derive(Deserialize)]
struct Envelope {
    seq: u64,
    at: Option<Moment>,
    format: Option<IgnoredAny>,
    #[serde(rename = "in")]
    input: Option<IgnoredAny>,
    out: Option<IgnoredAny>,
    event: Option<IgnoredAny>,
    end: Option<IgnoredAny>,
}

#[derive(Deserialize)]
struct EndLine {
    end: End,
}

/// A line by its sort.
#[derive(Debug, PartialEq)]
pub(super) enum Parsed {
    Header,
    Record(Record),
    End { at: Moment, end: End },
    Unknown,
}

/// Takes a checked line apart: its sequence number and what it is.
pub(super) fn parse(text: &str) -> Result<(u64, Parsed), Damage> {
    match text.get(..text.len().saturating_sub(TAIL)).and_then(plain::record) {
        Some((seq, record)) => Ok((seq, Parsed::Record(record))),
        None => parse_tolerantly(text),
    }
}

/// The same for a line that need not be spelled as the writer spells it.
fn parse_tolerantly(text: &str) -> Result<(u64, Parsed), Damage> {
    let envelope: Envelope = serde_json::from_str(text).map_err(no_record)?;
    Ok((envelope.seq, sort(&envelope, text)?))
}

fn sort(envelope: &Envelope, text: &str) -> Result<Parsed, Damage> {
    if envelope.format.is_some() {
        return Ok(Parsed::Header);
    }
    let Some(at) = envelope.at else { return Ok(Parsed::Unknown) };
    let what = if envelope.input.is_some() {
        known(text)?.map(What::Input)
    } else if envelope.out.is_some() {
        known(text)?.map(What::Effect)
    } else if envelope.event.is_some() {
        known(text)?.map(What::Event)
    } else if envelope.end.is_some() {
        let EndLine { end } = serde_json::from_str(text).map_err(no_record)?;
        return Ok(Parsed::End { at, end });
    } else {
        None
    };
    Ok(what.map_or(Parsed::Unknown, |what| Parsed::Record(Record { at, what })))
}

/// The value that the line states; `None` when it names a kind that this version does not know.
fn known<T: DeserializeOwned>(text: &str) -> Result<Option<T>, Damage> {
    match serde_json::from_str(text) {
        Ok(value) => Ok(Some(value)),
        // serde states it only in words; the unit test below fails should they ever change.
        Err(error) if error.to_string().starts_with("unknown variant") => Ok(None),
        Err(error) => Err(no_record(error)),
    }
}

fn no_record(error: serde_json::Error) -> Damage {
    Damage::NoRecord(error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::input::Input;

    fn line(payload: &impl Serialize) -> Vec<u8> {
        let mut buffer = Vec::new();
        write_line(&mut buffer, 7, Some(Moment(9)), payload);
        assert_eq!(buffer.pop(), Some(b'\n'));
        assert!(begins_as_a_line(&buffer));
        buffer
    }

    #[test]
    fn the_checksum_is_the_standard_one() {
        // Check value of CRC-32/ISO-HDLC in the catalogue of parametrised CRC algorithms.
        assert_eq!(crc32fast::hash(b"123456789"), 0xcbf4_3926);
    }

    #[test]
    fn a_line_reads_as_documented() {
        // The checksum below was computed with Python's zlib.crc32.
        let bytes = line(&What::Input(Input::Shown { number: 3 }));
        assert_eq!(
            std::str::from_utf8(&bytes).unwrap(),
            r#"{"seq":7,"at":9,"in":"shown","number":3,"crc":"9723273b"}"#
        );
    }

    #[test]
    fn a_checked_line_gives_back_its_record() {
        let what = What::Input(Input::Note { text: "a \"quoted\"\nremark, µs".into() });
        let bytes = line(&what);
        let parsed = parse(checked(&bytes).unwrap()).unwrap();
        assert_eq!(parsed, (7, Parsed::Record(Record { at: Moment(9), what })));
    }

    #[test]
    fn another_kind_is_unknown_and_a_broken_one_is_damage() {
        let odd = |text: &str| line(&serde_json::from_str::<serde_json::Value>(text).unwrap());
        let sort = |bytes: Vec<u8>| parse(checked(&bytes).unwrap()).map(|(_, parsed)| parsed);
        assert_eq!(sort(odd(r#"{"in":"pressure","of":[1,2]}"#)), Ok(Parsed::Unknown));
        assert_eq!(sort(odd(r#"{"weather":"fair"}"#)), Ok(Parsed::Unknown));
        assert!(matches!(sort(odd(r#"{"in":"shown"}"#)), Err(Damage::NoRecord(why)) if why.contains("number")));
    }

    #[test]
    fn each_damage_has_its_own_words() {
        let good = line(&What::Input(Input::Next));
        let mut wrong = good.clone();
        wrong[8] ^= 1;
        assert!(matches!(checked(&wrong), Err(Damage::WrongChecksum { .. })));
        assert_eq!(checked(&good[..good.len() - 1]), Err(Damage::NoChecksum));
        assert_eq!(checked(b""), Err(Damage::Empty));
        assert_eq!(checked(b"{\"a\xff"), Err(Damage::NotUtf8 { byte: 4 }));
        let upper = String::from_utf8(good).unwrap().to_uppercase();
        assert_eq!(checked(upper.as_bytes()), Err(Damage::NoChecksum));
    }
}
