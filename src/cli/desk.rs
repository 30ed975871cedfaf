//! `desk`: the clinician's desk over a data folder.

use std::path::{Path, PathBuf};

use clap::{Args as ClapArgs, ValueEnum};

use super::report::Read;
use super::{Done, Trouble, files};
use crate::app::desk::window::{self, DeskConfig};
use crate::desk::words::Language;
use crate::store::{Store, wall_clock};

#[derive(Debug, ClapArgs)]
pub(super) struct DeskArgs {
    /// Folder with the clients and their sessions; made when it is missing.
    #[arg(long, value_name = "DIR")]
    pub data: PathBuf,
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
    let store = Store::open(&args.data)?;
    let today = wall_clock()?.strftime("%F").to_string();
    let config = DeskConfig { store, today, language: args.language.into(), write_report };
    window::run(config).map_err(|error| Trouble::Failed(error.to_string()))
}

/// Writes the report of a log beside it.
fn write_report(log: &Path) -> Result<PathBuf, String> {
    let out = files::report_beside(log);
    Read::of(log).and_then(|read| read.write(&out)).map_err(|trouble| trouble.to_string())?;
    Ok(out)
}
