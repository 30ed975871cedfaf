//! A writer in a thread of its own, so that a slow disk never delays the scan.
//!
//! Sending a record never waits: the channel grows instead. A switch makes some ten records a second, a
//! pointer or a level some hundreds, so an hour without a disk is a few megabytes to a hundred. The thread
//! reads no clock; when two seconds bring no record it saves what it has.

use std::fmt;
use std::io;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use super::header::Header;
use super::line::End;
use super::writer::{ByteSink, SYNC_EVERY, Writer};
use crate::session::record::Record;
use crate::time::Moment;

/// What the thread tells while it runs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// The sink refuses; this many bytes wait in memory, and are offered again.
    Waiting {
        /// Why, in the words of the system.
        why: String,
        /// How much waits.
        bytes: usize,
    },
    /// The sink has taken everything again.
    Over,
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Trouble::Waiting { why, bytes } => write!(
                f,
                "cannot write the log: {why}; the session can go on: {bytes} bytes wait in memory and are tried again \
                 every {} s, so free some space or bring the folder back",
                SYNC_EVERY.0 / 1_000_000
            ),
            Trouble::Over => write!(f, "the log is written again; nothing was lost"),
        }
    }
}

/// The log could not be finished: `unwritten` belongs behind what the sink holds.
#[derive(Debug)]
pub struct Unfinished {
    /// Why, in the words of the system.
    pub why: String,
    /// The bytes that the sink did not take, behind those that went astray; save them elsewhere.
    pub unwritten: Vec<u8>,
}

enum Message {
    Record(Record),
    End(Moment),
}

/// The near end of the writer's thread. Dropping it saves all that the sink takes and ends the thread, but
/// writes no end record: so a log that a panic cut short says that it was.
#[derive(Debug)]
pub struct LogThread {
    messages: Option<Sender<Message>>,
    troubles: Receiver<Trouble>,
    thread: Option<JoinHandle<Result<End, Unfinished>>>,
}

impl LogThread {
    /// Writes and syncs the header, here and now, then starts the thread.
    ///
    /// # Errors
    /// When the sink refuses the header or the system gives no thread.
    pub fn start<S: ByteSink + Send + 'static>(sink: S, header: &Header) -> io::Result<LogThread> {
        let writer = Writer::begin(sink, header)?;
        let (messages, incoming) = mpsc::channel();
        let (reports, troubles) = mpsc::channel();
        let thread = thread::Builder::new().name("log".into()).spawn(move || run(writer, &incoming, &reports))?;
        Ok(LogThread { messages: Some(messages), troubles, thread: Some(thread) })
    }

    /// Hands over a record; never waits.
    pub fn add(&self, record: Record) {
        self.send(Message::Record(record));
    }

    /// What has gone wrong, or right again, since it was last asked; never waits.
    pub fn trouble(&self) -> Option<Trouble> {
        self.troubles.try_recv().ok()
    }

    /// Writes the end record, syncs and ends the thread.
    ///
    /// # Errors
    /// When the sink still refuses; the error holds all that it did not take.
    pub fn finish(mut self, at: Moment) -> Result<End, Unfinished> {
        self.send(Message::End(at));
        self.join().unwrap_or_else(|| Err(Unfinished { why: "its thread panicked".into(), unwritten: Vec::new() }))
    }

    fn send(&self, message: Message) {
        // The receiver is gone only if the thread panicked; `finish` tells it then.
        let _ = self.messages.as_ref().map(|messages| messages.send(message));
    }

    fn join(&mut self) -> Option<Result<End, Unfinished>> {
        self.messages = None;
        self.thread.take()?.join().ok()
    }
}

impl Drop for LogThread {
    fn drop(&mut self) {
        self.join();
    }
}

fn run<S: ByteSink>(
    mut writer: Writer<S>,
    incoming: &Receiver<Message>,
    reports: &Sender<Trouble>,
) -> Result<End, Unfinished> {
    loop {
        let failed_before = writer.failing();
        let result = match incoming.recv_timeout(Duration::from_micros(SYNC_EVERY.0)) {
            Ok(Message::Record(record)) => writer.add(&record),
            Ok(Message::End(at)) => return writer.end(at).map_err(|error| unfinished(&mut writer, &error)),
            Err(RecvTimeoutError::Timeout) => writer.save(),
            Err(RecvTimeoutError::Disconnected) => {
                let error = writer.save().err().unwrap_or_else(|| io::Error::other("it was dropped before its end"));
                return Err(unfinished(&mut writer, &error));
            }
        };
        if let Some(trouble) = trouble(&writer, failed_before, result) {
            // Nobody listens any more when the near end is being dropped.
            let _ = reports.send(trouble);
        }
    }
}

fn trouble<S: ByteSink>(writer: &Writer<S>, failed_before: bool, result: io::Result<()>) -> Option<Trouble> {
    match result {
        Err(error) if !failed_before => {
            Some(Trouble::Waiting { why: error.to_string(), bytes: writer.unwritten().len() })
        }
        Ok(()) if failed_before && !writer.failing() => Some(Trouble::Over),
        _ => None,
    }
}

fn unfinished<S: ByteSink>(writer: &mut Writer<S>, error: &io::Error) -> Unfinished {
    Unfinished { why: error.to_string(), unwritten: writer.rest() }
}
