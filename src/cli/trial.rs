//! `trial`: a client in front of the menu; and the demonstration that opens without a command.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use crate::analysis::words::{capital, count};
use crate::app::board::{Board, BoardSetup, Look, Part, Turn};
use crate::app::machine::Machine;
use crate::app::{self, AppConfig, RecordSink, Start};
use crate::cli::args::{ScreenArgs, SetupArgs, TrialArgs};
use crate::cli::{Done, Trouble, demo, files, plan, report, tell};
use crate::code::ClientCode;
use crate::log::header::Header;
use crate::log::resume::{Resumed, resumed};
use crate::log::thread::Trouble::Waiting;
use crate::log::thread::{LogThread, Unfinished};
use crate::problem::Problem;
use crate::session::setup::Setup;
use crate::session::{Plan, Session};
use crate::settings::Technique;
use crate::store::{self, Broken, LogSink, Store, instant, rfc3339, wall_clock};
use crate::time::Moment;

/// Code that stands in the logs of the demonstration.
const DEMONSTRATION: &str = "DEMO1";

/// What the clinician's line says while the disk refuses; the whole story goes to the terminal.
const NOT_WRITTEN: &str = "Log not on disk: free some space, or bring the folder back. It waits in memory.";

/// What one run of the window needs.
struct Run {
    course: Course,
    /// Taken instead when the clinician says so.
    broken_off: Option<Course>,
    client: ClientCode,
    setup: Setup,
    store: Store,
    written: Arc<Mutex<Written>>,
}

/// A session from its beginning, or what is left of one that was broken off.
struct Course {
    plan: Plan,
    resumed: Option<Resumed>,
    /// File name of the log of the session that was broken off.
    continues: Option<String>,
}

impl From<Plan> for Course {
    fn from(plan: Plan) -> Course {
        Course { plan, resumed: None, continues: None }
    }
}

impl Course {
    /// What is left of a session that was broken off.
    fn behind(broken: &Broken) -> Result<Course, Problem> {
        let resumed = resumed(&broken.log, &broken.path.display().to_string())?;
        let continues = broken.path.file_name().map(|name| name.to_string_lossy().into_owned());
        Ok(Course { plan: resumed.plan.clone(), resumed: Some(resumed), continues })
    }

    fn switch_count(&self) -> usize {
        if self.plan.settings.technique() == Technique::Step { 2 } else { 1 }
    }
}

/// A session that was broken off, and the words that offer it.
struct Offer {
    words: String,
    course: Course,
}

impl Offer {
    /// Nothing where it cannot be gone on with, or only with another number of switches than `instead`.
    fn of(broken: &Broken, instead: &Course) -> Option<Offer> {
        let course = Course::behind(broken).ok().filter(|course| course.switch_count() == instead.switch_count())?;
        let began = broken.log.header.as_ref().map(|header| header.began.as_str())?;
        let day_and_time = began.get(..16).unwrap_or(began).replace('T', ", ");
        let trials = count(broken.trials() as u32, "trial was", "trials were");
        Some(Offer { words: format!("The session of {day_and_time} was broken off; {trials} saved."), course })
    }
}

/// The log that is being written, and how far it has come.
#[derive(Default)]
struct Written {
    path: Option<PathBuf>,
    log: Option<LogThread>,
    last: Moment,
    /// What the clinician's line says of it.
    trouble: Option<String>,
}

pub(super) fn run(args: &TrialArgs) -> Done {
    let client = files::client(&args.client)?;
    let setup = circumstances(&args.setup, &args.screen);
    if args.go_on {
        return go_on(client, setup, args);
    }
    let (protocol, menu) = files::protocol(&args.protocol)?;
    let menu = args.menu.as_deref().map_or(Ok(menu), files::menu)?;
    let seed = args.seed.map_or_else(seed_of_the_clock, Ok)?;
    let plan = plan::plan(protocol, menu, &args.set, seed)?;
    say_cost(&plan);
    let store = Store::open(&args.data)?;
    let course = Course::from(plan);
    let broken = store.broken_off(&client)?;
    tell(broken.as_ref().map(Broken::warning).as_slice());
    let offer = broken.and_then(|broken| Offer::of(&broken, &course));
    open(course, offer, client, setup, store, &args.screen, args.windowed)
}

