//! The board with the desk open beside it, and without: how late its steps are shown, and how much later than usual
//! its stamps are.
//!
//! Edges are also stamped by a bare client of the display. Its clock and the session's begin at other instants, so
//! stamps count from the median of what they are beyond the client's: above 0 the board was late, below it the client.

use std::fs::{self, File};
use std::io::Write as _;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread::sleep;
use std::time::{Duration, Instant};

use egui::Theme;
use pacewright::app::desk::state::{Desk, News};
use pacewright::app::desk::window::{self, DeskConfig};
use pacewright::desk::person::Person;
use pacewright::desk::words::Language;
use pacewright::engine::effect::{Effect, Lit};
use pacewright::session::input::Input;
use pacewright::session::protocol::Protocol;
use pacewright::session::record::What;
use pacewright::session::setup::Setup;
use pacewright::store::index::Index;
use pacewright::store::{Store, logs_of, read_log};
use serde_json::json;
use x11rb::protocol::xproto::{BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT, MOTION_NOTIFY_EVENT};

use super::rig::Rig;
use super::xvfb::{Hands, Xvfb, key};
use super::{SCREEN, bare_client};

/// Names the data folder for the process that is the desk.
pub const DESK: &str = "PACEWRIGHT_BENCH_DESK";
/// Names the program that it opens the board with.
const PROGRAM: &str = "PACEWRIGHT_BENCH_PROGRAM";
const CLIENT: &str = "S1";
/// A press too short to take anything: it is stamped, and the scan goes on.
const TAP: Duration = Duration::from_millis(60);
/// A press that takes what is lit, so that trials follow each other.
const TAKE: Duration = Duration::from_millis(350);
/// One press in so many takes something.
const TAKES_EVERY: u32 = 20;
/// Between two presses; no step of the scan divides it.
const PRESS_EVERY: Duration = Duration::from_millis(270);
/// The Enter key.
const ENTER: u8 = 36;
/// A page of the board stands after this long even on a busy computer.
const PAGE: Duration = Duration::from_secs(4);

/// The child: the desk's own window.
pub fn desk() {
    let folder = PathBuf::from(std::env::var_os(DESK).expect("the parent said so"));
    let program = std::env::var_os(PROGRAM).expect("the parent said so").into();
    let store = Store::open(&folder);
    let config = DeskConfig {
        folder,
        store,
        today: "2026-11-29".into(),
        language: Language::English,
        write_report: |log| Ok(log.into()),
        program,
    };
    window::run(config).expect("a window");
}

/// With the desk and without it, one after the other.
pub fn bench(folder: &Path) {
    let seconds = std::env::var("DESK_SECONDS").ok().and_then(|text| text.parse().ok()).unwrap_or(60);
    for beside in [true, false] {
        let data = folder.join(if beside { "beside" } else { "alone" });
        told(if beside { "board with the desk" } else { "board alone" }, &sit(folder, &data, beside, seconds));
    }
}

/// A session with a step every 0.4 s, worked by a key; the bare client's stamps come with it.
fn sit(folder: &Path, data: &Path, beside: bool, seconds: u64) -> Sat {
    let xvfb = Xvfb::start(SCREEN.0, SCREEN.1).unwrap_or_else(|words| panic!("{words}"));
    let program = program(folder, &protocol(folder), &xvfb);
    let store = Store::open(data).expect("a folder");
    let setup = Setup {
        site: "cheek".into(),
        devices: vec!["key Space".into()],
        screen_distance_mm: 900,
        screen_width_mm: 530,
        ..Setup::default()
    };
    let person = Person { set_ups: vec![setup], ..Person::default() };
    store.write_person(&CLIENT.parse().expect("a code"), &person).expect("room");
    drop(store);
    let (send, bare) = channel();
    let display = xvfb.display.clone();
    std::thread::spawn(move || bare_client::stamp(Some(&display), &send));
    let hands = Hands::at(&xvfb.display);
    let mut process =
        if beside { open_desk(&xvfb, data, &program, &hands, &person) } else { open_board(data, &program) };
    for page in [ENTER, key::F3] {
        sleep(PAGE);
        hands.tap(page, TAP);
    }
    sleep(PAGE);
    bare.try_iter().for_each(drop);
    let began = Instant::now();
    for nth in (1..).take_while(|_| began.elapsed() < Duration::from_secs(seconds)) {
        sleep(PRESS_EVERY);
        hands.tap(key::SPACE, if nth % TAKES_EVERY == 0 { TAKE } else { TAP });
    }
    hands.tap(key::F10, TAP);
    sleep(PAGE);
    if beside {
        process.kill().expect("it was started here");
    }
    process.wait().expect("it was started here");
    Sat::of(data, &bare)
}

/// The desk's window; its trial is begun by clicks where a desk without a window has the buttons.
fn open_desk(xvfb: &Xvfb, data: &Path, program: &Path, hands: &Hands, person: &Person) -> Child {
    let desk = Command::new(std::env::current_exe().expect("a bench has a path"))
        .env("DISPLAY", &xvfb.display)
        .env_remove("WAYLAND_DISPLAY")
        .env(DESK, data)
        .env(PROGRAM, program)
        .stdout(Stdio::null())
        .spawn()
        .expect("a bench can start itself");
    sleep(2 * PAGE);
    let mut rig = Rig::new((1_180.0, 800.0), Theme::Light);
    let told = |desk: &mut Desk| {
        let people = [(CLIENT.to_string(), person.clone())].into();
        desk.told(News::Index(Index::default(), people, Vec::new()));
    };
    told(&mut rig.desk);
    rig.settle();
    for button in ["Open", "Trial", "Begin the trial"] {
        let at = rig.place_of(button, 0);
        rig.click(button);
        let place = (at.x as i16, at.y as i16);
        hands.fake(MOTION_NOTIFY_EVENT, 0, place);
        for kind in [BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT] {
            hands.fake(kind, 1, place);
            sleep(TAP);
        }
        sleep(PAGE / 2);
    }
    desk
}

