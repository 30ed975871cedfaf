//! Opens a paper with what the system shows such files with; there it can be printed.

use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;

/// What opens a file on this system.
const OPENER: &str = if cfg!(windows) {
    "explorer"
} else if cfg!(target_os = "macos") {
    "open"
} else {
    "xdg-open"
};

/// Opens the file at `path`.
///
/// # Errors
/// When nothing here opens files; the words say where it lies.
pub fn open(path: &Path) -> Result<(), String> {
    let said = Command::new(OPENER).arg(path).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
    match said {
        Ok(mut opener) => {
            // Waited for elsewhere, so that no ended process stays behind.
            thread::spawn(move || opener.wait());
            Ok(())
        }
        Err(error) => {
            Err(format!("It was written to {}, but cannot be shown ({error}): open it by hand.", path.display()))
        }
    }
}
