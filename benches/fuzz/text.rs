//! Texts bent out of shape where it hurts: whole JSON values exchanged, then bytes.

use std::ops::Range;

use pacewright::rng::Stream;

/// What takes the place of a value.
const ODD: &[&str] = &[
    "null",
    "true",
    "false",
    "0",
    "-0",
    "1",
    "-1",
    "1.5",
    "255",
    "256",
    "65536",
    "4294967296",
    "18446744073709551615",
    "18446744073709551616",
    "-9223372036854775808",
    "-9223372036854775809",
    "1e308",
    "1e999",
    "-1e999",
    "1E-400",
    "0.1",
    "00",
    "-",
    "\"\"",
    "\"a\"",
    "\"\\u0000\"",
    "\"\\ud800\"",
    "\"\u{202e}\"",
    "\"lamp\"",
    "[]",
    "{}",
    "[[]]",
    "[null]",
    "[0.5,0.5]",
    "{\"id\":1}",
    "[[[[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]]]]",
    "",
    ",",
    "]",
    "}",
    "\"",
];

/// A text and where its JSON values (and names of fields) stand.
pub struct Text {
    bytes: Vec<u8>,
    values: Vec<Range<usize>>,
}

impl Text {
    pub fn new(text: &str) -> Text {
        Text { bytes: text.into(), values: values(text.as_bytes()) }
    }

    /// Some of the values exchanged for odd ones, for others of the same text, or for nothing.
    pub fn bent(&self, stream: &mut Stream) -> Vec<u8> {
        let mut bytes = self.bytes.clone();
        let mut before = bytes.len();
        for _ in 0..stream.below(4) {
            // From the back to the front, so that the places in front stay true.
            let place = &self.values[stream.below(self.values.len() as u64) as usize];
            if place.end <= before {
                before = place.start;
                bytes.splice(place.clone(), self.other(place, stream));
            }
        }
        if stream.below(3) == 0 {
            bend_bytes(&mut bytes, stream);
        }
        bytes
    }

    fn other(&self, place: &Range<usize>, stream: &mut Stream) -> Vec<u8> {
        let any = &self.values[stream.below(self.values.len() as u64) as usize];
        let short = any.len();
        let (own, any) = (&self.bytes[place.clone()], &self.bytes[any.clone()]);
        match stream.below(8) {
            0 => [own, b",", own].concat(),
            1 | 2 if short < 400 => any.into(),
            3 => [b"[", own, b"]"].concat(),
            _ => ODD[stream.below(ODD.len() as u64) as usize].into(),
        }
    }
}

/// Changes, cuts, repeats and inserts bytes.
pub fn bend_bytes(bytes: &mut Vec<u8>, stream: &mut Stream) {
    for _ in 0..=stream.below(3) {
        if bytes.is_empty() {
            return;
        }
        let place = stream.below(bytes.len() as u64) as usize;
        match stream.below(7) {
            0 => bytes[place] ^= 1 << stream.below(8),
            1 => bytes[place] = stream.below(256) as u8,
            2 => bytes.truncate(place),
            3 => drop(bytes.remove(place)),
            4 => bytes.insert(place, b"\"\\{}[],:\n\r\0"[stream.below(11) as usize]),
            5 => {
                let end = (place + stream.below(40) as usize).min(bytes.len());
                bytes.drain(place..end);
            }
            _ => {
                let end = (place + stream.below(40) as usize).min(bytes.len());
                let part = bytes[place..end].to_vec();
                bytes.splice(place..place, part);
            }
        }
    }
}

/// Where values stand in a valid JSON text: strings, numbers, words, lists and objects.
fn values(text: &[u8]) -> Vec<Range<usize>> {
    let (mut found, mut open, mut at) = (Vec::new(), Vec::new(), 0);
    while at < text.len() {
        let start = at;
        at += 1;
        match text[start] {
            b'{' | b'[' => open.push(start),
            b'}' | b']' => found.extend(open.pop().map(|start| start..at)),
            b'"' => {
                while text[at] != b'"' {
                    at += if text[at] == b'\\' { 2 } else { 1 };
                }
                at += 1;
                found.push(start..at);
            }
            byte if byte.is_ascii_alphanumeric() || byte == b'-' => {
                at +=
                    text[at..].iter().take_while(|byte| byte.is_ascii_alphanumeric() || b"+-.".contains(byte)).count();
                found.push(start..at);
            }
            _ => {}
        }
    }
    found
}
