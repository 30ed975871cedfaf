//! The records of a session as they come, for whoever watches it: the lines of a log, on a pipe.
//!
//! Handing on never waits. What the watcher does not take in time is left out, and the gap in the numbers
//! tells it so; the log stays the only truth.

use std::io::{self, Write};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, SyncSender, channel, sync_channel};
use std::thread;
use std::time::Duration;

use super::header::{Header, understand};
use super::line::{Parsed, checked, parse, write_line};
use crate::session::record::Record;

/// Records that may wait for a watcher. A switch makes some ten a second, a pointer or a level some hundreds.
const WAITING: usize = 4_096;

/// The near end of the thread that hands on. It ends with this value, or with the watcher.
#[derive(Debug)]
pub struct Live {
    told: SyncSender<(u64, Told)>,
    next: u64,
}

/// The far end of that thread.
#[derive(Debug)]
pub struct Watching(Receiver<()>);

impl Watching {
    /// Waits until the watcher has taken what was told before its [`Live`] ended, but no longer than this; says whether
    /// it has. One that does not read must not keep the program from its end.
    pub fn is_over_within(&self, patience: Duration) -> bool {
        self.0.recv_timeout(patience) == Err(RecvTimeoutError::Disconnected)
    }
}

/// What a watcher is told.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// A session begins.
    Began(Box<Header>),
    /// Something happened in it.
    Record(Record),
}

impl Live {
    /// Hands on to `out`.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn start(out: impl Write + Send + 'static) -> io::Result<(Live, Watching)> {
        let ((told, waiting), (ends, over)) = (sync_channel(WAITING), channel());
        thread::Builder::new().name("live".into()).spawn(move || hand_on(&waiting, out, ends))?;
        Ok((Live { told, next: 0 }, Watching(over)))
    }

    /// A session begins.
    pub fn begin(&mut self, header: &Header) {
        self.next = 0;
        self.tell(Told::Began(Box::new(header.clone())));
    }

    /// These happened.
    pub fn add(&mut self, records: &[Record]) {
        records.iter().for_each(|record| self.tell(Told::Record(record.clone())));
    }

    fn tell(&mut self, told: Told) {
        // Full, or nobody watches any more: either way the session goes on.
        let _ = self.told.try_send((self.next, told));
        self.next += 1;
    }
}

/// `_ends` goes with the thread.
fn hand_on(waiting: &Receiver<(u64, Told)>, mut out: impl Write, _ends: Sender<()>) {
    let mut line = Vec::new();
    while let Ok((number, told)) = waiting.recv() {
        line.clear();
        match told {
            Told::Began(header) => write_line(&mut line, number, None, &header),
            Told::Record(record) => write_line(&mut line, number, Some(record.at), &record.what),
        }
        if out.write_all(&line).and_then(|()| out.flush()).is_err() {
            return;
        }
    }
}

/// What a line tells, with its number; `None` for a line of something else.
#[must_use]
pub fn heard(line: &str) -> Option<(u64, Told)> {
    let text = checked(line.as_bytes()).ok()?;
    let (number, parsed) = parse(text).ok()?;
    let told = match parsed {
        Parsed::Header => Told::Began(Box::new(understand(text).ok()?.0)),
        Parsed::Record(record) => Told::Record(record),
        Parsed::End { .. } | Parsed::Unknown => return None,
    };
    Some((number, told))
}

#[cfg(test)]
mod tests {
    use std::io::{BufRead as _, BufReader, pipe};

    use super::*;
    use crate::log::header::tests::header;
    use crate::session::input::Input;
    use crate::session::record::What;
    use crate::time::Moment;

    fn shown(number: u64) -> Record {
        Record { at: Moment(number), what: What::Input(Input::Shown { number }) }
    }

    #[test]
    fn what_is_told_is_heard_and_other_lines_are_passed_over() {
        let (reader, writer) = pipe().unwrap();
        let (mut live, watching) = Live::start(writer).unwrap();
        live.begin(&header());
        live.add(&[shown(1), shown(2)]);
        drop(live);
        assert!(watching.is_over_within(Duration::MAX), "the pipe holds as much");
        let lines: Vec<String> = BufReader::new(reader).lines().map(Result::unwrap).collect();
        let all: Vec<_> = lines.iter().filter_map(|line| heard(line)).collect();
        assert_eq!(all[0], (0, Told::Began(Box::new(header()))));
        assert_eq!(all[1..], [(1, Told::Record(shown(1))), (2, Told::Record(shown(2)))]);
        assert_eq!((heard("`first-look` asks for 40 presses"), heard("")), (None, None));
    }

    #[test]
    fn a_watcher_who_does_not_read_holds_nothing_up_and_finds_a_gap() {
        let (reader, writer) = pipe().unwrap();
        let (mut live, watching) = Live::start(writer).unwrap();
        // Far more than the pipe and the thread hold: all of it is taken all the same.
        (0..50_000).for_each(|number| live.add(&[shown(number)]));
        drop(live);
        assert!(!watching.is_over_within(Duration::from_millis(1)), "it waits for the watcher, the program does not");
        let lines = BufReader::new(reader).lines().map_while(Result::ok);
        let numbers: Vec<u64> = lines.filter_map(|line| Some(heard(&line)?.0)).collect();
        assert!(numbers.len() < 50_000 && numbers.len() > WAITING / 2, "{}", numbers.len());
        assert!(numbers.is_sorted(), "in order, with a gap");
    }

    #[test]
    fn a_watcher_who_is_gone_is_no_error() {
        let (reader, writer) = pipe().unwrap();
        drop(reader);
        let (mut live, _) = Live::start(writer).unwrap();
        (0..10_000).for_each(|number| live.add(&[shown(number)]));
        assert_eq!(live.next, 10_000);
    }
}
