//! The command line: arguments, printing, exit codes. One file a command.
//!
//! Exit codes: 0 fine; 1 the input has problems, told on standard error with file, line and remedy;
//! 2 it could not be done.

/// Prints a line. Nobody reading it any more is no fault; it never panics.
macro_rules! say {
    ($($words:tt)*) => { crate::cli::print_line(format_args!($($words)*)) };
}

mod analyse;
mod args;
mod arrange;
mod asked;
#[cfg(feature = "app")]
mod bedside;
mod check;
mod client;
mod column;
mod demo;
#[cfg(feature = "app")]
mod desk;
#[cfg_attr(not(feature = "app"), path = "no_devices.rs")]
mod devices;
mod export;
mod export_folder;
mod files;
mod fit;
#[cfg(feature = "app")]
mod labels;
mod latency;
#[cfg(feature = "app")]
mod microphone;
mod pack;
mod plan;
mod practice;
mod practised;
mod predict;
mod replay;
mod report;
mod screen_args;
mod settings;
mod simulate;
mod simulate_args;
mod simulated;
#[cfg(feature = "app")]
mod speech;
mod take_back;
#[cfg_attr(not(feature = "app"), path = "no_window.rs")]
mod window;

use std::fmt;
use std::process::ExitCode;

use clap::Parser;

use crate::problem::{Problem, Severity};
use args::{Args, Command};

/// How a command ended when it was not fine.
#[derive(Debug)]
enum Trouble {
    /// The input has problems (exit code 1).
    Input(Vec<Problem>),
    /// It could not be done (exit code 2).
    Failed(String),
}

impl From<Problem> for Trouble {
    fn from(problem: Problem) -> Trouble {
        Trouble::Input(vec![problem])
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Trouble::Input(problems) => {
                let lines: Vec<String> = problems.iter().map(ToString::to_string).collect();
                out.write_str(&lines.join("; "))
            }
            Trouble::Failed(why) => out.write_str(why),
        }
    }
}

type Done = Result<(), Trouble>;

/// Runs the program with the arguments of this process.
pub fn main() -> ExitCode {
    let args = Args::parse();
    match run(args) {
        Ok(()) => ExitCode::SUCCESS,
        Err(Trouble::Input(problems)) => {
            tell(&problems);
            ExitCode::from(1)
        }
        Err(Trouble::Failed(why)) => {
            aside!("pacewright: {why}");
            ExitCode::from(2)
        }
    }
}

fn run(args: Args) -> Done {
    match args.command {
        #[cfg(feature = "app")]
        None if !args.windowed && clicked() => desk::by_double_click(),
        None => window::demonstration(args.windowed),
        #[cfg(feature = "app")]
        Some(Command::Desk(args)) => desk::run(&args),
        Some(Command::Trial(args)) => window::trial(&args),
        Some(Command::Devices(args)) => devices::run(*args),
        Some(Command::Demo(args)) => demo::run(&args),
        Some(Command::Simulate(args)) => simulate::run(&args),
        Some(Command::Practice(args)) => practice::run(&args),
        Some(Command::Pack(args)) => pack::run(&args),
        Some(Command::TakeBack(args)) => take_back::run(&args),
        Some(Command::Analyse(args)) => analyse::run(&args),
        Some(Command::Fit(args)) => fit::run(&args),
        Some(Command::Latency(args)) => latency::run(&args),
        Some(Command::Predict(args)) => predict::run(&args),
        Some(Command::Report(args)) => report::run(&args),
        Some(Command::Export(args)) => export::run(&args),
        Some(Command::Client(command)) => client::run(&command),
        Some(Command::Replay(args)) => replay::run(&args),
        Some(Command::Check(args)) => check::run(&args),
        Some(Command::Arrange(args)) => arrange::run(&args),
        Some(Command::Settings(args)) => settings::run(&args),
    }
}

/// Whether somebody double-clicked the program: there is a display, and nobody could read a terminal.
#[cfg(feature = "app")]
fn clicked() -> bool {
    use std::io::IsTerminal as _;
    let terminal = std::io::stdin().is_terminal() || std::io::stdout().is_terminal() || std::io::stderr().is_terminal();
    !terminal && crate::app::display_available().is_ok()
}

/// Standard output is somebody else's.
static LEFT: std::sync::atomic::AtomicBool = std::sync::atomic::AtomicBool::new(false);

/// Leaves standard output to somebody else: a reader there that has stopped reading would keep a line, and all that
/// comes behind it, waiting.
#[cfg(feature = "app")]
fn leave_standard_output() {
    LEFT.store(true, std::sync::atomic::Ordering::Relaxed);
}

/// Prints a line on standard output, or, where that has been left, on standard error.
fn print_line(line: std::fmt::Arguments<'_>) {
    use std::io::Write as _;
    if LEFT.load(std::sync::atomic::Ordering::Relaxed) {
        return aside!("{line}");
    }
    match writeln!(std::io::stdout(), "{line}") {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => aside!("pacewright: cannot print: {error}"),
        _ => {}
    }
}

/// Shows how far it is on a terminal, over what stood there; nothing when it is over.
fn progress(text: &str) {
    use std::io::{IsTerminal as _, Write as _};
    if std::io::stderr().is_terminal() {
        let mut terminal = std::io::stderr();
        let _ = write!(terminal, "\r{text:30}\r{text}");
        let _ = terminal.flush();
    }
}

/// Prints problems, one a line.
fn tell(problems: &[Problem]) {
    for problem in problems {
        let kind = if problem.severity == Severity::Warning { "warning" } else { "error" };
        aside!("{kind}: {problem}");
    }
}

/// Prints warnings and goes on, or stops at errors.
fn pass<T>(value: Option<T>, problems: Vec<Problem>) -> Result<T, Trouble> {
    match value {
        Some(value) if problems.iter().all(|problem| problem.severity == Severity::Warning) => {
            tell(&problems);
            Ok(value)
        }
        _ => Err(Trouble::Input(problems)),
    }
}
