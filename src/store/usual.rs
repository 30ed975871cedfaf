//! Where clients are kept when nobody says where.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// A folder of this name beside the program makes the two portable.
pub const BESIDE: &str = "pacewright-data";

/// The folder beside `program` where there is one, else the usual place of this system for a program's
/// data, as its environment names it; `None` where it names none.
#[must_use]
pub fn usual_folder(program: Option<&Path>, variable: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    let beside = program.and_then(Path::parent).map(|folder| folder.join(BESIDE));
    beside.filter(|folder| folder.is_dir()).or_else(|| Some(for_data(variable)?.join("pacewright")))
}

/// XDG Base Directory Specification 0.8; the customs of the two other systems.
fn for_data(variable: impl Fn(&str) -> Option<OsString>) -> Option<PathBuf> {
    let folder = |name: &str| variable(name).map(PathBuf::from).filter(|folder| folder.is_absolute());
    if cfg!(windows) {
        folder("LOCALAPPDATA")
    } else if cfg!(target_os = "macos") {
        Some(folder("HOME")?.join("Library/Application Support"))
    } else {
        folder("XDG_DATA_HOME").or_else(|| Some(folder("HOME")?.join(".local/share")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_beside_the_program_goes_before_the_usual_place() {
        let folder = tempfile::tempdir().unwrap();
        let program = folder.path().join("pacewright");
        let home = folder.path().join("home");
        let usual = || usual_folder(Some(&program), |_| Some(home.clone().into()));
        assert!(usual().unwrap().starts_with(&home));
        std::fs::create_dir(folder.path().join(BESIDE)).unwrap();
        assert_eq!(usual().unwrap(), folder.path().join(BESIDE));
    }

    #[test]
    fn no_place_is_made_up() {
        assert_eq!(usual_folder(None, |_| None), None);
        assert_eq!(usual_folder(None, |_| Some("not/absolute".into())), None);
    }
}
