//! `trial`: a client in front of the menu; and the demonstration that opens without a command.

use std::path::Path;

use super::{Next, Seat};
use crate::analysis::words::count;
use crate::app::machine::Machine;
use crate::app::{self, Start};
use crate::cli::args::{ScreenArgs, SetupArgs, TrialArgs};
use crate::cli::{Done, demo, files, labels, plan, report, tell};
use crate::code::ClientCode;
use crate::engine::roles::usual;
use crate::log::resume::resumed;
use crate::problem::Problem;
use crate::session::event::BlockKind;
use crate::session::protocol::Block;
use crate::session::{Plan, Session};
use crate::store::{Broken, Store};

/// Code that stands in the logs of the demonstration.
const DEMONSTRATION: &str = "DEMO1";

/// A session with a clinician at the bed.
pub(in crate::cli) fn trial(args: &TrialArgs) -> Done {
    let client = files::client(&args.client)?;
    if args.go_on {
        return go_on(client, args);
    }
    let (mut protocol, menu) = files::protocol(&args.protocol)?;
    if args.check {
        protocol.blocks.insert(0, Block::of(BlockKind::SwitchCheck));
    }
    let menu = args.menu.as_deref().map_or(Ok(menu), files::menu)?;
    let seed = args.seed.map_or_else(plan::seed_of_the_clock, Ok)?;
    let plan = plan::plan(protocol, menu, &args.set, seed)?;
    say_cost(&plan);
    let store = Store::open(&args.data)?;
    let broken = store.broken_off(&client)?;
    tell(broken.as_ref().map(Broken::warning).as_slice());
    let (words, instead) = broken.and_then(|broken| offer(&broken, &plan)).unzip();
    let session = Session::new(plan);
    let seat = Seat { broken_off: words, ..seat(&session, client, store, args) };
    open(seat, begun(session), instead)
}

/// Goes on behind the client's last session.
fn go_on(client: ClientCode, args: &TrialArgs) -> Done {
    let store = Store::open(&args.data)?;
    let broken = store.broken_off(&client)?.ok_or_else(|| {
        let what = format!("the last session of {client} came to its end, or there is none");
        Problem::error("--continue", None, what, "begin a new session without it")
    })?;
    let next = behind(&broken)?;
    say!("Goes on behind {} saved trials; the block that was under way begins anew.", broken.trials());
    let seat = seat(next.machine.session(), client, store, args);
    open(seat, next, None)
}

/// The demonstration protocol, without a command.
pub(in crate::cli) fn demonstration(windowed: bool) -> Done {
    if let Err(why) = app::display_available() {
        say!("{why}\nA virtual client runs the demonstration instead.");
        return demo::demonstration();
    }
    let (protocol, menu) = files::protocol("demonstration")?;
    let plan = plan::plan(protocol, menu, &[], plan::seed_of_the_clock()?)?;
    say_cost(&plan);
    let (session, store) = (Session::new(plan), Store::open(Path::new(demo::FOLDER))?);
    let seat = Seat {
        client: files::client(DEMONSTRATION)?,
        screen: &ScreenArgs::default(),
        setup: &SetupArgs::default(),
        windowed,
        watched: None,
        settings: session.plan().settings.clone(),
        sound: labels::prepare(store.folder(), &session),
        store,
        broken_off: None,
    };
    open(seat, begun(session), None)
}

fn seat<'a>(session: &Session, client: ClientCode, store: Store, args: &'a TrialArgs) -> Seat<'a> {
    let TrialArgs { screen, setup, windowed, watched, .. } = args;
    let settings = session.plan().settings.clone();
    let (watched, sound) = (watched.as_deref(), labels::prepare(store.folder(), session));
    Seat { client, store, screen, setup, windowed: *windowed, watched, settings, sound, broken_off: None }
}

/// A session in which nothing has happened yet.
fn begun(session: Session) -> Next {
    Next { machine: Box::new(session), before: Vec::new(), continues: None, practice: None }
}

/// What is left of a session that was broken off.
fn behind(broken: &Broken) -> Result<Next, Problem> {
    let resumed = resumed(&broken.log, &broken.path.display().to_string())?;
    let continues = broken.path.file_name().map(|name| name.to_string_lossy().into_owned());
    let mut before = Vec::new();
    let session = resumed.session(&mut before);
    Ok(Next { machine: Box::new(session), before, continues, practice: None })
}

/// The words that offer a session that was broken off, and what is left of it. Nothing where it cannot be gone on
/// with, or only with another number of switches than `instead`.
fn offer(broken: &Broken, instead: &Plan) -> Option<(String, Next)> {
    let switches = |plan: &Plan| usual(plan.settings.technique());
    let next = behind(broken).ok().filter(|next| switches(next.machine.session().plan()) == switches(instead))?;
    let began = broken.log.header.as_ref().map(|header| header.began.as_str())?;
    let day_and_time = began.get(..16).unwrap_or(began).replace('T', ", ");
    let trials = count(broken.trials() as u32, "trial was", "trials were");
    Some((format!("The session of {day_and_time} was broken off; {trials} saved."), next))
}

/// Runs one session, this one or the one that was broken off, then prints the findings and writes the report.
fn open(seat: Seat, one: Next, broken_off: Option<Next>) -> Done {
    let (mut one, mut broken_off) = (Some(one), broken_off);
    let told = |path: &Path| report::print_and_write(path, &files::report_beside(path));
    let sessions = move |start: &Start, over: Option<&dyn Machine>| {
        let next = broken_off.take().filter(|_| start.learned.go_on).or_else(|| one.take());
        Ok(next.filter(|_| over.is_none()))
    };
    super::open(seat, Box::new(sessions), told)
}

fn say_cost(plan: &Plan) {
    if let Ok(cost) = plan.protocol.cost(&plan.menu, &plan.settings) {
        say!("`{}` asks the client for {cost}.", plan.protocol.name);
        tell(&plan.protocol.cost_warnings(&cost, &plan.protocol.name));
    }
}
