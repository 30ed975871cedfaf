//! Lines as they stand in a byte source, whatever they hold and however long they are.

use std::io::{self, BufRead};

use memchr::memchr;

use super::line::MOST_BYTES;

/// How a line ended and how long it was; its text stands in the buffer, cut at [`MOST_BYTES`].
pub(super) struct RawLine {
    pub(super) bytes: u64,
    pub(super) ended: bool,
}

/// Reads the next line into `text`, without its LF; `None` at the end of the source.
pub(super) fn next_line(source: &mut impl BufRead, text: &mut Vec<u8>) -> io::Result<Option<RawLine>> {
    text.clear();
    let mut bytes = 0;
    loop {
        let chunk = match source.fill_buf() {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            chunk => chunk?,
        };
        if chunk.is_empty() {
            return Ok((bytes > 0).then_some(RawLine { bytes, ended: false }));
        }
        let end = memchr(b'\n', chunk);
        let part = &chunk[..end.unwrap_or(chunk.len())];
        text.extend_from_slice(&part[..part.len().min(MOST_BYTES - text.len())]);
        bytes += part.len() as u64;
        let used = part.len() + usize::from(end.is_some());
        source.consume(used);
        if end.is_some() {
            return Ok(Some(RawLine { bytes, ended: true }));
        }
    }
}

/// A line without what may stand behind it: the CR of another system's line ending, or the NUL
/// bytes with which a power cut leaves the end of a file.
pub(super) fn trimmed(text: &[u8], ended: bool) -> &[u8] {
    if ended {
        return text.strip_suffix(b"\r").unwrap_or(text);
    }
    let length = text.iter().rposition(|byte| *byte != 0).map_or(0, |last| last + 1);
    &text[..length]
}
