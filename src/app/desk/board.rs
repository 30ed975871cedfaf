//! The board, a process of its own: nothing that the desk does can delay a stamp, and nothing that happens to the
//! desk ends a session.

use std::ffi::OsString;
use std::fs::File;
use std::io::{BufRead as _, BufReader, Read as _, Seek as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use super::state::Trial;
use crate::log::live::{Told, heard};
use crate::session::input::Input;
use crate::session::setup::MICROPHONE;

/// What comes within this time is shown together: the desk paints five times a second at most, and not just when the
/// press that it has heard of is let go. Painting without a graphics processor can keep a stamp waiting.
const TOGETHER: Duration = Duration::from_millis(200);

/// The near end of the board.
#[derive(Debug)]
pub struct Board {
    orders: ChildStdin,
}

/// Lines of one batch, each with its number.
pub type Batch = Vec<(u64, Told)>;

impl Board {
    /// Opens it with `program` on the data folder; `told` gets what happens on it, and `over` how it ended, both on other threads.
    ///
    /// # Errors
    /// The system starts no process.
    pub fn open(
        program: &Path,
        trial: &Trial,
        folder: &Path,
        told: impl Fn(Batch) + Send + 'static,
        over: impl FnOnce(Result<(), String>) + Send + 'static,
    ) -> Result<Board, String> {
        let failed = |error: std::io::Error| format!("cannot open the board: {error}");
        // A file takes every word, even of a board that outlives the desk.
        let mut words = tempfile::tempfile().map_err(failed)?;
        let mut child = Command::new(program)
            .args(arguments(trial, folder))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(words.try_clone().map_err(failed)?)
            .spawn()
            .map_err(failed)?;
        let (orders, lines) = child.stdin.take().zip(child.stdout.take()).ok_or("the board has no pipes")?;
        let (send, waiting) = channel();
        let gathering = thread::spawn(move || gather(&waiting, told));
        thread::spawn(move || {
            hear(lines, |line| _ = send.send(line));
            drop(send);
            let ended = ended(&mut child, &mut words);
            // The last lines are told before the end. A panic in there was printed.
            let _ = gathering.join();
            over(ended);
        });
        Ok(Board { orders })
    }

    /// Asks for something that is the clinician's to ask.
    ///
    /// # Errors
    /// The board no longer listens.
    pub fn ask(&mut self, input: &Input) -> Result<(), String> {
        let mut line = serde_json::to_vec(input).map_err(|error| error.to_string())?;
        line.push(b'\n');
        let sent = self.orders.write_all(&line).and_then(|()| self.orders.flush());
        sent.map_err(|error| format!("the board does not listen: {error}; use the keys at the board"))
    }
}

fn hear(lines: ChildStdout, mut tell: impl FnMut((u64, Told))) {
    let lines = BufReader::new(lines).lines().map_while(Result::ok);
    lines.filter_map(|line| heard(&line)).for_each(&mut tell);
}

fn gather(waiting: &Receiver<(u64, Told)>, told: impl Fn(Batch)) {
    while let Ok(first) = waiting.recv() {
        thread::sleep(TOGETHER);
        told(std::iter::once(first).chain(waiting.try_iter()).collect());
    }
}

/// Waits for the end, and says what went wrong if something did.
fn ended(child: &mut Child, words: &mut File) -> Result<(), String> {
    let status = child.wait().map_err(|error| format!("cannot tell how the board ended: {error}"))?;
    if status.success() {
        return Ok(());
    }
    let mut said = Vec::new();
    let _ = words.rewind().and_then(|()| words.read_to_end(&mut said));
    Err(why(status, &String::from_utf8_lossy(&said)))
}

/// Its last words, where it could say any; drivers speak before.
fn why(status: ExitStatus, said: &str) -> String {
    let said = said.replace('\u{7}', "");
    match said.trim().lines().last().filter(|_| status.code().is_some()) {
        Some(last) => last.to_string(),
        None => format!("the board ended before its time ({status})"),
    }
}

/// Where the client's own menu stands for the board to read.
pub fn menu_file(trial: &Trial, folder: &Path) -> PathBuf {
    folder.join(format!("{}.menu.json", trial.client))
}

/// The command line of a trial.
fn arguments(trial: &Trial, folder: &Path) -> Vec<OsString> {
    let setup = &trial.setup;
    let mut all: Vec<OsString> = vec!["trial".into(), "--data".into(), folder.into()];
    let mut add = |name: &str, value: &str| {
        // Joined, so that a text with a hyphen in front is no option; what is empty was not stated.
        if !value.is_empty() {
            all.push(format!("--{name}={value}").into());
        }
    };
    add("client", trial.client.as_str());
    add("watched", &trial.corner.map_or_else(|| "unknown".into(), |(x, y)| format!("{x},{y}")));
    for (name, value) in [
        ("site", &setup.site),
        ("side", &setup.side),
        ("switch-kind", &setup.switch),
        ("mounting", &setup.mounting),
        ("position", &setup.position),
        ("breathing", &setup.breathing),
        ("since-rest", &setup.since_rest),
        ("since-medication", &setup.since_medication),
        ("assessor", &setup.assessor),
        ("look", &setup.look),
    ] {
        add(name, value);
    }
    let stated = |mm: u32| if mm == 0 { String::new() } else { mm.to_string() };
    add("distance", &stated(setup.screen_distance_mm));
    add("screen-width", &stated(setup.screen_width_mm));
    setup.devices.iter().for_each(|device| add("switch", device));
    let microphone = setup.level == MICROPHONE;
    add("breath", if microphone { "" } else { &setup.level });
    let roles: Vec<&str> = setup.roles.iter().map(|role| crate::engine::roles::word(*role)).collect();
    add("roles", &roles.join(","));
    if !trial.go_on {
        add("protocol", &trial.protocol);
        if trial.menu.is_some() {
            add("menu", &menu_file(trial, folder).display().to_string());
        }
        trial.set.iter().for_each(|value| add("set", value));
    }
    if microphone {
        all.push("--sound-switch".into());
    }
    if setup.low_vision {
        all.push("--low-vision".into());
    }
    if trial.go_on {
        all.push("--continue".into());
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::setup::Setup;

    fn trial() -> Trial {
        let setup = Setup {
            site: "-cheek".into(),
            devices: vec!["key Space".into()],
            screen_distance_mm: 900,
            ..Setup::default()
        };
        let (set, menu) = (vec!["scan_interval=1.4".into()], Some("{}".into()));
        Trial { setup, set, menu, ..Trial::new("K7".parse().unwrap(), "first-look") }
    }

    fn said(trial: &Trial) -> Vec<String> {
        arguments(trial, Path::new("/data")).into_iter().map(|one| one.into_string().unwrap()).collect()
    }

    #[test]
    fn what_is_known_of_the_set_up_is_not_asked_again() {
        let said = said(&trial());
        for wanted in [
            "--client=K7",
            "--site=-cheek",
            "--switch=key Space",
            "--distance=900",
            "--set=scan_interval=1.4",
            "--menu=/data/K7.menu.json",
        ] {
            assert!(said.iter().any(|one| one == wanted), "{wanted}: {said:?}");
        }
        assert!(!said.iter().any(|one| one.starts_with("--screen-width")), "{said:?}");
    }

    #[test]
    fn a_breath_and_a_sound_reach_the_board_with_their_switches() {
        let levelled = |level: &str, device: &str| {
            let setup = Setup { level: level.into(), devices: vec![device.into()], ..Setup::default() };
            said(&Trial { setup, ..trial() })
        };
        let breath = levelled("pad 1 axis LeftStickY +", "breath soft puff");
        assert!(breath.contains(&"--breath=pad 1 axis LeftStickY +".to_string()), "{breath:?}");
        assert!(breath.contains(&"--switch=breath soft puff".to_string()), "{breath:?}");
        let sound = levelled("microphone", "microphone soft sound");
        assert!(sound.contains(&"--sound-switch".to_string()), "{sound:?}");
        assert!(!sound.iter().chain(&said(&trial())).any(|one| one.starts_with("--breath")), "{sound:?}");
    }

    #[test]
    fn what_goes_on_takes_its_plan_from_the_log() {
        let said = said(&Trial { go_on: true, ..trial() });
        assert!(said.iter().any(|one| one == "--continue"));
        assert!(!said.iter().any(|one| one.starts_with("--protocol") || one.starts_with("--set")), "{said:?}");
    }
}
