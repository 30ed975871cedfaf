//! `export`: session logs as tidy tables or as a data set in the form of BIDS.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use super::args::ExportArgs;
use super::{Done, Trouble, export_folder, files};
use crate::code::ClientCode;
use crate::export::bids::{About, Dataset};
use crate::export::csv::Tables;
use crate::export::exchange::{Key, local, shifted};
use crate::export::table::Shown;
use crate::export::{File, Session, Whose};
use crate::problem::{Problem, Severity};
use crate::store;

pub(super) fn run(args: &ExportArgs) -> Done {
    let bids = args.form == "bids";
    if bids && args.identified {
        return Err(option("--identified", "a BIDS data set is never identified", "leave it out, or write csv").into());
    }
    let mut problems = Vec::new();
    let entries = chosen(args, &mut problems)?;
    if entries.is_empty() {
        if problems.is_empty() {
            problems.push(option("export", "there is no session to export", "check the logs and the list of consent"));
        }
        return Err(Trouble::Input(problems));
    }
    let key = key(args, &entries)?;
    let mut out = if bids { Form::Bids(dataset(args)?) } else { Form::Csv(Box::new(Tables::new(shown(args)))) };
    let mut clients = BTreeSet::new();
    let mut sessions = 0_u32;
    for (entry, whose, began) in placed(&entries, key.as_ref()) {
        match read(entry, whose, began, &mut out) {
            Ok(warned) => {
                problems.extend(warned);
                clients.insert(&entry.client);
                sessions += 1;
            }
            Err(failed) => problems.push(failed),
        }
    }
    export_folder::write(&args.out, &out.into_files(), args.replace)?;
    let counted = |count, word: &str| format!("{count} {word}{}", if count == 1 { "" } else { "s" });
    say!("{} of {} in {}", counted(sessions, "session"), counted(clients.len() as u32, "client"), args.out.display());
    if problems.is_empty() { Ok(()) } else { Err(Trouble::Input(problems)) }
}

fn shown(args: &ExportArgs) -> Shown {
    Shown { free_text: args.free_text, identifying: args.identified }
}

fn dataset(args: &ExportArgs) -> Result<Dataset, Trouble> {
    let Some(path) = &args.about else { return Ok(Dataset::new(About::default(), args.free_text)) };
    let bytes = files::bytes(path, || "it is JSON with keys of the standard".into())?;
    let about = serde_json::from_slice(&bytes).map(About).map_err(|error| {
        let what = format!("cannot read what is said of the data set: {error}");
        Problem::error(&path.display().to_string(), None, what, "write one JSON object, such as `{\"Name\": \"…\"}`")
    })?;
    Ok(Dataset::new(about, args.free_text))
}

fn option(name: &str, what: impl Into<String>, remedy: &str) -> Problem {
    Problem::error(name, None, what, remedy)
}

/// What is written.
enum Form {
    Csv(Box<Tables>),
    Bids(Dataset),
}

impl Form {
    fn add(&mut self, session: &Session) {
        match self {
            Form::Csv(tables) => tables.add(session),
            Form::Bids(dataset) => dataset.add(session),
        }
    }

    fn into_files(self) -> Vec<File> {
        match self {
            Form::Csv(tables) => tables.into_files(),
            Form::Bids(dataset) => dataset.into_files(),
        }
    }
}

/// A log whose header has been read.
struct Entry {
    path: PathBuf,
    client: String,
    began: String,
    seed: u64,
    invented: bool,
}

/// The logs to export, by client and time. Those that cannot be read, and copies, are told.
fn chosen(args: &ExportArgs, problems: &mut Vec<Problem>) -> Result<Vec<Entry>, Trouble> {
    let consent = consent(args)?;
    let mut entries = Vec::new();
    for path in export_folder::logs(&args.logs)? {
        match store::read_header(&path) {
            Ok(Some(header)) => entries.push(Entry {
                client: header.client,
                began: header.began,
                seed: header.seed,
                invented: header.invented,
                path,
            }),
            Ok(None) => problems.extend(why_no_header(&path)),
            Err(problem) => problems.push(problem),
        }
    }
    if let Some(consent) = consent {
        let before = entries.len();
        entries.retain(|entry| entry.invented || consent.contains(&entry.client));
        if entries.len() < before {
            aside!("{} left out: their clients are not on the list of consent", before - entries.len());
        }
    }
    let instant = |entry: &Entry| (entry.client.clone(), local(&entry.began), entry.began.clone(), entry.seed);
    entries.sort_by(|one, two| instant(one).cmp(&instant(two)).then_with(|| one.path.cmp(&two.path)));
    entries.dedup_by(|again, first| {
        let same = instant(again) == instant(first);
        if same {
            problems.push(left_out(&again.path, &format!("it is a copy of `{}`", first.path.display()), "keep one"));
        }
        same
    });
    Ok(entries)
}

