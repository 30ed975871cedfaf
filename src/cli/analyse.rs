//! `analyse`: the findings of logs, as text or JSON; of several also advice by set-up and comparisons.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::args::AnalyseArgs;
use super::files::Log;
use super::report::{Read, print_what_to_set};
use super::{Done, Trouble, files, practised, tell};
use crate::advice;
use crate::advice::asked::Asked;
use crate::advice::overview::{Overview, SetUpOverview};
use crate::advice::overview_text::{change_since_last_time, comparisons};
use crate::analysis::gather::Unfit;
use crate::analysis::set_ups::Session;
use crate::analysis::words::count;
use crate::practice::progress::{Progress, progress};
use crate::practice::progress_json;
use crate::problem::Problem;
use crate::store::since_1970_us;

pub(super) fn run(args: &AnalyseArgs) -> Done {
    let (mut logs, asked) = (read(&args.logs)?, args.asked.asked());
    if logs.len() == 1 {
        logs.into_iter().for_each(|log| one(log, &asked, args.json));
        return Ok(());
    }
    let sessions: Vec<Session> = logs.iter().map(|log| (&log.header, &log.records[..])).collect();
    let overview = Overview::of(&sessions, &asked).map_err(|unfit| refused(&logs, &unfit))?;
    if args.json {
        let overall = overall(&logs, &overview);
        let each = logs.drain(..).map(|log| Read::from(log, &asked).json());
        say!("{}", Value::from(each.chain([overall]).collect::<Vec<_>>()));
    } else {
        print(&logs, &overview);
    }
    Ok(())
}

fn one(log: Log, asked: &Asked, as_json: bool) {
    let path = log.path.clone();
    let read = Read::from(log, asked);
    if as_json {
        let mut object = read.json();
        object["at_home"] = json!(read.at_home());
        say!("{}", json!([object]));
    } else {
        say!("{}", path.display());
        read.print();
    }
}

/// When the session of a log began, for people: its day, and the time where another began on that day.
fn began(logs: &[Log], index: usize) -> String {
    let part = |log: &Log, letters: usize| log.header.began.chars().take(letters).collect::<String>();
    let day = part(&logs[index], 10);
    let alone = logs.iter().filter(|log| part(log, 10) == day).count() == 1;
    match day.is_empty() {
        true => format!("session {} (date not stated)", index + 1),
        false if alone => day,
        false => part(&logs[index], 19).replace('T', " "),
    }
}

/// The logs in order of time, each session once.
pub(super) fn read(paths: &[PathBuf]) -> Result<Vec<Log>, Trouble> {
    let mut logs: Vec<Log> = Vec::new();
    for path in paths {
        let log = files::session(path)?;
        match logs.iter_mut().find(|known| known.header == log.header) {
            Some(known) => {
                tell(&[twice(path, &known.path)]);
                // Of a copy that broke off the longer one counts.
                if log.records.len() > known.records.len() {
                    *known = log;
                }
            }
            None => logs.push(log),
        }
    }
    logs.sort_by_key(|log| since_1970_us(&log.header.began));
    Ok(logs)
}

fn twice(path: &Path, known: &Path) -> Problem {
    let what = format!("it is the same session as `{}`", known.display());
    Problem::warning(&path.display().to_string(), None, what, "it counts once")
}

/// Why logs cannot be judged, or not together.
pub(super) fn refused(logs: &[Log], unfit: &Unfit) -> Trouble {
    if logs.len() == 1 {
        return Problem::error(&logs[0].path.display().to_string(), None, &unfit.what, &unfit.remedy).into();
    }
    let other = logs
        .iter()
        .find(|log| log.header.client != logs[0].header.client || log.header.invented != logs[0].header.invented);
    let path = &other.unwrap_or(&logs[0]).path;
    let what = format!("cannot be judged together with `{}`: {}", logs[0].path.display(), unfit.what);
    Problem::error(&path.display().to_string(), None, what, &unfit.remedy).into()
}

fn print(logs: &[Log], overview: &Overview) {
    let client = if logs[0].header.client.is_empty() { "without a code" } else { &logs[0].header.client };
    let (sessions, set_ups) = (logs.len() as u32, overview.set_ups.len() as u32);
    say!("Client {client}: {} in {}", count(sessions, "session", "sessions"), count(set_ups, "set-up", "set-ups"));
    for (number, one) in (1..).zip(&overview.set_ups) {
        say!("\n== Set-up {number}: {}", one.set_up.name);
        print_set_up(logs, one);
    }
    if !overview.comparisons.is_empty() {
        say!("\n== Set-ups compared");
        comparisons(overview).iter().for_each(|line| say!("{line}"));
    }
    for (number, one) in (1..).zip(&overview.set_ups) {
        print_reasons(number, one);
    }
    say!("\nFor the findings of one session give its log alone.");
    say!("Not certified as a medical device: it measures and informs, a licensed clinician decides.");
}

fn print_set_up(logs: &[Log], one: &SetUpOverview) {
    let name = |index: &usize| format!("{} ({})", began(logs, *index), logs[*index].header.protocol.name);
    let named = |sessions: &[usize]| sessions.iter().map(name).collect::<Vec<_>>().join(", ");
    say!("Sessions: {}", named(&one.set_up.sessions));
    if !one.set_up.other_menu.is_empty() {
        say!("Left out, for it was another menu: {}. Give its log alone.", named(&one.set_up.other_menu));
    }
    if logs.iter().any(|log| log.header.invented) {
        say!("Invented data: a virtual client pressed.");
    }
    practised::print(&practice(logs, one));
    print_what_to_set(&one.advice);
    change_since_last_time(one, |index| began(logs, index)).iter().for_each(|line| say!("{line}"));
}

fn print_reasons(number: u32, one: &SetUpOverview) {
    let Ok(advice) = &one.advice else { return };
    say!("\n== Reasons, set-up {number}");
    advice::text::lines(&advice.recommendations, &advice.verdict).iter().for_each(|line| say!("{line}"));
}

/// What practice has changed in one set-up, whatever the menu.
fn practice(logs: &[Log], one: &SetUpOverview) -> Vec<Progress> {
    let mut places = [&one.set_up.sessions[..], &one.set_up.other_menu].concat();
    places.sort_unstable();
    let sessions: Vec<Session> = places.iter().map(|place| (&logs[*place].header, &logs[*place].records[..])).collect();
    progress(&sessions)
}

/// What is said of all sessions together, as one object.
fn overall(logs: &[Log], overview: &Overview) -> Value {
    let mut object = advice::json::overview(overview, |index| logs[index].header.began.clone());
    for (place, one) in overview.set_ups.iter().enumerate() {
        object["set_ups"][place]["practice"] = progress_json::json(&practice(logs, one));
    }
    object["format"] = json!("pacewright advice");
    object["version"] = json!(1);
    object["program"] = json!(env!("CARGO_PKG_VERSION"));
    object["client"] = json!(logs[0].header.client);
    object["invented"] = json!(logs[0].header.invented);
    object
}
