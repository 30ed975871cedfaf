//! Where an export comes from and goes to: logs in folders, and a folder that nothing else stands in.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use super::{Done, Trouble};
use crate::export::File;
use crate::problem::Problem;
use crate::store::{logs_in, write_whole};

/// The logs that are named or stand in the folders that are named, each once.
pub(super) fn logs(named: &[PathBuf]) -> Result<BTreeSet<PathBuf>, Trouble> {
    let mut found = BTreeSet::new();
    for path in named {
        if path.is_dir() {
            found.extend(logs_in(path)?);
        } else {
            found.insert(path.clone());
        }
    }
    Ok(found)
}

/// The files in a folder, and in the folders in it.
fn files_in(folder: &Path) -> Result<Vec<PathBuf>, Problem> {
    let refused = |error| problem(folder, format!("cannot list the folder: {error}"), "check the path and your rights");
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(refused)? {
        let path = entry.map_err(refused)?.path();
        if path.is_dir() {
            found.extend(files_in(&path)?);
        } else {
            found.push(path);
        }
    }
    Ok(found)
}

/// Refuses a key that would be given away with the export.
pub(super) fn apart(key: &Path, out: &Path) -> Done {
    let whole = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.into());
    if whole(key).starts_with(whole(out)) {
        let what = "cannot keep the key here: it would be given away with the export";
        return Err(problem(key, what, "give a path outside the folder of the export").into());
    }
    Ok(())
}

/// Writes the files into `out`, each whole. Nothing is written where something else stands, or, without
/// `replace`, where anything stands.
pub(super) fn write(out: &Path, files: &[File], replace: bool) -> Done {
    let standing = if out.exists() { files_in(out)? } else { Vec::new() };
    if let Some(first) = standing.first().filter(|_| !replace) {
        let what = format!("cannot export to this folder: it holds `{}`", first.display());
        return Err(problem(out, what, "give a new folder, or write over an earlier export with `--replace`").into());
    }
    let ours: BTreeSet<PathBuf> = files.iter().map(|file| out.join(&file.path)).collect();
    if let Some(other) = standing.iter().find(|path| !ours.contains(*path)) {
        let what = format!("cannot export over this folder: `{}` is not part of this export", other.display());
        return Err(problem(out, what, "remove it, or give a new folder").into());
    }
    for file in files {
        let path = out.join(&file.path);
        let folder = path.parent().unwrap_or(out);
        fs::create_dir_all(folder).map_err(|error| {
            problem(folder, format!("cannot make the folder: {error}"), "check your rights and the free space")
        })?;
        write_whole(&path, file.text.as_bytes())?;
    }
    Ok(())
}

fn problem(path: &Path, what: impl Into<String>, remedy: &str) -> Problem {
    Problem::error(&path.display().to_string(), None, what, remedy)
}
