//! `trial`: a client in front of the menu; and the demonstration that opens without a command.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use crate::analysis::words::capital;
use crate::app::board::{Board, BoardSetup, Look, Part, Turn};
use crate::app::machine::Machine;
use crate::app::{self, AppConfig, RecordSink, Start};
use crate::cli::args::{ScreenArgs, SetupArgs, TrialArgs};
use crate::cli::{Done, Trouble, demo, files, plan, report, tell};
use crate::code::ClientCode;
use crate::log::thread::{LogThread, Unfinished};
use crate::session::setup::Setup;
use crate::session::{Plan, Session};
use crate::settings::Technique;
use crate::store::{Store, instant, rfc3339, wall_clock, write_whole};
use crate::time::Moment;

/// Code that stands in the logs of the demonstration.
const DEMONSTRATION: &str = "DEMO1";

/// What one run of the window needs.
struct Run {
    plan: Plan,
    client: ClientCode,
    setup: Setup,
    store: Store,
    written: Arc<Mutex<Written>>,
}

/// The log that is being written, and how far it has come.
#[derive(Default)]
struct Written {
    path: Option<PathBuf>,
    log: Option<LogThread>,
    last: Moment,
}

pub(super) fn run(args: &TrialArgs) -> Done {
    let client = files::client(&args.client)?;
    let (protocol, menu) = files::protocol(&args.protocol)?;
    let menu = args.menu.as_deref().map_or(Ok(menu), files::menu)?;
    let seed = args.seed.map_or_else(seed_of_the_clock, Ok)?;
    let plan = plan::plan(protocol, menu, &args.set, seed)?;
    say_cost(&plan);
    let setup = circumstances(&args.setup, &args.screen);
    open(plan, client, setup, &args.data, &args.screen, args.windowed)
}

pub(super) fn demonstration(windowed: bool) -> Done {
    if let Err(why) = app::display_available() {
        say!("{why}\nA virtual client runs the demonstration instead.");
        return demo::demonstration();
    }
    let (protocol, menu) = files::protocol("demonstration")?;
    let plan = plan::plan(protocol, menu, &[], seed_of_the_clock()?)?;
    say_cost(&plan);
    let screen = ScreenArgs::default();
    let setup = circumstances(&SetupArgs::default(), &screen);
    open(plan, files::client(DEMONSTRATION)?, setup, Path::new(demo::FOLDER), &screen, windowed)
}

fn say_cost(plan: &Plan) {
    if let Ok(cost) = plan.protocol.cost(&plan.menu, &plan.settings) {
        say!("`{}` asks the client for {cost}.", plan.protocol.name);
        tell(&plan.protocol.cost_warnings(&cost, &plan.protocol.name));
    }
}

/// A session that is not to repeat draws its order from the time of day.
fn seed_of_the_clock() -> Result<u64, Trouble> {
    Ok(wall_clock()?.timestamp().as_microsecond().unsigned_abs())
}

fn open(plan: Plan, client: ClientCode, setup: Setup, data: &Path, screen: &ScreenArgs, windowed: bool) -> Done {
    let store = Store::open(data)?;
    let written = Arc::new(Mutex::new(Written::default()));
    let two = plan.settings.technique() == Technique::Step;
    let run = Run { plan, client, setup, store, written: Arc::clone(&written) };
    let config = AppConfig {
        title: "pacewright".to_string(),
        windowed,
        board: board(screen)?,
        place_known: screen.distance.is_some() && screen.screen_width.is_some(),
        switch_count: if two { 2 } else { 1 },
        switches: screen.switches.iter().map(|text| binding(text)).collect::<Result<_, _>>()?,
        begin: Box::new(|start| run.begin(start)),
    };
    let ended = app::run(config);
    // Whatever happened in the window, what was pressed is saved first.
    let saved = save(&written);
    ended.map_err(|error| Trouble::Failed(error.to_string()))?;
    saved
}

fn binding(text: &str) -> Result<app::binding::Binding, Trouble> {
    text.parse().map_err(|why| Trouble::Failed(format!("cannot use the switch `{text}`: {why}")))
}

