//! Nothing leaves the machine: no network code in the tree, and no socket in a run.

use std::path::Path;
use std::process::Command;

/// Crates that exist to talk over a network, by what they would bring: clients and servers of HTTP and
/// its kin, name lookup, encryption of connections, and runtimes whose business is sockets.
const OF_THE_NETWORK: &[&str] = &[
    "actix-web",
    "async-std",
    "attohttpc",
    "axum",
    "curl",
    "curl-sys",
    "h2",
    "hickory-resolver",
    "http",
    "hyper",
    "isahc",
    "lettre",
    "libp2p",
    "libssh2-sys",
    "mio",
    "native-tls",
    "openssl",
    "openssl-sys",
    "quinn",
    "reqwest",
    "rustls",
    "sentry",
    "smol",
    "socket2",
    "ssh2",
    "surf",
    "tokio",
    "tonic",
    "trust-dns-resolver",
    "tungstenite",
    "ureq",
    "warp",
    "websocket",
    "zbus",
    "zmq",
];

/// Where screen readers are: on the message bus of the session. Only the desk speaks to them, over sockets of this
/// machine alone (`app/desk/bus.rs`); `privacy_window.rs` watches it. A desk that a blind clinician cannot use would be
/// worse than these crates.
const WAIVED: &[&str] = &["zbus"];

/// What of the standard library opens a socket.
const OF_THE_LIBRARY: &[&str] = &["std::net", "TcpStream", "TcpListener", "UdpSocket", "UnixStream", "UnixListener"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The names of the crates that are built into the program with these arguments.
fn tree(arguments: &[&str]) -> Vec<String> {
    let output = Command::new(env!("CARGO"))
        .current_dir(root())
        .args(["tree", "--offline", "--locked", "--edges", "normal", "--prefix", "none", "--format", "{p}"])
        .args(arguments)
        .output()
        .expect("cargo runs the tests");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).expect("names are text");
    text.lines().filter_map(|line| line.split(' ').next()).map(str::to_string).collect()
}

#[test]
fn no_crate_of_the_network_is_built_in() {
    for arguments in [&[][..], &["--no-default-features"]] {
        let crates = tree(arguments);
        assert!(crates.contains(&"serde_json".to_string()), "the tree was read");
        let found: Vec<&String> = crates.iter().filter(|name| OF_THE_NETWORK.contains(&name.as_str())).collect();
        let waived = if arguments.is_empty() { WAIVED } else { &[] };
        let found: Vec<_> = found.into_iter().filter(|name| !waived.contains(&name.as_str())).collect();
        assert!(found.is_empty(), "{arguments:?}: {found:?}");
    }
}

#[test]
fn the_program_itself_names_no_socket() {
    for path in crate::tidy::sources(&["src"]) {
        let text = std::fs::read_to_string(&path).expect("text");
        let named: Vec<_> = OF_THE_LIBRARY.iter().filter(|name| text.contains(**name)).collect();
        assert!(named.is_empty(), "{}: {named:?}", path.display());
    }
}

/// The calls of the network family that a run of the program makes, as `strace` prints them.
#[cfg(target_os = "linux")]
fn network_calls(folder: &Path, arguments: &[&str]) -> Vec<String> {
    let trace = folder.join("trace");
    let output = Command::new("strace")
        .current_dir(folder)
        .args(["-f", "-qq", "-e", "trace=network", "-e", "signal=none", "-o"])
        .arg(&trace)
        .arg(env!("CARGO_BIN_EXE_pacewright"))
        .args(arguments)
        .output()
        .unwrap_or_else(|error| panic!("cannot start `strace`: {error}; run `sh .ci/setup`, which installs it"));
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    let text = std::fs::read_to_string(trace).expect("strace has written its trace");
    text.lines().map(str::to_string).collect()
}

#[cfg(target_os = "linux")]
#[test]
fn a_run_opens_no_socket() {
    let folder = tempfile::tempdir().unwrap();
    let calls = |arguments: &[&str]| network_calls(folder.path(), arguments);
    assert_eq!(calls(&["demo", "--protocol", "demonstration", "--out", "data"]), Vec::<String>::new());
    let logs = std::fs::read_dir(folder.path().join("data")).unwrap();
    let log = logs.map(|entry| entry.unwrap().path()).find(|path| path.extension().is_some_and(|end| end == "jsonl"));
    let log = log.expect("a demo leaves a log").display().to_string();
    assert_eq!(calls(&["analyse", &log, "--json"]), Vec::<String>::new());
    assert_eq!(calls(&["export", "data", "--as", "csv", "--out", "csv"]), Vec::<String>::new());
    assert_eq!(calls(&["export", "data", "--as", "bids", "--out", "bids"]), Vec::<String>::new());
}

/// The check above can fail: a program that does open a socket is caught.
#[cfg(target_os = "linux")]
#[test]
fn a_socket_would_be_seen() {
    let folder = tempfile::tempdir().unwrap();
    let trace = folder.path().join("trace");
    let program = std::env::current_exe().expect("the tests run from a file");
    let status = Command::new("strace")
        .args(["-f", "-qq", "-e", "trace=network", "-e", "signal=none", "-o"])
        .arg(&trace)
        .arg(program)
        .args(["--exact", "privacy::opens_a_socket"])
        .output()
        .unwrap_or_else(|error| panic!("cannot start `strace`: {error}; run `sh .ci/setup`, which installs it"))
        .status;
    assert!(status.success());
    assert!(std::fs::read_to_string(trace).expect("a trace").contains("socket("));
}

/// What [`a_socket_would_be_seen`] looks at.
#[test]
fn opens_a_socket() {
    assert!(std::net::UdpSocket::bind(("127.0.0.1", 0)).is_ok());
}
