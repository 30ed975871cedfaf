//! `desk`: the clinician's desk over a data folder.

use std::path::{Path, PathBuf};

use clap::{Args as ClapArgs, ValueEnum};

use super::report::Read;
use super::{Done, Trouble, files};
use crate::app::desk::window::{self, DeskConfig};
use crate::desk::words::Language;
use crate::store::{Store, usual_folder, wall_clock};

#[derive(Debug, ClapArgs)]
pub(super) struct DeskArgs {
    /// Folder with the clients and their sessions; made when it is missing. Without it `pacewright-data`
    /// beside the program, where there is such a folder, else the usual place for a program's data.
    #[arg(long, value_name = "DIR")]
    pub data: Option<PathBuf>,
    /// Language of the desk.
    #[arg(long, value_name = "LANGUAGE", value_enum, default_value_t = SpokenAtDesk::English)]
    pub language: SpokenAtDesk,
}

/// Languages that the desk speaks.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum SpokenAtDesk {
    English,
    German,
}

impl From<SpokenAtDesk> for Language {
    fn from(spoken: SpokenAtDesk) -> Language {
        match spoken {
            SpokenAtDesk::English => Language::English,
            SpokenAtDesk::German => Language::German,
        }
    }
}

pub(super) fn run(args: &DeskArgs) -> Done {
    let folder = args.data.clone().map_or_else(usual, Ok)?;
    open(folder, args.language.into())
}

/// The desk as a double click on the program opens it.
pub(super) fn by_double_click() -> Done {
    open(usual()?, Language::default())
}

fn open(folder: PathBuf, language: Language) -> Done {
    // What cannot be opened is told in the window: whoever clicked sees no terminal.
    let store = Store::open(&folder);
    let program = std::env::current_exe()
        .map_err(|error| Trouble::Failed(format!("cannot find this program, which opens the board too: {error}")))?;
    let today = wall_clock()?.strftime("%F").to_string();
    let config = DeskConfig { folder, store, today, language, write_report, program };
    window::run(config).map_err(|error| Trouble::Failed(error.to_string()))
}

fn usual() -> Result<PathBuf, Trouble> {
    let program = std::env::current_exe().ok();
    usual_folder(program.as_deref(), |name| std::env::var_os(name))
        .ok_or_else(|| Trouble::Failed("cannot tell where your data belong: say it with --data DIR".into()))
}

/// Writes the report of a log beside it.
fn write_report(log: &Path) -> Result<PathBuf, String> {
    let out = files::report_beside(log);
    Read::of(log).and_then(|read| read.write(&out)).map_err(|trouble| trouble.to_string())?;
    Ok(out)
}
