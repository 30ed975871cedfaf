//! Opens the window on one session after another and keeps their logs, for every command that has a window.

mod practice;
mod trial;
mod watched;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;

use crate::analysis::words::capital;
use crate::app::binding::Binding;
use crate::app::board::{Board, BoardSetup, Look, Part, Turn};
use crate::app::breath::source::Source;
use crate::app::breath::{Kept, LevelConfig};
use crate::app::devices::touch::{self, Zone};
use crate::app::machine::Machine;
use crate::app::{self, AppConfig, Begun, RecordSink, Start};
use crate::cli::args::{ScreenArgs, SetupArgs};
use crate::cli::{Done, Trouble, plan, tell};
use crate::code::ClientCode;
use crate::engine::effect::Role;
use crate::engine::roles;
use crate::lock::past_panics;
use crate::log::header::Header;
use crate::log::thread::Trouble::Waiting;
use crate::log::thread::{LogThread, Unfinished};
use crate::practice::sitting::Sitting;
use crate::problem::Problem;
use crate::session::Session;
use crate::session::input::Input;
use crate::session::levels::BREATHS as BREATHS_IN_A_ROW;
use crate::session::practice::Practice;
use crate::session::record::Record;
use crate::session::setup::{BREATH_KEYS, Setup};
use crate::settings::{Id, Settings};
use crate::sound::recording::Recordings;
use crate::store::{self, LogSink, Store, instant, rfc3339, wall_clock};
use crate::time::Moment;

pub(super) use practice::practice;
pub(super) use trial::{demonstration, trial};
use watched::Watcher;

/// What the clinician's line says while the disk refuses; the whole story goes to the terminal.
const NOT_WRITTEN: &str = "Log not on disk: free some space, or bring the folder back. It waits in memory.";

/// Who sits at the window, and where the logs go.
struct Seat<'a> {
    client: ClientCode,
    store: Store,
    screen: &'a ScreenArgs,
    setup: &'a SetupArgs,
    windowed: bool,
    /// The corner of the desk's monitor, where it is watched from one.
    watched: Option<&'a str>,
    settings: Settings,
    /// Recorded labels, where anything is to be heard.
    sound: Option<Recordings>,
    /// What is said of a session that was broken off, where it may go on instead.
    broken_off: Option<String>,
}

/// A session that is about to begin.
struct Next {
    machine: Box<dyn Seated>,
    /// What has happened in it already.
    before: Vec<Record>,
    /// File name of the log of the session that was broken off and goes on here.
    continues: Option<String>,
    /// What is practised, if it is practice.
    practice: Option<Practice>,
}

/// The session to begin, after the one that is over; `None` when there is no other. An error is a sentence.
type Sessions = Box<dyn FnMut(&Start, Option<&dyn Machine>) -> Result<Option<Next>, String> + Send>;

/// A machine over a session.
trait Seated: Machine {
    fn session(&self) -> &Session;
    /// Begins at once where it stands behind another one: its switches have been told.
    fn go_on(&mut self, _: &mut Vec<Record>) {}
    /// Says something to whoever is at the bed before it begins.
    fn warn(&mut self, text: &str);
}

impl Seated for Session {
    fn session(&self) -> &Session {
        self
    }
    fn warn(&mut self, text: &str) {
        Session::warn(self, text);
    }
}

impl Seated for Sitting {
    fn session(&self) -> &Session {
        Sitting::session(self)
    }
    fn go_on(&mut self, out: &mut Vec<Record>) {
        Sitting::go_on(self, out);
    }
    fn warn(&mut self, text: &str) {
        Sitting::warn(self, text);
    }
}

/// What begins sessions and keeps their logs.
struct Keeper {
    client: ClientCode,
    setup: Setup,
    /// The folder stays locked for as long as there are records to come.
    store: Arc<Store>,
    written: Arc<Mutex<Written>>,
    watcher: Option<Watcher>,
}

/// The logs of one run of the window.
#[derive(Default)]
struct Written {
    over: Vec<Ending>,
    now: Option<Log>,
}

/// The log that is being written, and how far it has come.
struct Log {
    path: PathBuf,
    thread: LogThread,
    last: Moment,
    /// What the clinician's line says of it.
    trouble: Option<String>,
}

/// A log that is being ended.
type Ending = (PathBuf, JoinHandle<Result<(), Unfinished>>);

