//! Goes on behind a session that was broken off: the same plan, and the inputs that lead to where it stopped.
//!
//! The new session is a session of its own with a log of its own that names the old one. The block that was
//! under way begins anew: half a block is no measurement. Blocks that were done are skipped, and the
//! clinician's changes of setting are made again, both as inputs at the start, so that the new log replays.

use super::reader::LogFile;
use crate::problem::Problem;
use crate::session::event::{BlockEnd, Event};
use crate::session::input::Input;
use crate::session::record::What;
use crate::session::{Plan, Session};

/// What is left of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Resumed {
    /// The plan of the old session.
    pub plan: Plan,
    /// To be handed to the new session at its start, in order. They end with the switch in the assessor's hands.
    pub inputs: Vec<Input>,
}

/// What is left of the session in `log`; `file` names it in the problem.
///
/// # Errors
/// When the header does not hold the plan, or every block was done.
pub fn resumed(log: &LogFile, file: &str) -> Result<Resumed, Problem> {
    let header = log.header.as_ref().ok_or_else(|| {
        Problem::error(file, Some(1), "cannot go on: the header is missing", "begin a new session without `--continue`")
    })?;
    let plan = header.plan(file)?;
    let done = blocks_done(log);
    if usize::from(done) >= plan.protocol.blocks.len() {
        let remedy = "begin a new session without `--continue`";
        return Err(Problem::error(file, None, "cannot go on: every block was done", remedy));
    }
    let changed = log.known().filter_map(|record| match &record.what {
        What::Input(input @ Input::Set { .. }) => Some(input.clone()),
        _ => None,
    });
    let skipped = (0..done).map(|_| Input::SkipBlock);
    let inputs = changed.chain(skipped).chain((done > 0).then_some(Input::MyPresses { on: true })).collect();
    Ok(Resumed { plan, inputs })
}

/// How many blocks from the first need not be begun again.
fn blocks_done(log: &LogFile) -> u16 {
    log.known().fold(0, |done, record| match record.what {
        What::Event(Event::BlockBegan { block, .. }) => block,
        What::Event(Event::BlockEnded { block, why }) if why != BlockEnd::SessionEnded => block.saturating_add(1),
        _ => done,
    })
}

impl Resumed {
    /// The new session, brought to where the old one stopped; what happened on the way is added to `out`.
    #[must_use]
    pub fn session(&self, out: &mut Vec<crate::session::record::Record>) -> Session {
        let mut session = Session::new(self.plan.clone());
        for input in &self.inputs {
            session.input(crate::time::Moment::START, input.clone(), out);
        }
        session
    }
}