/// The first thing that is wrong with a log whose header cannot be read.
fn why_no_header(path: &Path) -> Option<Problem> {
    store::read_log(path).map_or_else(Some, |(_, problems)| problems.into_iter().next())
}

fn left_out(path: &Path, why: &str, remedy: &str) -> Problem {
    Problem::error(&path.display().to_string(), None, format!("cannot export the log: {why}"), remedy)
}

/// The clients who consent; `None` where nobody asks for it.
fn consent(args: &ExportArgs) -> Result<Option<BTreeSet<String>>, Trouble> {
    let Some(path) = &args.consent else {
        // Without a list only virtual clients go into a data set that is made to be given away.
        return Ok((args.form == "bids").then(BTreeSet::new));
    };
    let bytes = files::bytes(path, || "a list of consent has one code a line".into())?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let mut codes = BTreeSet::new();
    for (line, text) in (1..).zip(text.lines()) {
        let code = text.split('#').next().unwrap_or_default().trim();
        if code.is_empty() {
            continue;
        }
        let code: ClientCode = code.parse().map_err(|error: crate::code::CodeError| {
            Problem::error(&path.display().to_string(), Some(line), error.to_string(), "write one code a line")
        })?;
        codes.insert(code.to_string());
    }
    Ok(Some(codes))
}

/// The codes and shifts to use, written to the key file where one is asked for; `None` where the
/// clinic's are kept.
fn key(args: &ExportArgs, entries: &[Entry]) -> Result<Option<Key>, Trouble> {
    if args.identified {
        return Ok(None);
    }
    let mut key = match &args.key {
        Some(path) if path.exists() => read_key(path)?,
        _ => Key::default(),
    };
    let mut clients: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for entry in entries {
        clients.entry(entry.client.clone()).or_default().push(entry.began.clone());
    }
    key.extend(&clients);
    if let Some(path) = &args.key {
        export_folder::apart(path, &args.out)?;
        store::write_whole(path, key.text().as_bytes())?;
    }
    Ok(Some(key))
}

fn read_key(path: &Path) -> Result<Key, Trouble> {
    let bytes = files::bytes(path, || "a key is written by an export with `--key`".into())?;
    let name = path.display().to_string();
    let wrong = |what: String| Problem::error(&name, None, what, "give the key of an earlier export, or a new path");
    let key: Key = serde_json::from_slice(&bytes).map_err(|error| wrong(format!("cannot read the key: {error}")))?;
    if (key.format.as_str(), key.version) != (Key::FORMAT, Key::VERSION) {
        return Err(wrong(format!("the file is no `{}` of version {}", Key::FORMAT, Key::VERSION)).into());
    }
    Ok(key)
}

/// The entries with code, number and date, in the order of the export.
fn placed<'a>(entries: &'a [Entry], key: Option<&Key>) -> Vec<(&'a Entry, Whose, Option<String>)> {
    let mut placed = Vec::new();
    for of_client in entries.chunk_by(|one, two| one.client == two.client) {
        for (session, entry) in (1..).zip(of_client) {
            let exchanged = key.and_then(|key| key.clients.get(&entry.client));
            let client = exchanged.map_or(&entry.client, |exchanged| &exchanged.code).clone();
            let shift = exchanged.map_or(Some(0), |exchanged| exchanged.shift_days);
            let began = shift.and_then(|days| shifted(&entry.began, days));
            placed.push((entry, Whose { client, session }, began));
        }
    }
    placed.sort_by(|(_, one, _), (_, two, _)| (&one.client, one.session).cmp(&(&two.client, two.session)));
    placed
}

/// Reads a log and adds it; gives what was wrong with it.
fn read(entry: &Entry, whose: Whose, began: Option<String>, out: &mut Form) -> Result<Vec<Problem>, Problem> {
    let (log, problems) = store::read_log(&entry.path)?;
    let gone = || left_out(&entry.path, "its header is gone", "try again");
    let (header, ended) = (log.header.clone().ok_or_else(gone)?, log.end.is_some());
    let records = log.into_known();
    let name = entry.path.file_name().unwrap_or_default().to_string_lossy();
    let whole = problems.is_empty() && ended;
    out.add(&Session { whose, began, log: &name, whole, header: &header, records: &records });
    Ok(problems.into_iter().filter(|problem| problem.severity == Severity::Error).collect())
}
