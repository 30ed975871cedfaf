//! Reads a log, and whatever is left of a damaged one.
//!
//! The file streams through one buffer: memory holds the records, never the whole text. Lines are
//! taken apart on all processors and looked at in order. Every damage is reported with its line, and
//! reading goes on behind it; nothing that is read is guessed. A file of which no line is one of a log
//! is no damaged log: that is one problem.

use std::io::{self, BufRead};
use std::num::NonZero;
use std::thread::available_parallelism;

use memchr::memrchr;

use super::header::{Header, Unfit, understand};
use super::line::{Content, Damage, End, Line, Parsed, begins_as_a_line};
use super::order::{Disorder, Order};
use super::part::{Taken, taken_apart};
use super::source::next_line;
use crate::problem::Problem;
use crate::session::event::Event;
use crate::session::record::{Record, What};

/// After this many problems the rest is only counted.
const MOST_PROBLEMS: usize = 50;

const COPY_AGAIN: &str = "copy the file again from where it was recorded; all other records are read";

/// What a log holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LogFile {
    /// The header; `None` when there is none that could be read. One whose checksum is wrong is kept
    /// if it can be read, and reported.
    pub header: Option<Header>,
    /// All record lines between header and end record that could be read, in order.
    pub records: Vec<Line>,
    /// The end record; `None` when the session was not closed in order.
    pub end: Option<End>,
    /// The first line before which, or at which, something is missing. A tail that was cut off by
    /// the end of the file is not counted.
    pub first_gap: Option<u32>,
}

impl LogFile {
    /// The records of kinds that this version knows.
    pub fn known(&self) -> impl Iterator<Item = &Record> {
        self.records.iter().filter_map(|line| match &line.content {
            Content::Known(record) => Some(record),
            Content::Unknown(_) => None,
        })
    }

    /// The same, taken out of the log.
    #[must_use]
    pub fn into_known(self) -> Vec<Record> {
        let known = self.records.into_iter().filter_map(|line| match line.content {
            Content::Known(record) => Some(record),
            Content::Unknown(_) => None,
        });
        known.collect()
    }
}

/// How much a source should hold ready at a time, in bytes: enough that all processors have work.
pub const BLOCK: usize = 1 << 21;

/// Reads a log from `source`; `file` names it in the problems. One that holds [`BLOCK`] bytes ready
/// is read fastest.
///
/// Without problems the log is whole. With them it holds all that could be read: see
/// [`LogFile::header`] and [`LogFile::first_gap`].
pub fn read(source: impl BufRead, file: &str) -> (LogFile, Vec<Problem>) {
    read_on(available_parallelism().unwrap_or(NonZero::<usize>::MIN), source, file)
}

/// The same on at most this many threads; what is read does not depend on it.
pub fn read_on(threads: NonZero<usize>, mut source: impl BufRead, file: &str) -> (LogFile, Vec<Problem>) {
    let mut reading = Reading::new(file);
    let mut text = Vec::new();
    loop {
        match reading.go_on(&mut source, threads.get(), &mut text) {
            Ok(true) => {}
            Ok(false) => break,
            Err(error) => {
                reading.error(format!("cannot read on: {error}"), "check the disk, then copy the file and try again");
                break;
            }
        }
    }
    reading.done()
}

struct Reading<'f> {
    file: &'f str,
    number: u32,
    /// Something in the file is of a log, be it damaged.
    is_log: bool,
    log: LogFile,
    order: Order,
    counted: End,
    unknown: Option<u32>,
    problems: Vec<Problem>,
    more: u64,
}