fn open_board(data: &Path, program: &Path) -> Child {
    Command::new(program)
        .args(["trial", "--client", CLIENT, "--site", "cheek", "--distance", "900", "--screen-width", "530"])
        .args(["--switch", "key Space", "--protocol=first-look", "--data"])
        .arg(data)
        .stdout(Stdio::null())
        .spawn()
        .expect("the program starts")
}

fn protocol(folder: &Path) -> PathBuf {
    let path = folder.join("protocol.json");
    let block = json!({"kind": "menu-tasks", "trials": 200});
    let settings =
        json!({"scan_interval": 0.4, "first_after_start": 0, "first_in_group": 0, "hold": 0.2, "cue_lead": 0});
    let text = json!({
        "format": Protocol::FORMAT, "version": Protocol::VERSION, "name": "bench", "menu": "flat",
        "settings": settings, "blocks": vec![block; 30],
    });
    fs::write(&path, text.to_string()).expect("a file");
    path
}

/// The program on this display, with the protocol of the bench in place of the one that is asked for.
fn program(folder: &Path, protocol: &Path, xvfb: &Xvfb) -> PathBuf {
    let path = folder.join(format!("program{}", xvfb.display.replace(':', "-")));
    let text = format!(
        "#!/bin/sh\nunset WAYLAND_DISPLAY\nfor one; do\n shift\n case \"$one\" in --protocol=*) \
         one='--protocol={}';; esac\n set -- \"$@\" \"$one\"\ndone\nDISPLAY={} exec '{}' \"$@\"\n",
        protocol.display(),
        xvfb.display,
        env!("CARGO_BIN_EXE_pacewright")
    );
    let mut file = File::create(&path).expect("a file");
    file.write_all(text.as_bytes()).expect("room");
    file.set_permissions(fs::Permissions::from_mode(0o700)).expect("our own file");
    path
}

/// What a session came to, in microseconds.
struct Sat {
    /// From each step's due instant until its frame was handed over.
    late_us: Vec<i64>,
    /// Steps of which no frame came before the next one.
    missed: u64,
    stalls: u64,
    /// Each stamp beyond the bare client's, less the median of that.
    stamps_us: Vec<i64>,
}

impl Sat {
    fn of(data: &Path, bare: &Receiver<Instant>) -> Sat {
        let path = logs_of(data, &CLIENT.parse().expect("a code")).expect("a folder").pop().expect("a log");
        let (log, problems) = read_log(&path).expect("a log");
        assert!(problems.is_empty(), "the log is whole");
        let mut sat = Sat { late_us: Vec::new(), missed: 0, stalls: 0, stamps_us: Vec::new() };
        let (mut open, mut edges) = (None, Vec::new());
        for record in log.known() {
            match &record.what {
                What::Effect(Effect::Highlight { number, due, lit: Lit::Entry { .. }, .. }) => {
                    sat.missed += u64::from(open.is_some());
                    open = Some((*number, *due));
                }
                // A choice or an end takes the highlight away before its frame; the next one begins afresh.
                What::Effect(Effect::Highlight { .. } | Effect::Stopped { .. }) => open = None,
                What::Input(Input::Shown { number }) => {
                    if let Some((_, due)) = open.take_if(|(newest, _)| newest == number) {
                        sat.late_us.push(record.at.signed_us_since(due));
                    }
                }
                What::Input(Input::Edge { .. }) => edges.push(record.at),
                What::Input(Input::Stalled) => sat.stalls += 1,
                _ => {}
            }
        }
        let bare: Vec<Instant> = bare.try_iter().collect();
        // What came before the first press that was counted was pressed on a page.
        let edges = &edges[edges.len().saturating_sub(bare.len())..];
        let (Some(first), Some(start)) = (bare.first(), edges.first()) else { return sat };
        let beyond = |(ours, theirs): (&pacewright::time::Moment, &Instant)| {
            ours.signed_us_since(*start) - theirs.duration_since(*first).as_micros() as i64
        };
        sat.stamps_us = edges.iter().zip(&bare).map(beyond).collect();
        let median = at(&sorted(sat.stamps_us.clone()), 0.5);
        sat.stamps_us.iter_mut().for_each(|stamp| *stamp -= median);
        sat
    }
}

fn told(what: &str, sat: &Sat) {
    println!("{what}: {} steps shown, {} missed, {} stalls", sat.late_us.len(), sat.missed, sat.stalls);
    let (late, stamps) = (sorted(sat.late_us.clone()), sorted(sat.stamps_us.clone()));
    println!(
        "  frames behind their steps: median {} us, p99 {} us, max {} us",
        at(&late, 0.5),
        at(&late, 0.99),
        at(&late, 1.0)
    );
    println!(
        "  stamps later than usual: p95 {} us, p99 {} us, max {} us; more than 1 ms later {}, earlier {} (n = {})",
        at(&stamps, 0.95),
        at(&stamps, 0.99),
        at(&stamps, 1.0),
        stamps.iter().filter(|stamp| **stamp > 1_000).count(),
        stamps.iter().filter(|stamp| **stamp < -1_000).count(),
        stamps.len()
    );
}

fn sorted(mut values: Vec<i64>) -> Vec<i64> {
    values.sort_unstable();
    values
}

/// The value below which `share` of these lie; 0 of none.
fn at(sorted: &[i64], share: f64) -> i64 {
    sorted.get((sorted.len() as f64 * share) as usize).or(sorted.last()).copied().unwrap_or(0)
}
