//! The arguments of `simulate`.

use std::path::PathBuf;

use clap::Args as ClapArgs;

#[derive(Debug, ClapArgs)]
#[command(after_long_help = crate::cli::simulate::HELP)]
pub(super) struct SimulateArgs {
    /// A shipped virtual client by name, or a profile file.
    #[arg(long, value_name = "NAME|FILE", required_unless_present = "merge")]
    pub profile: Option<String>,
    /// A shipped menu by name, or a menu file; its weights say how often each item is wanted.
    #[arg(long, value_name = "NAME|FILE", default_value = "nine")]
    pub menu: String,
    /// Settings to try: `scan_interval=0.6:2.0:0.1` (first, last, step), `hold=0,0.2` or one value; may be given again,
    /// then all combinations are tried.
    #[arg(long = "set", value_name = "NAME=VALUES")]
    pub set: Vec<String>,
    /// Patterns to try, as `linear,row-column`.
    #[arg(long, value_name = "NAMES")]
    pub pattern: Option<String>,
    /// Techniques to try, as `automatic,step`.
    #[arg(long, value_name = "NAMES")]
    pub technique: Option<String>,
    /// A wrong item has to be taken once more, to undo it, before the client goes on.
    #[arg(long)]
    pub undo: bool,
    /// Selections at each combination.
    #[arg(long, value_name = "N", default_value_t = 10_000, value_parser = clap::value_parser!(u64).range(1..=10_000_000_000))]
    pub selections: u64,
    /// Seed of all draws; every combination gets the same luck.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub seed: u64,
    /// Threads; the result is the same for any number. As many as there are processors when it is missing.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Run one part of several, as `2/3`, to be put together with `--merge`.
    #[arg(long, value_name = "I/N", requires = "out")]
    pub shard: Option<String>,
    /// Put the files of all parts of a study together instead of running one.
    #[arg(long, value_name = "FILE", num_args = 1.., conflicts_with_all = ["profile", "set", "pattern", "technique", "shard"])]
    pub merge: Vec<PathBuf>,
    /// Form of the result.
    #[arg(long = "as", value_name = "FORM", default_value = "text", value_parser = ["text", "csv", "json"])]
    pub form: String,
    /// Write the result to this file; one that stands there is replaced as a whole.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write a picture of seconds and errors over the first setting with several values.
    #[arg(long, value_name = "FILE")]
    pub plot: Option<PathBuf>,
}
