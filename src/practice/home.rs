//! The folder that goes home with the client: which files it holds, and the words in them.
//!
//! It holds the program, the plan, the client's own menu, a file that starts practice, and the sessions that are
//! practised there. Nothing is installed: it runs where it lies. A list of its files with their checksums is written
//! last, so a folder that was copied in part can be told. Nothing here opens a file.

use serde::{Deserialize, Serialize};

use super::plan::Plan;
use crate::problem::Problem;

/// The list of files.
pub const LIST: &str = "home-folder.json";
/// The folder of the sessions.
pub const SESSIONS: &str = "sessions";
/// The plan.
pub const PLAN: &str = "plan.json";
/// What whoever opens the folder reads first.
pub const READ_ME: &str = "READ-ME-FIRST.txt";
/// The program.
pub const PROGRAM: &str = if cfg!(windows) { "pacewright.exe" } else { "pacewright" };
/// The file that starts practice.
pub const START: &str = if cfg!(windows) { "start-practice.cmd" } else { "start-practice.sh" };

/// What the folder holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HomeFolder {
    /// Always [`HomeFolder::FORMAT`].
    pub format: String,
    /// Version of the format.
    pub version: u32,
    /// Version of the program in it.
    pub program: String,
    /// Code of the client who practises.
    pub client: String,
    /// All its files but this one and the sessions.
    pub files: Vec<Packed>,
}

/// One file of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Packed {
    /// Its name.
    pub name: String,
    /// Its length, in bytes.
    pub bytes: u64,
    /// CRC-32 of its bytes.
    pub crc32: u32,
}

impl Packed {
    /// Of a file with these bytes.
    #[must_use]
    pub fn of(name: &str, bytes: &[u8]) -> Packed {
        Packed { name: name.to_string(), bytes: bytes.len() as u64, crc32: crc32fast::hash(bytes) }
    }
}

impl HomeFolder {
    /// What the `format` field holds.
    pub const FORMAT: &'static str = "pacewright home folder";
    /// The version written and read.
    pub const VERSION: u32 = 1;

    /// A folder for this client with these files.
    #[must_use]
    pub fn new(client: &str, files: Vec<Packed>) -> HomeFolder {
        let (format, program) = (HomeFolder::FORMAT.to_string(), env!("CARGO_PKG_VERSION").to_string());
        HomeFolder { format, version: HomeFolder::VERSION, program, client: client.to_string(), files }
    }

    /// Reads the list; `file` is its name for the problem.
    ///
    /// # Errors
    /// When it is none, or of a newer version.
    pub fn read(file: &str, bytes: &[u8]) -> Result<HomeFolder, Problem> {
        let refused = |what: String| {
            Problem::error(
                file,
                None,
                format!("cannot read the list of the home folder: {what}"),
                "copy the whole folder again",
            )
        };
        let read: HomeFolder = serde_json::from_slice(bytes).map_err(|error| refused(error.to_string()))?;
        let known = read.format == HomeFolder::FORMAT && read.version == HomeFolder::VERSION;
        if known { Ok(read) } else { Err(refused(format!("it says `{}`, version {}", read.format, read.version))) }
    }
}

/// Whether an entry of this name may lie in a folder that is packed again.
#[must_use]
pub fn is_ours(name: &str, menu: Option<&str>) -> bool {
    [LIST, SESSIONS, PLAN, READ_ME, PROGRAM, START].contains(&name)
        || menu == Some(name)
        || name.starts_with(".pacewright-")
}

/// The file that starts practice; `options` are further arguments.
#[must_use]
pub fn start_file(client: &str, options: &[String]) -> String {
    let more: String = options.iter().map(|option| format!(" \"{option}\"")).collect();
    let practise = format!("practice --plan {PLAN} --client {client} --data {SESSIONS}{more}");
    if cfg!(windows) {
        format!("@echo off\r\ncd /d \"%~dp0\"\r\n{PROGRAM} {practise}\r\nif errorlevel 1 pause\r\n")
    } else {
        format!(
            "#!/bin/sh\n# Starts practice from this folder, wherever it lies.\ncd \"$(dirname \"$0\")\" && exec ./{PROGRAM} {practise}\n"
        )
    }
}

/// What whoever opens the folder reads first.
#[must_use]
pub fn read_me(client: &str, plan: &Plan) -> String {
    let minutes = plan.minutes;
    format!(
        "PRACTICE FOR CLIENT {client}\n\n\
         This program trains and measures only. It calls nobody and drives nothing.\n\
         Before each start: {}\n\n\
         1. Copy nothing, install nothing. Plug in the switch.\n\
         2. Open {START}. Confirm the question about help. Then the switch alone goes on.\n\
         3. A session is never longer than {minutes} minutes and ends by itself. Doing nothing leads to rest.\n\
         4. Stop at pain, breathlessness, a change of colour, or when the client asks. Never leave a client alone with an\n\
         \x20  unfamiliar switch. What your therapist and your local policy say comes first.\n\
         5. Bring this folder back as it is. Do not rename or delete anything in `{SESSIONS}`.\n\n\
         If it does not start: the folder has to lie on a disk that may be written to and may run programs.\n\
         Not certified as a medical device.\n",
        plan.help.question()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_reads_back_and_anything_else_is_refused() {
        // CRC-32 of "123456789" is cbf43926 (the check value of the catalogue of parametrised CRC algorithms).
        let packed = Packed::of(PLAN, b"123456789");
        assert_eq!((packed.bytes, packed.crc32), (9, 0xcbf4_3926));
        let list = HomeFolder::new("C07", vec![packed]);
        let text = serde_json::to_vec(&list).unwrap();
        assert_eq!(HomeFolder::read("list", &text), Ok(list));
        for bytes in [&text[..text.len() - 3], b"", b"{}", b"null", b"\xff"] {
            let problem = HomeFolder::read("list", bytes).unwrap_err().to_string();
            assert!(problem.contains("copy the whole folder again"), "{problem}");
        }
    }

    #[test]
    fn the_start_file_names_the_client_and_quotes_what_it_adds() {
        let text = start_file("C07", &["--switch".into(), "key Space".into()]);
        assert!(
            text.contains("practice --plan plan.json --client C07 --data sessions \"--switch\" \"key Space\""),
            "{text}"
        );
    }
}
