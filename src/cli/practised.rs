//! What practice has changed, for the commands.

use super::{Trouble, files, tell};
use crate::code::ClientCode;
use crate::practice::plan::Plan;
use crate::practice::progress::{Progress, progress};
use crate::practice::progress_text;
use crate::store::{Store, since_1970_us};

/// A day, in microseconds.
const DAY_US: i64 = 86_400_000_000;

/// What all practice sessions of a client in the folder come to, together. A log that cannot be read is told and
/// left out.
pub(super) fn so_far(store: &Store, client: &ClientCode) -> Result<Vec<Progress>, Trouble> {
    let mut logs = Vec::new();
    for path in store.sessions(client)? {
        match files::session(&path) {
            Err(Trouble::Input(problems)) => tell(&problems),
            log => logs.push(log?),
        }
    }
    let sessions: Vec<_> = logs.iter().map(|log| (&log.header, &log.records[..])).collect();
    Ok(progress(&sessions))
}

/// The plan goes on from the newest session that says with which interval.
pub(super) fn go_on(plan: &mut Plan, practice: &[Progress]) {
    let sessions = practice.iter().flat_map(|one| &one.sessions);
    let told = sessions.filter_map(|one| Some((since_1970_us(&one.began)?, one.next_interval()?, one)));
    if let Some((_, interval, session)) = told.max_by_key(|(began, ..)| *began) {
        plan.go_on_from(interval, session.began.get(..10).unwrap_or_default());
    }
}

/// Prints it, where something was practised.
pub(super) fn print(practice: &[Progress]) {
    let lines = lines(practice);
    if !lines.is_empty() {
        say!("Practice so far");
        lines.iter().for_each(|line| say!("- {line}"));
        say!("");
    }
}

/// It as lines.
pub(super) fn lines(practice: &[Progress]) -> Vec<String> {
    progress_text::lines(practice, days_between)
}

/// Days between two instants of headers.
fn days_between(before: &str, after: &str) -> Option<u32> {
    let [before, after] = [before, after].map(since_1970_us);
    ((after? - before?) / DAY_US).try_into().ok()
}