impl<'f> Reading<'f> {
    fn new(file: &'f str) -> Reading<'f> {
        Reading {
            file,
            number: 0,
            is_log: false,
            log: LogFile::default(),
            order: Order::default(),
            counted: End::default(),
            unknown: None,
            problems: Vec::new(),
            more: 0,
        }
    }

    /// Takes the lines that the source holds ready, and the one that goes on behind them; `false`
    /// when there is no sense in reading on.
    fn go_on(&mut self, source: &mut impl BufRead, threads: usize, text: &mut Vec<u8>) -> io::Result<bool> {
        let ready = ready(source)?;
        let block = &ready[..ready.len().min(BLOCK)];
        let whole = memrchr(b'\n', block).map_or(0, |last| last + 1);
        if !taken_apart(&block[..whole], threads).into_iter().flatten().all(|line| self.take(line)) {
            return Ok(false);
        }
        source.consume(whole);
        let Some(raw) = next_line(source, text)? else {
            self.close();
            return Ok(false);
        };
        Ok(self.take(Taken::apart(text, raw.bytes, raw.ended)))
    }

    /// Takes one line; `false` when there is no sense in reading on.
    fn take(&mut self, line: Taken) -> bool {
        self.number = self.number.saturating_add(1);
        self.is_log |= begins_as_a_line(line.text);
        match line.parsed {
            Ok((seq, parsed)) => {
                self.is_log = true;
                let rest = line.bytes - line.text.len() as u64;
                if rest > 0 && !line.ended {
                    self.torn(rest);
                }
                return self.place(line.text, seq, parsed);
            }
            Err(_) if !line.ended && self.number > 1 => self.torn(line.bytes),
            Err(damage) => self.damaged(line.text, &damage),
        }
        true
    }

    fn torn(&mut self, bytes: u64) {
        let what = format!("the log is torn here: its last {bytes} bytes are cut off");
        self.warning(what, "the program or the machine stopped while it wrote; all before it is read");
    }

    fn damaged(&mut self, text: &[u8], damage: &Damage) {
        self.order.damaged();
        if self.number == 1 {
            self.log.header = serde_json::from_slice(text).ok();
            self.is_log |= self.log.header.is_some();
        } else {
            self.gap();
        }
        let remedy = match (self.number, &self.log.header) {
            (1, Some(_)) => "the header is used as it stands: check its settings against your notes",
            (1, None) => "check that this is a pacewright log; without a header its records cannot be judged",
            _ => COPY_AGAIN,
        };
        self.error(damage.to_string(), remedy);
    }

    fn place(&mut self, text: &[u8], seq: u64, parsed: Parsed) -> bool {
        if self.number == 1 && parsed != Parsed::Header {
            self.error("the header is missing", "without it the records cannot be judged; copy the file again");
        }
        match self.order.follow(seq) {
            Ok(()) => {}
            Err(Disorder::Missing(count)) => {
                self.gap();
                self.error(format!("{count} records are missing before this line"), COPY_AGAIN);
            }
            Err(Disorder::Again) => {
                self.gap();
                let what = format!("record {seq} comes again, or out of order, and is left out");
                self.error(what, COPY_AGAIN);
                return true;
            }
        }
        match parsed {
            Parsed::Header if self.log.header.is_some() => {
                self.error("a second header stands here", "two logs may have been joined; read each by itself");
            }
            Parsed::Header => return self.header(&String::from_utf8_lossy(text)),
            Parsed::Record(record) => self.record(seq, record),
            Parsed::Unknown => self.unknown(seq, &String::from_utf8_lossy(text)),
            Parsed::End { end, .. } => self.end(end),
        }
        true
    }

    fn header(&mut self, text: &str) -> bool {
        match understand(text) {
            Ok((header, older)) => {
                if let Some(version) = older {
                    let what = format!("the log has version {version}, older than the {} written now", Header::VERSION);
                    self.warning(what, "it is read as it stands");
                }
                self.log.header = Some(header);
                true
            }
            Err(Unfit { what, remedy, stop }) => {
                self.error(what, remedy);
                !stop
            }
        }
    }

    fn record(&mut self, seq: u64, record: Record) {
        self.after_end();
        if !keeps_its_stamp(&record.what)
            && let Some(back) = self.order.time(record.at)
        {
            self.warning(format!("time goes back by {back} µs"), "do not trust the times around this line");
        }
        if let What::Event(Event::Damage { lost }) = &record.what {
            self.gap();
            self.warning(format!("this is a repaired copy, and lost here: {lost}"), "keep the log it was made from");
        }
        self.counted.count(&record.what);
        self.log.records.push(Line { line: self.number, seq, content: Content::Known(record) });
    }

    fn unknown(&mut self, seq: u64, text: &str) {
        self.after_end();
        self.unknown.get_or_insert(self.number);
        self.log.records.push(Line { line: self.number, seq, content: Content::Unknown(text.into()) });
    }

    fn after_end(&mut self) {
        if self.log.end.is_some() {
            self.error("a record follows the end record", "two logs may have been joined; read each by itself");
        }
    }

    fn end(&mut self, end: End) {
        if self.log.first_gap.is_none() && self.unknown.is_none() && end != self.counted {
            self.gap();
            let (said, read) = (total(&end), total(&self.counted));
            self.error(format!("the end record counts {said} records, {read} are there"), COPY_AGAIN);
        }
        self.log.end = Some(end);
    }

    fn close(&mut self) {
        if self.number == 0 {
            self.error("the file is empty", "check that the session was recorded and the file copied whole");
        } else if self.log.end.is_none() {
            self.warning(
                "the end record is missing",
                "the session still runs, or was broken off; all that was saved is read",
            );
        }
    }

    fn gap(&mut self) {
        self.log.first_gap.get_or_insert(self.number);
    }

    fn error(&mut self, what: impl Into<String>, remedy: &str) {
        let problem = Problem::error(self.file, Some(self.number).filter(|line| *line > 0), what, remedy);
        self.report(problem);
    }

    fn warning(&mut self, what: impl Into<String>, remedy: &str) {
        let problem = Problem::warning(self.file, Some(self.number), what, remedy);
        self.report(problem);
    }

    fn report(&mut self, problem: Problem) {
        if self.problems.len() < MOST_PROBLEMS { self.problems.push(problem) } else { self.more += 1 }
    }

    fn done(mut self) -> (LogFile, Vec<Problem>) {
        if self.number > 0 && !self.is_log {
            let what = "it is no session log: no line of it is one of a log";
            let remedy = "give a log that a session has written: `CODE-DATE-TIME.jsonl` in its data folder";
            return (LogFile::default(), vec![Problem::error(self.file, None, what, remedy)]);
        }
        if let Some(line) = self.unknown {
            let what = "from here on some records are of a kind that this version does not know";
            let remedy = "they are kept but not used; a newer pacewright may know them";
            self.problems.push(Problem::warning(self.file, Some(line), what, remedy));
        }
        if self.more > 0 {
            let what = format!("{} more problems like these", self.more);
            self.problems.push(Problem::error(self.file, None, what, COPY_AGAIN));
        }
        (self.log, self.problems)
    }
}

/// What the source holds ready.
fn ready(source: &mut impl BufRead) -> io::Result<&[u8]> {
    while let Err(error) = source.fill_buf() {
        if error.kind() != io::ErrorKind::Interrupted {
            return Err(error);
        }
    }
    source.fill_buf()
}

fn total(end: &End) -> u64 {
    end.inputs.saturating_add(end.effects).saturating_add(end.events)
}

/// An input and what a level makes of one keep the stamp of the device, however late it comes, and so does the clock that
/// stands before a late one; all else goes forward.
fn keeps_its_stamp(what: &What) -> bool {
    use Event::{Clock, LevelEdge, LevelPress, LevelTrouble};
    match what {
        What::Input(_) => true,
        What::Event(event) => matches!(event, Clock | LevelEdge { .. } | LevelPress { .. } | LevelTrouble { .. }),
        _ => false,
    }
}
