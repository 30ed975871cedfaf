//! The arguments.

use std::path::PathBuf;

use clap::{Args as ClapArgs, Parser, Subcommand};

use super::asked::AskedArgs;
#[cfg(feature = "app")]
use super::desk::DeskArgs;
pub(super) use super::screen_args::ScreenArgs;
use super::settings::SettingsArgs;
use super::simulate_args::SimulateArgs;

/// Finds, trains and proves the timings at which a scanning menu can be worked with one switch.
///
/// Without a command the window opens on the demonstration protocol; a double click opens the clinician's desk. Not certified as a medical
/// device: it measures and informs, a licensed clinician decides.
#[derive(Debug, Parser)]
#[command(version, about, max_term_width = 100)]
pub(super) struct Args {
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Open a window instead of the full screen.
    #[arg(long)]
    pub windowed: bool,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    #[cfg(feature = "app")]
    /// Open the clinician's desk: clients, visits, findings, what to set at home, reports.
    Desk(DeskArgs),
    /// Sit a client in front of the menu and run a protocol.
    Trial(Box<TrialArgs>),
    /// Say what is connected, how good the rulers are, and check a switch in the window.
    Devices(Box<DevicesArgs>),
    /// Let a virtual client run a protocol without a window; all data are invented.
    Demo(DemoArgs),
    /// Try settings, patterns and techniques on a virtual client: thousands of selections, counted and not logged.
    Simulate(Box<SimulateArgs>),
    /// Practise by a plan: in the window, or a virtual client without one.
    Practice(Box<PracticeArgs>),
    /// Write the folder that goes home with the client: program, plan, menu, settings; nothing is installed.
    Pack(Box<PackArgs>),
    /// Take what was practised at home into the clients' records, each session once.
    TakeBack(TakeBackArgs),
    /// Print what one or more session logs say, and what to set.
    Analyse(AnalyseArgs),
    /// Make a virtual client from the logs of one client and set-up.
    Fit(FitArgs),
    /// Predict what the household tasks of a menu take a client, now and slower.
    Predict(PredictArgs),
    /// Describe a column of latencies and fit distributions to it.
    Latency(LatencyArgs),
    /// Write the report of a session as one HTML file.
    Report(ReportArgs),
    /// Write session logs as tables for other programs.
    Export(ExportArgs),
    /// Hand over, move away or delete all that a data folder holds of one client.
    #[command(subcommand)]
    Client(ClientCommand),
    /// Run the inputs of a log again and compare what follows with what was logged, or try other settings.
    Replay(ReplayArgs),
    /// Check logs, menus, protocols and practice plans, and say what a protocol asks of the client.
    Check(CheckArgs),
    /// Find the best order and grouping of a menu for one client, and write it as a new menu.
    Arrange(super::arrange::ArrangeArgs),
    /// List the timing settings with their ranges and defaults.
    Settings(SettingsArgs),
}

