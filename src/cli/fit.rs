//! `fit`: a virtual client from the logs of one client and set-up.

use std::path::Path;

use super::args::FitArgs;
use super::{Done, Trouble, analyse};
use crate::analysis::set_ups::Session;
use crate::forecast::fit::{fit, text};
use crate::problem::Problem;
use crate::sim::profile;
use crate::store::{read_whole, write_whole};

pub(super) fn run(args: &FitArgs) -> Done {
    let logs = analyse::read(&args.logs)?;
    keep_other_files(&args.out)?;
    let sessions: Vec<Session> = logs.iter().map(|log| (&log.header, &log.records[..])).collect();
    let fitted = fit(&sessions).map_err(|unfit| analyse::refused(&logs, &unfit))?;
    let json = serde_json::to_string_pretty(&fitted).map_err(|error| Trouble::Failed(error.to_string()))?;
    write_whole(&args.out, (json + "\n").as_bytes())?;
    fitted.fitted.iter().flat_map(text::lines).for_each(|line| say!("{line}"));
    say!("\nprofile  {}", args.out.display());
    say!("`demo --profile` and `practice --simulate` take it; it is a model, not the person.");
    Ok(())
}

/// A profile may be written over, nothing else: a log is easily named twice.
fn keep_other_files(out: &Path) -> Done {
    if !out.exists() {
        return Ok(());
    }
    let name = out.display().to_string();
    let profile = read_whole(out).ok().and_then(|bytes| profile::read(&name, bytes).0);
    match profile {
        Some(_) => Ok(()),
        None => Err(Problem::error(&name, None, "it is there already and is no profile", "give another file").into()),
    }
}