/// Goes on behind the client's last session.
fn go_on(client: ClientCode, setup: Setup, args: &TrialArgs) -> Done {
    let store = Store::open(&args.data)?;
    let broken = store.broken_off(&client)?.ok_or_else(|| {
        let what = format!("the last session of {client} came to its end, or there is none");
        Problem::error("--continue", None, what, "begin a new session without it")
    })?;
    let course = Course::behind(&broken)?;
    say!("Goes on behind {} saved trials; the block that was under way begins anew.", broken.trials());
    open(course, None, client, setup, store, &args.screen, args.windowed)
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
    let store = Store::open(Path::new(demo::FOLDER))?;
    open(plan.into(), None, files::client(DEMONSTRATION)?, setup, store, &screen, windowed)
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

fn open(
    course: Course,
    offer: Option<Offer>,
    client: ClientCode,
    setup: Setup,
    store: Store,
    screen: &ScreenArgs,
    windowed: bool,
) -> Done {
    tell(store.clock_set_back(&client, &wall_clock()?)?.as_slice());
    let written = Arc::new(Mutex::new(Written::default()));
    let switch_count = course.switch_count();
    let (words, broken_off) = offer.map(|offer| (offer.words, offer.course)).unzip();
    let run = Run { course, broken_off, client, setup, store, written: Arc::clone(&written) };
    let config = AppConfig {
        title: "pacewright".to_string(),
        windowed,
        board: board(screen)?,
        place_known: screen.distance.is_some() && screen.screen_width.is_some(),
        switch_count,
        switches: screen.switches.iter().map(|text| binding(text)).collect::<Result<_, _>>()?,
        broken_off: words,
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
        let words = |problem: Problem| problem.to_string();
        let began = instant(start.began).map_err(words)?;
        let setup = Setup {
            screen_distance_mm: start.learned.place.distance_mm,
            screen_width_mm: start.learned.place.width_mm,
            devices: start.learned.switches.iter().map(ToString::to_string).collect(),
            ..self.setup
        };
        let broken_off = self.broken_off.filter(|_| start.learned.go_on);
        let Course { plan, resumed, continues } = broken_off.unwrap_or(self.course);
        let header = plan::header(&plan, self.client.as_str(), rfc3339(&began), setup, start.measured);
        let header = Header { continues, ..header };
        let (path, file) = self.store.create_log(&self.client, &began).map_err(words)?;
        let log = LogThread::start(LogSink::new(path.clone(), file), &header)
            .map_err(|error| format!("cannot begin the log `{}`: {error}; free some space", path.display()))?;
        *lock(&self.written) = Written { path: Some(path), log: Some(log), ..Written::default() };
        let (written, store) = (self.written, self.store);
        let mut sink: RecordSink = Box::new(move |records| {
            // The folder stays locked for as long as there are records to come.
            let _locked = &store;
            keep(&written, records)
        });
        let mut before = Vec::new();
        let mut session = match resumed {
            Some(resumed) => resumed.session(&mut before),
            None => Session::new(plan),
        };
        sink(&before);
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

/// Hands the records to the log; gives what the clinician's line has to say of it.
fn keep(written: &Mutex<Written>, records: &[crate::session::record::Record]) -> Option<String> {
    let mut written = lock(written);
    for record in records {
        written.last = written.last.max(record.at);
        if let Some(log) = &written.log {
            log.add(record.clone());
        }
    }
    while let Some(trouble) = written.log.as_ref().and_then(LogThread::trouble) {
        eprintln!("warning: {trouble}");
        written.trouble = matches!(trouble, Waiting { .. }).then(|| NOT_WRITTEN.to_string());
    }
    written.trouble.clone()
}

/// Ends the log, prints the findings and writes the report.
fn save(written: &Mutex<Written>) -> Done {
    let Written { path, log, last, .. } = std::mem::take(&mut *lock(written));
    let (Some(path), Some(log)) = (path, log) else { return Ok(()) };
    log.finish(last).map_err(|unfinished| rescue(&path, &unfinished))?;
    report::print_and_write(&path, &files::report_beside(&path))
}

/// What the disk did not take goes, with all before it, to the folder for temporary files.
fn rescue(path: &Path, unfinished: &Unfinished) -> Trouble {
    let saved = store::rescue(path, &unfinished.unwritten, &std::env::temp_dir());
    let how = match saved {
        Ok(saved) => format!("the whole log is saved as `{}`: copy it from there", saved.display()),
        Err(problem) => format!("its last {} bytes are lost: {problem}", unfinished.unwritten.len()),
    };
    Trouble::Failed(format!("cannot finish the log `{}`: {}; {how}", path.display(), unfinished.why))
}

/// A fault elsewhere must not keep the log from being saved.
fn lock(written: &Mutex<Written>) -> std::sync::MutexGuard<'_, Written> {
    written.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}
