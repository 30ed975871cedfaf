//! Which sockets the windows open: of the network none, on this machine those of a list; the desk also the
//! message bus of the session, where screen readers are.

use std::process::{Child, Command, Stdio};
use std::time::Instant;

use tempfile::TempDir;

use super::window_rig::{Eyes, PATIENCE, SCREEN};
use super::xvfb::Xvfb;

/// The display's socket, abstract or in the file system.
const DISPLAY: &str = "/tmp/.X11-unix/";

/// What else any window may reach on this machine: the C library's cache, which the graphics driver makes it ask
/// who the user is; the bus of the system, which the board's `systemd-inhibit` asks to hold off sleep.
const OF_THE_SYSTEM: [&str; 2] = ["/var/run/nscd/socket", "/run/dbus/system_bus_socket"];

/// What a window does with sockets, as `strace` prints it, from its start until it is closed.
struct Calls(Vec<String>);

impl Calls {
    /// The local sockets that are connected to, but for those that any window may reach.
    fn elsewhere(&self) -> Vec<&str> {
        let connects = self.0.iter().filter(|line| line.contains(" connect("));
        let paths = connects.filter_map(|line| line.split_once("sun_path=")?.1.split('"').nth(1));
        paths.filter(|path| !path.starts_with(DISPLAY) && !OF_THE_SYSTEM.contains(path)).collect()
    }
}

/// Opens the window of `command`, with this as the address of the session's message bus, and closes it again.
fn window(command: &[&str], bus: &str) -> Calls {
    let folder = TempDir::new().expect("a folder");
    let xvfb = Xvfb::start(SCREEN.0, SCREEN.1).unwrap_or_else(|words| panic!("{words}"));
    let eyes = Eyes::at(&xvfb.display);
    let empty = eyes.look();
    let trace = folder.path().join("trace");
    let mut program = Command::new("strace")
        .current_dir(folder.path())
        .args(["-f", "-qq", "-e", "trace=network", "-e", "signal=none", "-o"])
        .arg(&trace)
        .arg(env!("CARGO_BIN_EXE_pacewright"))
        .args(command)
        .args(["--data", "data"])
        .envs([("DISPLAY", xvfb.display.as_str()), ("DBUS_SESSION_BUS_ADDRESS", bus)])
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("AT_SPI_BUS_ADDRESS")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap_or_else(|error| panic!("cannot start `strace`: {error}; run `sh .ci/setup`, which installs it"));
    eyes.until_changed(&empty, "the start");
    eyes.close_windows();
    wait(&mut program);
    let text = std::fs::read_to_string(trace).expect("strace has written its trace");
    let calls: Vec<String> = text.lines().map(str::to_string).collect();
    assert!(calls.iter().any(|line| line.contains(DISPLAY)), "the display was reached: {calls:#?}");
    assert!(!calls.iter().any(|line| line.contains("AF_INET")), "{calls:#?}");
    Calls(calls)
}

fn wait(program: &mut Child) {
    let patience = Instant::now() + PATIENCE;
    while program.try_wait().expect("the program is ours").is_none() {
        assert!(Instant::now() < patience, "a window that is closed ends the program");
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
}

#[test]
fn the_board_reaches_no_message_bus_of_the_session() {
    let trial = ["trial", "--protocol", "demonstration", "--client", "T1", "--windowed"];
    assert_eq!(window(&trial, "unix:path=/nowhere/bus").elsewhere(), Vec::<&str>::new());
}

#[test]
fn the_desk_looks_for_screen_readers_on_a_bus_of_this_machine_only() {
    // Nobody listens there: that it is tried is enough.
    assert_eq!(window(&["desk"], "unix:path=/nowhere/bus").elsewhere(), ["/nowhere/bus"]);
    assert_eq!(window(&["desk"], "tcp:host=127.0.0.1,port=9").elsewhere(), Vec::<&str>::new());
}
