//! `take-back`: what was practised at home goes into the clients' records.

use std::path::Path;

use super::args::TakeBackArgs;
use super::{Done, Trouble, files, practised, tell};
use crate::analysis::words::count;
use crate::code::ClientCode;
use crate::practice::home::{self, HomeFolder};
use crate::practice::practised::Practised;
use crate::problem::Problem;
use crate::store::{self, Store, Taken};

pub(super) fn run(args: &TakeBackArgs) -> Done {
    let sessions = args.folder.join(home::SESSIONS);
    if !sessions.is_dir() {
        let remedy = "give the folder that `pack` wrote, whole as it came back";
        return Err(error(&args.folder, format!("it holds no folder `{}`", home::SESSIONS), remedy).into());
    }
    if store::in_use(&sessions)? {
        return Err(error(&sessions, "a session runs in it".into(), "end practice there first, then try again").into());
    }
    let expected = client_of(&args.folder);
    let logs = store::logs_in(&sessions)?;
    let record = Store::open(&args.data)?;
    let mut back = Back::default();
    for path in &logs {
        match take(&record, path, expected.as_deref()) {
            Ok(taken) => back.add(taken),
            Err(Trouble::Input(problems)) => back.left.extend(problems),
            Err(failed) => {
                back.print(&record, &args.data)?;
                return Err(failed);
            }
        }
    }
    back.print(&record, &args.data)?;
    // Nothing was taken out of the home folder: what was left can be taken later.
    if back.left.is_empty() { Ok(()) } else { Err(Trouble::Input(back.left)) }
}

/// The client whose home folder it is; where that cannot be told, each log says it by itself.
fn client_of(folder: &Path) -> Option<String> {
    let path = folder.join(home::LIST);
    let read = store::read_whole(&path).and_then(|text| HomeFolder::read(&path.display().to_string(), &text));
    read.map(|list| list.client)
        .map_err(|problem| {
            let what = "the folder was copied in part: its list of files is missing or damaged";
            let remedy = "what sessions there are are taken; look for the whole folder";
            tell(&[Problem::warning(&problem.file, None, what, remedy)]);
        })
        .ok()
}

/// Takes one log into the record of its client.
fn take(record: &Store, path: &Path, expected: Option<&str>) -> Result<(ClientCode, Taken), Trouble> {
    let header = store::read_header(path)?;
    let header = header
        .ok_or_else(|| error(path, "it is no session log".into(), "copy it again; the record was left as it is"))?;
    if expected.is_some_and(|expected| expected != header.client) {
        let what =
            format!("it is a session of {}, in the home folder of {}", header.client, expected.unwrap_or_default());
        return Err(error(path, what, "find out who practised; it was not taken").into());
    }
    let client: ClientCode = header.client.parse().map_err(|code: crate::code::CodeError| {
        error(path, format!("its client has no code that can be used: {code}"), "it was not taken")
    })?;
    let taken = record.take(&client, path)?;
    Ok((client, taken))
}

/// What came back.
#[derive(Default)]
struct Back {
    taken: Vec<(ClientCode, Taken)>,
    left: Vec<Problem>,
}

impl Back {
    fn add(&mut self, taken: (ClientCode, Taken)) {
        self.taken.push(taken);
    }

    fn count(&self, of: fn(&Taken) -> bool) -> u32 {
        self.taken.iter().filter(|(_, taken)| of(taken)).count() as u32
    }

    /// The summary of what is new.
    fn print(&self, record: &Store, data: &Path) -> Done {
        let new = self.count(|taken| matches!(taken, Taken::New(_)));
        let completed = self.count(|taken| matches!(taken, Taken::Completed(_)));
        let known = self.count(|taken| matches!(taken, Taken::Known(_)));
        say!(
            "{}: {} new, {completed} completed, {known} known before, {} left",
            data.display(),
            count(new, "session", "sessions"),
            self.left.len()
        );
        let mut clients: Vec<&ClientCode> = Vec::new();
        for (client, taken) in &self.taken {
            let (Taken::New(path) | Taken::Completed(path)) = taken else { continue };
            say!("- {}", told(path)?);
            if !clients.contains(&client) {
                clients.push(client);
            }
        }
        for client in clients {
            say!("\nClient {client}");
            practised::print(&practised::so_far(record, client)?);
        }
        Ok(())
    }
}

/// A session in one line.
fn told(path: &Path) -> Result<String, Trouble> {
    let log = files::session(path)?;
    let began = log.header.began.chars().take(16).collect::<String>().replace('T', " ");
    let how = Practised::of(&log.header, &log.records).map_or_else(
        || format!("`{}`, no practice", log.header.protocol.name),
        |one| format!("`{}`, {} of {} attempts right", one.step.id, one.tally.hits, one.tally.hits + one.tally.misses),
    );
    Ok(format!("{began}: {how}"))
}

fn error(path: &Path, what: String, remedy: &str) -> Problem {
    Problem::error(&path.display().to_string(), None, what, remedy)
}
