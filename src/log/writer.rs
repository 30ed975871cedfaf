//! Writes a log, a line a record, and loses nothing while the sink refuses.
//!
//! Lines gather in one buffer that is used again and again; a record costs no allocation. What the
//! sink does not take stays in memory and is offered again later, from the very byte at which it
//! stopped. The writer reads no clock: the instants of the records tell when two seconds have passed.

use std::io;

use serde::Serialize;

use super::header::Header;
use super::line::{End, write_line};
use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::time::{Moment, Span};

/// Records may wait this long before they are synced.
pub const SYNC_EVERY: Span = Span::from_ms(2_000);

/// Lines gather to this many bytes before they are handed to the sink between two syncs.
const CHUNK: usize = 1 << 16;

/// Where the bytes of a log go.
pub trait ByteSink {
    /// Takes some of `bytes`, from the front, and tells how many.
    ///
    /// # Errors
    /// When it took none of them.
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize>;

    /// Returns when all bytes taken so far will outlive a power cut.
    ///
    /// # Errors
    /// When that cannot be promised.
    fn sync(&mut self) -> io::Result<()>;

    /// All that it took, if that can no longer be found where the log should be; else nothing.
    fn astray(&mut self) -> Vec<u8> {
        Vec::new()
    }
}

/// A log in memory; nothing outlives a power cut.
impl ByteSink for Vec<u8> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn sync(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Writes one log.
#[derive(Debug)]
pub struct Writer<S> {
    sink: S,
    /// Whole lines that the sink has not taken yet, but for the first `taken` bytes.
    buffer: Vec<u8>,
    taken: usize,
    /// The next attempt is due when this much is waiting; it grows while the sink refuses.
    attempt_at: usize,
    /// It refused last time; only a sync that succeeds clears this.
    failing: bool,
    unsynced: bool,
    next: u64,
    count: End,
    ended: bool,
    synced: Moment,
}

impl<S: ByteSink> Writer<S> {
    /// Begins a log: the header is written and synced.
    ///
    /// # Errors
    /// When the sink refuses; the log has not begun then.
    pub fn begin(sink: S, header: &Header) -> io::Result<Writer<S>> {
        let mut writer = Writer {
            sink,
            buffer: Vec::with_capacity(2 * CHUNK),
            taken: 0,
            attempt_at: CHUNK,
            failing: false,
            unsynced: false,
            next: 0,
            count: End::default(),
            ended: false,
            synced: Moment::START,
        };
        writer.line(None, header);
        writer.save()?;
        Ok(writer)
    }

    /// Adds a record. It is synced at once when it ends a trial or a block, else within two seconds
    /// of session time, else with [`Writer::save`].
    ///
    /// # Errors
    /// When the sink refuses. The record is kept all the same, and offered again.
    pub fn add(&mut self, record: &Record) -> io::Result<()> {
        debug_assert!(!self.ended, "no record follows the end record");
        self.count.count(&record.what);
        self.line(Some(record.at), &record.what);
        if ends_something(&record.what) || record.at.since(self.synced) >= SYNC_EVERY {
            self.synced = self.synced.max(record.at);
            self.save()
        } else if self.unwritten().len() >= self.attempt_at {
            self.hand_over()
        } else {
            Ok(())
        }
    }

    /// Hands over all that waits and syncs.
    ///
    /// # Errors
    /// When the sink refuses. Nothing is lost; call again later.
    pub fn save(&mut self) -> io::Result<()> {
        self.hand_over()?;
        if self.unsynced {
            let synced = self.sink.sync();
            self.failing = synced.is_err();
            self.unsynced = self.failing;
            synced?;
        }
        Ok(())
    }

    /// Adds the end record, once, and saves.
    ///
    /// # Errors
    /// When the sink refuses. Nothing is lost; call again later, or take [`Writer::unwritten`].
    pub fn end(&mut self, at: Moment) -> io::Result<End> {
        if !self.ended {
            self.ended = true;
            let end = self.count;
            self.line(Some(at), &EndPayload { end });
        }
        self.save()?;
        Ok(self.count)
    }

    /// The sink refused last time.
    #[must_use]
    pub fn failing(&self) -> bool {
        self.failing
    }

    /// What the sink has not taken yet; while it refuses, the first line may be the rest of one.
    #[must_use]
    pub fn unwritten(&self) -> &[u8] {
        &self.buffer[self.taken..]
    }

    /// What has to be saved elsewhere when the sink refuses to the end: what went astray, then what waits.
    #[must_use]
    pub fn rest(&mut self) -> Vec<u8> {
        let mut rest = self.sink.astray();
        rest.extend_from_slice(self.unwritten());
        rest
    }

    /// Gives the sink back.
    #[must_use]
    pub fn into_sink(self) -> S {
        self.sink
    }

    fn line(&mut self, at: Option<Moment>, payload: &impl Serialize) {
        write_line(&mut self.buffer, self.next, at, payload);
        self.next += 1;
    }

    fn hand_over(&mut self) -> io::Result<()> {
        let result = self.offer_all();
        self.failing |= result.is_err();
        if result.is_ok() {
            self.buffer.clear();
            self.buffer.shrink_to(2 * CHUNK);
            self.taken = 0;
        }
        self.attempt_at = self.unwritten().len() + CHUNK;
        result
    }

    fn offer_all(&mut self) -> io::Result<()> {
        while self.taken < self.buffer.len() {
            match self.sink.write(&self.buffer[self.taken..]) {
                Ok(0) => return Err(io::ErrorKind::WriteZero.into()),
                Ok(count) => {
                    self.taken += count;
                    self.unsynced = true;
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }
}

#[derive(Serialize)]
struct EndPayload {
    end: End,
}

fn ends_something(what: &What) -> bool {
    matches!(what, What::Event(Event::Trial(_) | Event::BlockEnded { .. } | Event::Finished { .. }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::log::header::tests::header;
    use crate::session::input::Input;

    /// Takes a few bytes at a time, `left` in all, and counts syncs.
    #[derive(Debug, Default)]
    struct Small {
        bytes: Vec<u8>,
        left: usize,
        syncs: usize,
    }

    impl ByteSink for Small {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            let count = bytes.len().min(7).min(self.left);
            self.left -= count;
            self.bytes.extend_from_slice(&bytes[..count]);
            if count == 0 { Err(io::ErrorKind::StorageFull.into()) } else { Ok(count) }
        }

        fn sync(&mut self) -> io::Result<()> {
            self.syncs += 1;
            Ok(())
        }
    }

    fn shown(at: u64) -> Record {
        Record { at: Moment(at), what: What::Input(Input::Shown { number: at }) }
    }

    #[test]
    fn a_sink_that_takes_no_header_begins_no_log() {
        assert!(Writer::begin(Small::default(), &header()).is_err());
    }

    #[test]
    fn what_a_full_sink_refuses_is_offered_again_from_the_byte_at_which_it_stopped() {
        let mut writer = Writer::begin(Small { left: 10_000, ..Small::default() }, &header()).unwrap();
        let mut reference = Writer::begin(Vec::new(), &header()).unwrap();
        writer.sink.left = 23;
        let refused = (0..10).filter(|step| writer.add(&shown(step * 2_000_000)).is_err()).count();
        assert_eq!(refused, 9, "each overdue sync is tried, and tells");
        assert!(writer.failing() && writer.end(Moment(1)).is_err());
        writer.sink.left = usize::MAX;
        assert_eq!(writer.end(Moment(1)).unwrap().inputs, 10);
        (0..10).for_each(|step| reference.add(&shown(step * 2_000_000)).unwrap());
        reference.end(Moment(1)).unwrap();
        assert!(writer.sink.bytes == reference.into_sink() && writer.unwritten().is_empty());
    }

    #[test]
    fn two_seconds_of_records_or_the_end_of_a_block_sync() {
        let mut writer = Writer::begin(Small { left: usize::MAX, ..Small::default() }, &header()).unwrap();
        let syncs = |writer: &mut Writer<Small>, record: &Record| {
            writer.add(record).unwrap();
            writer.sink.syncs
        };
        assert_eq!(syncs(&mut writer, &shown(1_999_999)), 1);
        assert_eq!(syncs(&mut writer, &shown(2_000_000)), 2);
        assert_eq!(syncs(&mut writer, &shown(3_999_999)), 2);
        let finished = Record { at: Moment(4), what: What::Event(Event::Finished { complete: true }) };
        assert_eq!(syncs(&mut writer, &finished), 3);
    }
}
