//! Runs a logged session again and says whether it does the same.
//!
//! The inputs and the header are the truth; effects and events are logged for checking. Replay
//! feeds the inputs at their stamps and compares all that comes out, record by record.

use super::follow::Follower;
use super::line::{Content, Line};
use super::reader::LogFile;
use crate::problem::Problem;
use crate::session::event::Event;
use crate::session::record::{Record, What};
use crate::session::words;

/// How a replay went.
#[derive(Clone, Debug, PartialEq)]
pub enum Replayed {
    /// Every effect and event came out as logged.
    Agrees {
        /// Effects and events compared.
        compared: u64,
        /// The line at which replay had to stop because records are missing.
        until_gap: Option<u32>,
    },
    /// The first difference.
    Differs {
        /// Its line in the log; `None` when the log had ended.
        line: Option<u32>,
        /// What the log holds.
        logged: Option<Box<Record>>,
        /// What the session did.
        done: Option<Box<Record>>,
        /// Effects and events that agreed before it.
        agreed: u64,
    },
}

/// Runs the session again; `file` names the log in problems. Records of unknown kinds are passed over, and so is what
/// stood on the screen where the log's words are those of an older version.
///
/// # Errors
/// When the log has no header, or one from which no session can be built.
pub fn replay(log: &LogFile, file: &str) -> Result<Replayed, Problem> {
    let header = log.header.as_ref().ok_or_else(|| {
        Problem::error(file, None, "cannot replay a log without a header", "copy the file again, whole")
    })?;
    let other_words = (1..words::TEXT_VERSION).contains(&header.setup.text_version);
    Ok(Run { follower: Follower::new(header.plan(file)?), compared: 0, other_words }.through(log))
}

struct Run {
    follower: Follower,
    compared: u64,
    /// The screens of the log had words of an older version.
    other_words: bool,
}

impl Run {
    fn through(mut self, log: &LogFile) -> Replayed {
        let whole = |line: &&Line| log.first_gap.is_none_or(|gap| line.line < gap);
        for line in log.records.iter().take_while(whole) {
            let Content::Known(record) = &line.content else { continue };
            let done = self.follower.next(record);
            if !done.as_ref().is_some_and(|done| done == record || self.words_only(done, record)) {
                return self.differs(Some((line.line, record)), done);
            }
            self.compared += u64::from(!matches!(record.what, What::Input(_)));
        }
        // A log that was broken off may lack what its last input led to.
        match self.follower.ahead().cloned() {
            Some(done) if log.end.is_some() && log.first_gap.is_none() => self.differs(None, Some(done)),
            _ => Replayed::Agrees { compared: self.compared, until_gap: log.first_gap },
        }
    }

    /// Two scenes at once, told with words of another version: what stands on a screen decides nothing.
    fn words_only(&self, done: &Record, logged: &Record) -> bool {
        let number = |record: &Record| match record.what {
            What::Event(Event::Scene { number, .. }) => Some((record.at, number)),
            _ => None,
        };
        self.other_words && number(done).is_some_and(|done| Some(done) == number(logged))
    }

    fn differs(self, logged: Option<(u32, &Record)>, done: Option<Record>) -> Replayed {
        Replayed::Differs {
            line: logged.map(|(line, _)| line),
            logged: logged.map(|(_, record)| Box::new(record.clone())),
            done: done.map(Box::new),
            agreed: self.compared,
        }
    }
}