/// Runs the sessions to their end, saves their logs and hands each one's path to `told`.
fn open(seat: Seat, mut sessions: Sessions, told: impl Fn(&Path) -> Done) -> Done {
    tell(seat.store.clock_set_back(&seat.client, &wall_clock()?)?.as_slice());
    let (store, written) = (Arc::new(seat.store), Arc::new(Mutex::new(Written::default())));
    let setup = Setup { sound: store.sound(&seat.client), ..circumstances(seat.setup, seat.screen) };
    let roles =
        if setup.roles.is_empty() { roles::usual(seat.settings.technique()).to_vec() } else { setup.roles.clone() };
    roles::check(seat.settings.technique(), &roles)
        .map_err(|what| Problem::error("--roles", None, what, "see `pacewright trial --help`"))?;
    let level = seat.screen.level().filter(|level| *level != BREATH_KEYS);
    let source = level.map(Source::read).transpose().map_err(Trouble::Failed)?;
    let switches = presses(bindings(&seat.screen.switches)?, source, roles.len())?;
    let kept = source.and_then(|source| store.level(&seat.client, &source.device()));
    let kept = kept.map(|kept| Kept { found: kept.level.calibration, day: day(&kept.began).to_string() });
    let (watcher, watching) = seat.watched.map(|_| watched::watcher()).transpose()?.unzip();
    let (ours, logs) = (Arc::clone(&store), Arc::clone(&written));
    let keeper = Keeper { client: seat.client, setup, store: ours, written: logs, watcher };
    let config = AppConfig {
        title: "pacewright".to_string(),
        windowed: seat.windowed,
        board: BoardSetup { touch_field: switches.contains(&Binding::Touch(Zone::Field)), ..board(seat.screen)? },
        place_known: seat.screen.distance.is_some() && seat.screen.screen_width.is_some(),
        switches,
        roles,
        level: source.map(|source| LevelConfig { source, settings: seat.settings, kept }),
        pads: Some(Box::new(app::devices::pad_thread::system)),
        broken_off: seat.broken_off,
        sound: seat.sound,
        watched: seat.watched.map(watched::watched),
        begin: Box::new(move |start, over| sessions(&start, over)?.map(|next| keeper.begin(start, next)).transpose()),
    };
    let ended = app::run(config);
    // Whatever happened in the window, what was pressed is saved first.
    let saved = save(&written, told);
    if watching.is_some_and(|watching| !watching.is_over_within(watched::PATIENCE)) {
        aside!("warning: the desk has stopped reading; the log is whole");
    }
    ended.map_err(|error| Trouble::Failed(error.to_string()))?;
    saved
}

fn bindings(texts: &[String]) -> Result<Vec<Binding>, Trouble> {
    let bindings: Vec<Binding> =
        texts.iter().map(|text| text.parse()).collect::<Result<_, _>>().map_err(Trouble::Failed)?;
    let twice = bindings.iter().enumerate().find(|(place, binding)| bindings[..*place].contains(binding));
    twice.map_or(Ok(()), |(_, binding)| {
        Err(Trouble::Failed(format!("two switches are one, `{binding}`: they cannot be told apart; give another one")))
    })?;
    touch::at_odds(&bindings).map_or(Ok(()), |(one, other)| {
        Err(Trouble::Failed(format!("one touch would be both `{one}` and `{other}`; give one of them only")))
    })?;
    Ok(bindings)
}

/// The switches, with those of the level that is used; those of another one work nothing.
fn presses(switches: Vec<Binding>, source: Option<Source>, roles: usize) -> Result<Vec<Binding>, Trouble> {
    let stray = |binding: &&Binding| matches!(binding, Binding::Level(number, _) if source.map(Source::number) != Some(*number));
    if let Some(binding) = switches.iter().find(stray) {
        let example = "`--breath emulated`, `--breath \"pad 1 axis LeftStickY +\"` or `--sound-switch`";
        return Err(Trouble::Failed(format!(
            "`{binding}` needs the breath or the sound that it is of; give {example}"
        )));
    }
    let Some(source) = source.filter(|_| switches.is_empty()) else { return Ok(switches) };
    Ok(source.usual().iter().take(roles).map(|way| Binding::Level(source.number(), *way)).collect())
}

/// The day of an instant of RFC 3339.
fn day(instant: &str) -> &str {
    instant.get(..10).unwrap_or(instant)
}