#[derive(Debug, ClapArgs)]
pub(super) struct TrialArgs {
    /// A shipped protocol by name, or a protocol file.
    #[arg(long, value_name = "NAME|FILE", default_value = "first-look")]
    pub protocol: String,
    /// Code of the client: up to 16 letters, digits and dashes, never a name.
    #[arg(long, value_name = "CODE")]
    pub client: String,
    /// Folder for the session's log and report; made when it is missing.
    #[arg(long, value_name = "DIR")]
    pub data: PathBuf,
    /// Another menu than the protocol's.
    #[arg(long, value_name = "NAME|FILE")]
    pub menu: Option<String>,
    /// Change a setting, as `scan_interval=1.4`; may be given again.
    #[arg(long = "set", value_name = "NAME=VALUE")]
    pub set: Vec<String>,
    /// Seed of the order of trials; drawn from the clock when it is missing.
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
    /// Go on behind the client's last session, which was broken off: its plan, from its last block on.
    #[arg(long = "continue", conflicts_with_all = ["protocol", "menu", "set", "seed"])]
    pub go_on: bool,
    /// Check the switch before the first block.
    #[arg(long, conflicts_with = "go_on")]
    pub check: bool,
    /// Open a window instead of the full screen.
    #[arg(long)]
    pub windowed: bool,
    /// Watched from a desk: records go to standard output, what the clinician asks for comes from standard input.
    #[arg(long, value_name = "X,Y", hide = true, allow_hyphen_values = true)]
    pub watched: Option<String>,
    #[command(flatten)]
    pub screen: ScreenArgs,
    #[command(flatten)]
    pub setup: SetupArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct DevicesArgs {
    /// Check a switch in the window: its raw edges and what counts on a moving strip; the finding goes to a log.
    #[arg(long, requires = "data")]
    pub check: bool,
    /// Play the step and the select sound at the bed and ask whether they are heard; `--set volume=50` is louder.
    #[arg(long, conflicts_with = "check")]
    pub sound: bool,
    /// Measure a voice, a hum or a click of the tongue as a switch: the room with the ventilator, then three sounds.
    #[arg(long, conflicts_with_all = ["check", "sound"])]
    pub microphone: bool,
    /// Code that stands in the log of the check.
    #[arg(long, value_name = "CODE", default_value = "CHECK1")]
    pub client: String,
    /// Folder for the log of the check; made when it is missing.
    #[arg(long, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// Change a setting of the check, as `debounce=0.02`; may be given again.
    #[arg(long = "set", value_name = "NAME=VALUE")]
    pub set: Vec<String>,
    /// Open a window instead of the full screen.
    #[arg(long)]
    pub windowed: bool,
    #[command(flatten)]
    pub screen: ScreenArgs,
    #[command(flatten)]
    pub setup: SetupArgs,
}

/// The circumstances that stand in the log's header.
#[derive(Debug, Default, ClapArgs)]
#[command(next_help_heading = "Circumstances, for the log")]
pub(super) struct SetupArgs {
    /// Body site, for example "cheek".
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub site: String,
    /// Side of the body.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub side: String,
    /// Kind of switch.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub switch_kind: String,
    /// How it is mounted.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub mounting: String,
    /// Body position.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub position: String,
    /// Breathing support, and its rate.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub breathing: String,
    /// Time since the last rest.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub since_rest: String,
    /// Time since the last medication.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub since_medication: String,
    /// Code of the assessor.
    #[arg(long, value_name = "CODE", default_value = "")]
    pub assessor: String,
}

#[derive(Debug, ClapArgs)]
pub(super) struct DemoArgs {
    /// Folder for the log and the report; made when it is missing.
    #[arg(long, value_name = "DIR", default_value = super::demo::FOLDER)]
    pub out: PathBuf,
    /// Seed of the virtual client and of the order of trials.
    #[arg(long, value_name = "N", default_value_t = super::demo::SEED)]
    pub seed: u64,
    /// A shipped protocol by name, or a protocol file.
    #[arg(long, value_name = "NAME|FILE", default_value = "first-look")]
    pub protocol: String,
    /// A shipped virtual client by name, or a profile file.
    #[arg(long, value_name = "NAME|FILE", default_value = super::demo::PROFILE)]
    pub profile: String,
}

#[derive(Debug, ClapArgs)]
pub(super) struct PracticeArgs {
    /// The practice plan.
    #[arg(long, value_name = "FILE")]
    pub plan: PathBuf,
    /// Code of the client; the plan's when it is missing.
    #[arg(long, value_name = "CODE", conflicts_with = "simulate")]
    pub client: Option<String>,
    /// Folder for logs and reports; made when it is missing.
    #[arg(long, value_name = "DIR", required_unless_present = "simulate", conflicts_with = "simulate")]
    pub data: Option<PathBuf>,
    /// Let a virtual client practise without a window: a shipped profile by name, or a profile file. All data are
    /// invented.
    #[arg(long, value_name = "NAME|FILE")]
    pub simulate: Option<String>,
    /// The step to practise; the plan's first when it is missing.
    #[arg(long, value_name = "STEP")]
    pub step: Option<String>,
    /// Folder for the virtual client's log; made when it is missing.
    #[arg(long, value_name = "DIR", default_value = "pacewright-practice", requires = "simulate")]
    pub out: PathBuf,
    /// Seed of the virtual client and of the order of trials; 1 for a virtual client, otherwise drawn from the clock.
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
    /// Open a window instead of the full screen.
    #[arg(long)]
    pub windowed: bool,
    #[command(flatten)]
    pub screen: ScreenArgs,
    #[command(flatten)]
    pub setup: SetupArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct PackArgs {
    /// The practice plan; it has to say how the client calls for help.
    #[arg(long, value_name = "FILE")]
    pub plan: PathBuf,
    /// Code of the client: up to 16 letters, digits and dashes, never a name.
    #[arg(long, value_name = "CODE")]
    pub client: String,
    /// The folder to write; packed again, it keeps its sessions.
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    #[command(flatten)]
    pub screen: ScreenArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct TakeBackArgs {
    /// The folder that `pack` wrote; it is only read.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Folder for session logs.
    #[arg(long, value_name = "DIR")]
    pub data: PathBuf,
}

#[derive(Debug, ClapArgs)]
pub(super) struct AnalyseArgs {
    /// Session logs of one client; several are grouped by site, side, switch, mounting and position.
    #[arg(required = true, value_name = "LOG")]
    pub logs: Vec<PathBuf>,
    /// Print one JSON array instead of text: an object for each log, and one for all; `docs/json.md` names every field.
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub asked: AskedArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct FitArgs {
    /// Session logs of one client, set-up and menu.
    #[arg(required = true, value_name = "LOG")]
    pub logs: Vec<PathBuf>,
    /// The profile to write; one that stands there is replaced, another file is not.
    #[arg(long, value_name = "PROFILE")]
    pub out: PathBuf,
}

#[derive(Debug, ClapArgs)]
pub(super) struct PredictArgs {
    /// A virtual client: a profile made by `fit`, or a shipped one by name.
    #[arg(long, value_name = "NAME|FILE")]
    pub profile: String,
    /// A shipped menu by name, or a menu file.
    #[arg(long, value_name = "NAME|FILE")]
    pub menu: String,
    /// Change a setting, as `scan_interval=1.4`; may be given again.
    #[arg(long = "set", value_name = "NAME=VALUE")]
    pub set: Vec<String>,
    /// Seed of the simulated runs.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Print one JSON object instead of text; `docs/json.md` names every field.
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, ClapArgs)]
#[command(after_long_help = crate::cli::latency::JSON_HELP)]
pub(super) struct LatencyArgs {
    /// One latency a line, or a CSV file with a header. `>0.8` is known only to be longer than 0.8; `#` starts a comment.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Unit of the values; nothing is converted.
    #[arg(long, value_name = "UNIT", default_value = "s", value_parser = ["ms", "s"])]
    pub unit: String,
    /// Fit this distribution instead of all; may be given again. Among fits to the same values, the one with the
    /// smaller AIC is expected to predict better.
    #[arg(long, value_name = "MODEL", value_parser = crate::cli::latency::MODELS)]
    pub model: Vec<String>,
    /// Describe each value of this column by itself.
    #[arg(long, value_name = "COLUMN")]
    pub by: Option<String>,
    /// The column of the latencies, where there are several.
    #[arg(long, value_name = "NAME")]
    pub column: Option<String>,
    /// Print JSON instead of text: one object, or an array with one object for each value of `--by`.
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, ClapArgs)]
pub(super) struct ReportArgs {
    /// A session log.
    #[arg(value_name = "LOG")]
    pub log: PathBuf,
    /// The HTML file to write; one that stands there is replaced as a whole.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
}

#[derive(Debug, ClapArgs)]
pub(super) struct ExportArgs {
    /// Session logs, or folders that hold some.
    #[arg(required = true, value_name = "LOG|FOLDER")]
    pub logs: Vec<PathBuf>,
    /// Tidy tables with a data dictionary, or a data set in the form of BIDS.
    #[arg(long = "as", value_name = "FORM", value_parser = ["csv", "bids"])]
    pub form: String,
    /// Folder to write to; new or empty.
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// Write over the files of an earlier export.
    #[arg(long)]
    pub replace: bool,
    /// Codes of the clients who consent to research, one a line; all others are left out. Needed for bids.
    #[arg(long, value_name = "FILE")]
    pub consent: Option<PathBuf>,
    /// Keep here which client got which code, and by how many days dates were shifted. A key that is there is used
    /// again and added to. It leads back to the clients: keep it apart from the export.
    #[arg(long, value_name = "FILE", conflicts_with = "identified")]
    pub key: Option<PathBuf>,
    /// Also write what people typed: remarks, reasons, circumstances, names of own menus and protocols. It may name
    /// the client or others: read it before you give it away.
    #[arg(long)]
    pub free_text: bool,
    /// Keep the codes and dates of the clinic, and write seeds, names of logs and codes of assessors. Not for bids.
    #[arg(long)]
    pub identified: bool,
    /// What its makers say of a BIDS data set: a JSON file with keys of the standard, such as `Name`, `Authors`,
    /// `License`, `InstitutionName` or `CogAtlasID`.
    #[arg(long, value_name = "FILE")]
    pub about: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
pub(super) enum ClientCommand {
    /// Copy everything to another folder, byte for byte, under the client's own code.
    Export(MoveArgs),
    /// Copy everything to another folder, compare the copies, then delete it from the data folder.
    Archive(MoveArgs),
    /// Delete everything from the data folder; without `--confirm` only say what would go.
    Delete(DeleteArgs),
}

#[derive(Debug, ClapArgs)]
pub(super) struct MoveArgs {
    #[command(flatten)]
    pub whose: WhoseArgs,
    /// Folder to copy to; made when it is missing, for its owner only. No file in it is ever replaced.
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
}

#[derive(Debug, ClapArgs)]
pub(super) struct DeleteArgs {
    #[command(flatten)]
    pub whose: WhoseArgs,
    /// The code once more. It cannot be undone.
    #[arg(long, value_name = "CODE")]
    pub confirm: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct WhoseArgs {
    /// Code of the client.
    #[arg(value_name = "CODE")]
    pub client: String,
    /// The data folder.
    #[arg(long, value_name = "DIR")]
    pub data: PathBuf,
}

#[derive(Debug, ClapArgs)]
pub(super) struct ReplayArgs {
    /// A session log.
    #[arg(value_name = "LOG")]
    pub log: PathBuf,
    /// Try another setting, as `lockout=1`: what can be told exactly, and what a client fitted to the log answers; may
    /// be given again.
    #[arg(long = "set", value_name = "NAME=VALUE")]
    pub set: Vec<String>,
    /// Print one JSON object instead of text; `docs/json.md` names every field.
    #[arg(long, requires = "set")]
    pub json: bool,
}

#[derive(Debug, ClapArgs)]
pub(super) struct CheckArgs {
    /// Logs, menus or protocols, or folders of logs; shipped menus and protocols also by name.
    #[arg(required = true, value_name = "FILE|DIR")]
    pub files: Vec<String>,
    /// Write a whole copy of each log that is damaged or was broken off to this folder; never over a file.
    #[arg(long, value_name = "DIR")]
    pub repair: Option<PathBuf>,
}
