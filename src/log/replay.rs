//! Runs a logged session again and says whether it does the same.
//!
//! The inputs and the header are the truth; effects and events are logged for checking. Replay
//! feeds the inputs at their stamps and compares all that comes out, record by record.

use super::follow::Follower;
use super::line::{Content, Line};
use super::reader::LogFile;
use crate::problem::Problem;
use crate::session::record::{Record, What};

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

/// Runs the session again; `file` names the log in problems. Records of unknown kinds are passed over.
///
/// # Errors
/// When the log has no header, or one from which no session can be built.
pub fn replay(log: &LogFile, file: &str) -> Result<Replayed, Problem> {
    let header = log.header.as_ref().ok_or_else(|| {
        Problem::error(file, None, "cannot replay a log without a header", "copy the file again, whole")
    })?;
    Ok(Run { follower: Follower::new(header.plan(file)?), compared: 0 }.through(log))
}

struct Run {
    follower: Follower,
    compared: u64,
}

impl Run {
    fn through(mut self, log: &LogFile) -> Replayed {
        let whole = |line: &&Line| log.first_gap.is_none_or(|gap| line.line < gap);
        for line in log.records.iter().take_while(whole) {
            let Content::Known(record) = &line.content else { continue };
            let done = self.follower.next(record);
            if done.as_ref() != Some(record) {
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

    fn differs(self, logged: Option<(u32, &Record)>, done: Option<Record>) -> Replayed {
        Replayed::Differs {
            line: logged.map(|(line, _)| line),
            logged: logged.map(|(_, record)| Box::new(record.clone())),
            done: done.map(Box::new),
            agreed: self.compared,
        }
    }
}