fn role(word: &str) -> Option<Role> {
    Role::ALL.into_iter().find(|role| roles::word(*role) == word)
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
        level: screen.level().unwrap_or_default().to_string(),
        roles: screen.roles.iter().filter_map(|word| role(word)).collect(),
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

impl Keeper {
    /// The log is there before the session is.
    fn begin(&self, start: Start, next: Next) -> Result<Begun, String> {
        let words = |problem: Problem| problem.to_string();
        let Next { mut machine, mut before, continues, practice } = next;
        let levels = start.learned.levels.clone();
        let began = instant(start.began).map_err(words)?;
        let setup = Setup {
            screen_distance_mm: start.learned.place.distance_mm,
            screen_width_mm: start.learned.place.width_mm,
            devices: start.learned.switches.iter().map(ToString::to_string).collect(),
            ..self.setup.clone()
        };
        let (given, devices, breath) = (setup.roles.clone(), setup.devices.clone(), setup.is_breath());
        let plan = machine.session().plan();
        let header = plan::header(plan, self.client.as_str(), rfc3339(&began), setup, start.measured);
        let header = Header { continues, practice, ..header };
        let (path, file) = self.store.create_log(&self.client, &began).map_err(words)?;
        let thread = LogThread::start(LogSink::new(path.clone(), file), &header)
            .map_err(|error| format!("cannot begin the log `{}`: {error}; free some space", path.display()))?;
        past_panics(&self.written).turn_to(Some(Log { path, thread, last: Moment::START, trouble: None }));
        let written = Arc::clone(&self.written);
        let watcher = self.watcher.clone();
        watcher.iter().for_each(|watcher| past_panics(watcher).begin(&header));
        let mut sink: RecordSink = Box::new(move |records| {
            watcher.iter().for_each(|watcher| past_panics(watcher).add(records));
            past_panics(&written).keep(records)
        });
        if !given.is_empty() {
            machine.input(Moment::START, Input::Switches { roles: given, devices }, &mut before);
        }
        if breath && machine.session().plan().settings.run_limit().is_none() {
            let (name, value) = (Id::RunLimit.setting().name.to_string(), BREATHS_IN_A_ROW.into());
            machine.input(Moment::START, Input::Set { name, value }, &mut before);
        }
        for level in levels {
            tell(self.store.keep_level(&self.client, &level, &rfc3339(&began)).err().as_slice());
            machine.input(Moment::START, Input::Calibrated(Box::new(level)), &mut before);
        }
        machine.go_on(&mut before);
        sink(&before);
        if let Some(warning) = unreadable(machine.session(), start.board) {
            aside!("warning: {warning}");
            machine.warn(&capital(&warning));
        }
        Ok((machine, sink))
    }
}

/// Why a page of the session cannot be read from the bed, if one cannot.
fn unreadable(session: &Session, (setup, width, height): (BoardSetup, u32, u32)) -> Option<String> {
    let mut board = Board::new(width, height, setup);
    session.pages_to_come().iter().find_map(|page| board.legibility(page).warning())
}

impl Written {
    /// Hands the records to the log; gives what the clinician's line has to say of it.
    fn keep(&mut self, records: &[Record]) -> Option<String> {
        let log = self.now.as_mut()?;
        for record in records {
            log.last = log.last.max(record.at);
            log.thread.add(record.clone());
        }
        while let Some(trouble) = log.thread.trouble() {
            aside!("warning: {trouble}");
            log.trouble = matches!(trouble, Waiting { .. }).then(|| NOT_WRITTEN.to_string());
        }
        log.trouble.clone()
    }

    /// Ends the log under way, on a thread of its own because the disk may be slow, and goes on with `next`.
    fn turn_to(&mut self, next: Option<Log>) {
        if let Some(Log { path, thread, last, .. }) = std::mem::replace(&mut self.now, next) {
            let ended = std::thread::spawn(move || thread.finish(last).map(drop));
            self.over.push((path, ended));
        }
    }
}

/// Ends the logs and tells of each, in order.
fn save(written: &Mutex<Written>, told: impl Fn(&Path) -> Done) -> Done {
    let over = {
        let mut written = past_panics(written);
        written.turn_to(None);
        std::mem::take(&mut written.over)
    };
    let ended: Vec<Done> = over.into_iter().map(|ending| end(ending, &told)).collect();
    ended.into_iter().collect()
}

fn end((path, ended): Ending, told: impl Fn(&Path) -> Done) -> Done {
    let broken = |_| Unfinished { why: "its thread panicked".into(), unwritten: Vec::new() };
    let ended = ended.join().map_err(broken).flatten();
    ended.map_err(|unfinished| rescue(&path, &unfinished))?;
    told(&path)
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
