//! The desk under software rendering: its first paint, what-if while a slider is dragged, what it takes when nothing
//! happens, and what it costs the board beside it.
//!
//! The real window runs under an Xvfb of its own over 200 clients with 2,000 sessions, all invented. Sliders are dragged
//! at the desk without its window, so that each answer can be waited for. Needs `Xvfb` and a Vulkan driver (`sh
//! .ci/setup`). `DESK_SECONDS` says how long the board is worked, with the desk and without it, instead of 60 s;
//! `DESK_SESSIONS` how many sessions there are instead of 2,000, and `DESK_BOARD_ONLY=1` that only the board is benched.

#[path = "desk/bare_client.rs"]
mod bare_client;
#[path = "desk/board.rs"]
mod board;
#[path = "desk/data.rs"]
mod data;
#[path = "../src/app/desk/tests/raster.rs"]
#[allow(dead_code)] // The desk's own tests use it.
mod raster;
#[path = "../src/app/desk/tests/rig.rs"]
#[allow(dead_code)] // The desk's own tests use the rest.
mod rig;
#[path = "desk/screen.rs"]
mod screen;
#[path = "desk/slider.rs"]
mod slider;
#[path = "../tests/it/xvfb.rs"]
#[allow(dead_code)] // Other benches and tests use the rest.
mod xvfb;

use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use screen::Eyes;
use xvfb::Xvfb;

/// Size of the screen.
const SCREEN: (u16, u16) = (1_920, 1_080);
/// How often the desk is opened.
const OPENED: usize = 7;
/// For so long nothing happens.
const IDLE: Duration = Duration::from_secs(20);

fn main() {
    if std::env::var_os(board::DESK).is_some() {
        return board::desk();
    }
    let folder = tempfile::tempdir().expect("a folder for temporary files");
    let data = folder.path().join("data");
    let bytes = data::fill(&data);
    println!("{} clients, {} sessions, {} MB", data::CLIENTS, data::sessions(), bytes >> 20);
    if std::env::var_os("DESK_BOARD_ONLY").is_none() {
        first_paint(&data);
        slider::bench(&data);
    }
    board::bench(folder.path());
}

/// The desk over a folder, as it is started.
fn desk(xvfb: &Xvfb, data: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_pacewright"))
        .args(["desk", "--data"])
        .arg(data)
        .env("DISPLAY", &xvfb.display)
        .env_remove("WAYLAND_DISPLAY")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts")
}

fn first_paint(data: &Path) {
    let xvfb = Xvfb::start(SCREEN.0, SCREEN.1).unwrap_or_else(|words| panic!("{words}"));
    // Held throughout: a display that nobody looks at begins anew.
    let eyes = Eyes::at(&xvfb.display);
    let (rebuilt, _) = opened((&xvfb, &eyes), data, Duration::ZERO);
    println!("index made anew: first paint {:.0} ms, list {:.0} ms", rebuilt.0, rebuilt.1);
    let index = data.join("index.json");
    assert!(fs::metadata(&index).is_ok_and(|found| found.len() > 0), "an index was stored");
    let times: Vec<((f64, f64), f64)> = (0..OPENED)
        .map(|turn| opened((&xvfb, &eyes), data, if turn + 1 == OPENED { IDLE } else { Duration::ZERO }))
        .collect();
    let of = |pick: fn(&((f64, f64), f64)) -> f64| {
        let mut all: Vec<f64> = times.iter().map(pick).collect();
        all.sort_by(f64::total_cmp);
        (all[OPENED / 2], all[OPENED - 1])
    };
    let (paint, list) = (of(|one| one.0.0), of(|one| one.0.1));
    println!(
        "first paint: median {:.0} ms, max {:.0} ms from the start of the process (n = {OPENED})",
        paint.0, paint.1
    );
    println!("list of clients: median {:.0} ms, max {:.0} ms", list.0, list.1);
    println!("idle: {:.2} % of one core over {} s", 100.0 * times[OPENED - 1].1, IDLE.as_secs());
}

/// Milliseconds until the first paint and until the list stands; the share of a core taken while nothing happens.
fn opened((xvfb, eyes): (&Xvfb, &Eyes), data: &Path, idle: Duration) -> ((f64, f64), f64) {
    let empty = eyes.look();
    let began = Instant::now();
    let mut desk = desk(xvfb, data);
    let (mut seen, mut first, mut last) = (empty.clone(), None, began);
    // The list stands when nothing has changed for two seconds.
    while first.is_none() || last.elapsed() < Duration::from_secs(2) {
        assert!(began.elapsed() < Duration::from_secs(300), "the desk was never painted");
        assert!(desk.try_wait().expect("it was started here").is_none(), "the desk ended by itself");
        let now = eyes.look();
        if now != seen {
            last = Instant::now();
            first = first.or((now != empty).then_some(last));
            seen = now;
        }
        sleep(Duration::from_millis(2));
    }
    let before = busy(&desk);
    sleep(idle);
    let share = if idle.is_zero() { 0.0 } else { (busy(&desk) - before).as_secs_f64() / idle.as_secs_f64() };
    desk.kill().expect("it was started here");
    desk.wait().expect("it was started here");
    let ms = |at: Instant| 1e3 * at.duration_since(began).as_secs_f64();
    ((ms(first.expect("it was painted")), ms(last)), share)
}

/// Processor time that a process has taken so far, all threads together.
fn busy(process: &Child) -> Duration {
    let stat = fs::read_to_string(format!("/proc/{}/stat", process.id())).expect("it runs");
    // Fields 14 and 15 of proc(5), in hundredths of a second; the name before may hold spaces.
    let after = stat.rsplit_once(')').map_or("", |(_, after)| after);
    let ticks: u64 = after.split_whitespace().skip(11).take(2).filter_map(|text| text.parse::<u64>().ok()).sum();
    Duration::from_millis(10 * ticks)
}