fn board(screen: &ScreenArgs) -> Result<BoardSetup, Trouble> {
    let unknown = |what: &str| Trouble::Failed(format!("cannot use {what}; see `pacewright trial --help`"));
    let standard = BoardSetup::default();
    Ok(BoardSetup {
        look: Look::from_name(&screen.look).ok_or_else(|| unknown("this look"))?,
        turn: Turn::from_degrees(screen.turn).ok_or_else(|| unknown("this turn"))?,
        part: Part::from_name(&screen.part).ok_or_else(|| unknown("this part of the screen"))?,
        distance_mm: screen.distance.unwrap_or(standard.distance_mm),
        screen_width_mm: screen.screen_width.unwrap_or(standard.screen_width_mm),
        low_vision: screen.low_vision,
        corner_patch: screen.corner_patch,
        ..standard
    })
}

fn circumstances(setup: &SetupArgs, screen: &ScreenArgs) -> Setup {
    Setup {
        site: setup.site.clone(),
        side: setup.side.clone(),
        switch: setup.switch_kind.clone(),
        mounting: setup.mounting.clone(),
        position: setup.position.clone(),
        breathing: setup.breathing.clone(),
        since_rest: setup.since_rest.clone(),
        since_medication: setup.since_medication.clone(),
        assessor: setup.assessor.clone(),
        low_vision: screen.low_vision,
        look: screen.look.clone(),
        cue_kind: "words and picture".to_string(),
        feedback: "home".to_string(),
        ..Setup::default()
    }
}

impl Run {
    /// The log is there before the session is.
    fn begin(self, start: Start) -> Result<(Box<dyn Machine>, RecordSink), String> {
        let words = |problem: crate::problem::Problem| problem.to_string();
        let began = instant(start.began).map_err(words)?;
        let setup = Setup {
            screen_distance_mm: start.learned.place.distance_mm,
            screen_width_mm: start.learned.place.width_mm,
            devices: start.learned.switches.iter().map(ToString::to_string).collect(),
            ..self.setup
        };
        let header = plan::header(&self.plan, self.client.as_str(), rfc3339(&began), setup, start.measured);
        let (path, file) = self.store.create_log(&self.client, &began).map_err(words)?;
        let log = LogThread::start(file, &header)
            .map_err(|error| format!("cannot begin the log `{}`: {error}; free some space", path.display()))?;
        *lock(&self.written) = Written { path: Some(path), log: Some(log), last: Moment::START };
        let (written, store) = (self.written, self.store);
        let sink: RecordSink = Box::new(move |records| {
            // The folder stays locked for as long as there are records to come.
            let _locked = &store;
            keep(&written, records);
        });
        let mut session = Session::new(self.plan);
        if let Some(warning) = unreadable(&session, start.board) {
            eprintln!("warning: {warning}");
            session.warn(&capital(&warning));
        }
        Ok((Box::new(session), sink))
    }
}

/// Why a page of the session cannot be read from the bed, if one cannot.
fn unreadable(session: &Session, (setup, width, height): (BoardSetup, u32, u32)) -> Option<String> {
    let mut board = Board::new(width, height, setup);
    session.pages_to_come().iter().find_map(|page| board.legibility(page).warning())
}

fn keep(written: &Mutex<Written>, records: &[crate::session::record::Record]) {
    let mut written = lock(written);
    for record in records {
        written.last = written.last.max(record.at);
        if let Some(log) = &written.log {
            log.add(record.clone());
        }
    }
}

/// Ends the log, prints the findings and writes the report.
fn save(written: &Mutex<Written>) -> Done {
    let Written { path, log, last } = std::mem::take(&mut *lock(written));
    let (Some(path), Some(log)) = (path, log) else { return Ok(()) };
    log.finish(last).map_err(|unfinished| rescue(&path, &unfinished))?;
    report::print_and_write(&path, &files::report_beside(&path))
}

/// What the disk did not take goes to the folder for temporary files, and the user is told.
fn rescue(path: &Path, unfinished: &Unfinished) -> Trouble {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let rest = std::env::temp_dir().join(format!("{name}.rest"));
    let saved = write_whole(&rest, &unfinished.unwritten);
    let how = match saved {
        Ok(()) => format!("append `{}` to it once there is space", rest.display()),
        Err(problem) => format!("its last {} bytes are lost: {problem}", unfinished.unwritten.len()),
    };
    Trouble::Failed(format!("cannot finish the log `{}`: {}; {how}", path.display(), unfinished.why))
}

/// A fault elsewhere must not keep the log from being saved.
fn lock(written: &Mutex<Written>) -> std::sync::MutexGuard<'_, Written> {
    written.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}
