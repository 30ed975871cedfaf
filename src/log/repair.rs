//! A copy of a damaged log, or of one that was broken off, that is whole again and says what it lost.
//!
//! Every record that can be read is kept as it is, under a new sequence number. Nothing is guessed: where
//! records are missing stands an event that says so, and replay stops before it. A session that was broken
//! off gets its end record. The log itself is never touched.

use serde::Serialize;
use serde_json::{Map, Value};

use super::line::{Content, End, Line, write_line};
use super::reader::LogFile;
use crate::problem::{Problem, Severity};
use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::time::Moment;

/// The bytes of the copy; `problems` are those with which the log was read. `None` when it has no header
/// that could be read: without it nothing can be kept.
#[must_use]
pub fn repaired(log: &LogFile, problems: &[Problem]) -> Option<Vec<u8>> {
    let mut copy = Copy::default();
    copy.line(None, log.header.as_ref()?);
    if problems.iter().any(|problem| problem.line == Some(1) && problem.severity == Severity::Error) {
        copy.lost("the checksum of the header; it is kept as it could be read".into());
    }
    let mut expected = 1;
    for line in &log.records {
        if line.seq > expected {
            copy.lost(count(line.seq - expected));
        }
        expected = line.seq.saturating_add(1);
        copy.keep(line);
    }
    if log.end.is_none() {
        copy.lost("all that came after this: the session was broken off, and closed afterwards".into());
    } else if log.first_gap > log.records.last().map(|line| line.line) {
        copy.lost("records before the end".into());
    }
    let end = EndPayload { end: copy.counted };
    copy.line(Some(copy.last), &end);
    Some(copy.bytes)
}

fn count(records: u64) -> String {
    if records == 1 { "1 record".into() } else { format!("{records} records") }
}

#[derive(Default)]
struct Copy {
    bytes: Vec<u8>,
    next: u64,
    counted: End,
    /// The latest instant of an effect or event, and of anything.
    latest: Moment,
    last: Moment,
}

impl Copy {
    fn line(&mut self, at: Option<Moment>, payload: &impl Serialize) {
        write_line(&mut self.bytes, self.next, at, payload);
        self.next += 1;
    }

    fn record(&mut self, at: Moment, what: &What) {
        self.counted.count(what);
        self.last = self.last.max(at);
        if !matches!(what, What::Input(_)) {
            self.latest = self.latest.max(at);
        }
        self.line(Some(at), what);
    }

    fn lost(&mut self, lost: String) {
        self.record(self.latest, &What::Event(Event::Damage { lost }));
    }

    fn keep(&mut self, line: &Line) {
        match &line.content {
            Content::Known(Record { at, what }) => self.record(*at, what),
            Content::Unknown(text) => self.unknown(text),
        }
    }

    /// A record of a kind that this version does not know: its own fields, as they stand.
    fn unknown(&mut self, text: &str) {
        let Ok(mut fields) = serde_json::from_str::<Map<String, Value>>(text) else { return };
        let at = fields.shift_remove("at").and_then(|at| at.as_u64()).map(Moment);
        fields.shift_remove("seq");
        fields.shift_remove("crc");
        if !fields.is_empty() {
            self.line(at, &fields);
        }
    }
}

#[derive(Serialize)]
struct EndPayload {
    end: End,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::header::tests::header;
    use crate::log::reader::read;
    use crate::log::replay::{Replayed, replay};
    use crate::log::writer::Writer;
    use crate::session::input::Input;

    fn lines() -> Vec<Vec<u8>> {
        let mut writer = Writer::begin(Vec::new(), &header()).unwrap();
        for at in 1..=5 {
            writer.add(&Record { at: Moment(at), what: What::Input(Input::Shown { number: at }) }).unwrap();
        }
        writer.end(Moment(5)).unwrap();
        writer.into_sink().split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
    }

    /// What the repaired copy of these lines holds and what is said of it.
    fn copy(lines: &[Vec<u8>]) -> (LogFile, Vec<String>) {
        let (log, problems) = read(&lines.concat()[..], "a.jsonl");
        let copy = repaired(&log, &problems).unwrap();
        let (log, problems) = read(&copy[..], "copy.jsonl");
        assert!(problems.iter().all(|problem| problem.severity == Severity::Warning), "{problems:?}");
        (log, problems.into_iter().map(|problem| problem.what).collect())
    }

    fn shown(log: &LogFile) -> Vec<u64> {
        let number = |record: &Record| match record.what {
            What::Input(Input::Shown { number }) => Some(number),
            _ => None,
        };
        log.known().filter_map(number).collect()
    }

    #[test]
    fn what_is_left_of_a_damaged_log_is_kept_and_the_gap_is_told() {
        let mut damaged = lines();
        damaged[3][9] ^= 1;
        let (log, told) = copy(&damaged);
        assert_eq!(shown(&log), [1, 2, 4, 5]);
        assert_eq!(told, ["this is a repaired copy, and lost here: 1 record"]);
        assert_eq!(log.first_gap, Some(4));
        assert!(matches!(replay(&log, "copy"), Ok(Replayed::Agrees { until_gap: Some(4), .. })));
    }

    #[test]
    fn a_session_that_was_broken_off_gets_its_end() {
        let whole = lines();
        let (log, told) = copy(&whole[..4]);
        assert!(shown(&log) == [1, 2, 3] && log.end.is_some());
        assert!(told.len() == 1 && told[0].contains("broken off"), "{told:?}");
    }

    #[test]
    fn lost_just_before_the_end_or_in_the_header_is_told_as_well() {
        let mut damaged = lines();
        damaged[5][9] ^= 1;
        let (log, told) = copy(&damaged);
        assert_eq!((shown(&log).len(), told.len()), (4, 1));
        let mut damaged = lines();
        let place = damaged[0].windows(2).position(|pair| pair == b"A1").unwrap();
        damaged[0][place + 1] = b'2';
        let (log, told) = copy(&damaged);
        assert_eq!((log.header.unwrap().client.as_str(), told.len()), ("A2", 1));
    }

    #[test]
    fn without_a_header_nothing_can_be_kept() {
        let (log, problems) = read(&lines()[1..].concat()[..], "a.jsonl");
        assert_eq!(repaired(&log, &problems), None);
    }

    #[test]
    fn a_record_of_another_kind_is_carried_over() {
        let foreign = r#"{"seq":6,"at":7,"in":"pressure","of":[1,2]"#;
        let line = format!("{foreign},\"crc\":\"{:08x}\"}}\n", crc32fast::hash(foreign.as_bytes()));
        let mut broken = lines();
        *broken.last_mut().unwrap() = line.into_bytes();
        let (log, _) = copy(&broken);
        assert!(matches!(&log.records[5].content, Content::Unknown(text) if text.contains("\"of\":[1,2]")));
    }
}
