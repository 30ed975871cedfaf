//! Labels spoken by a speech program that is found on this computer, ahead of the session.
//!
//! The program is started by its path, without a shell; the words go to its standard input, so nothing in them can be
//! taken for an argument. What it has said is kept, under the words and the program, and is not made again.

use std::ffi::OsString;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// A label takes no program longer than this.
const PATIENCE: Duration = Duration::from_secs(10);
const LOOKS_EVERY: Duration = Duration::from_millis(5);

/// Programs of the usual distributions, which take the same arguments.
const PROGRAMS: [&str; 2] = ["espeak-ng", "espeak"];
/// They read the words from their standard input and write a WAV file.
const ARGUMENTS: [&str; 2] = ["--stdin", "-w"];

/// A speech program.
#[derive(Clone, Debug)]
pub(super) struct Speech {
    /// Its name.
    pub name: &'static str,
    path: PathBuf,
}

/// The first one that `path`, a list of folders, holds.
pub(super) fn find(path: &OsString) -> Option<Speech> {
    PROGRAMS.iter().find_map(|name| {
        let path = std::env::split_paths(path).map(|folder| folder.join(name)).find(|path| path.is_file())?;
        Some(Speech { name, path })
    })
}

impl Speech {
    /// The file in `folder` that says `text`; made where it is missing.
    ///
    /// # Errors
    /// Why the program did not say it, as the end of a sentence.
    pub fn say(&self, folder: &Path, id: &str, text: &str) -> Result<PathBuf, String> {
        let words = format!("{} {text}", self.name);
        let file = folder.join(format!("{id}-{:08x}.wav", crc32fast::hash(words.as_bytes())));
        if !file.is_file() {
            // Made beside and renamed: what was broken off is never taken for a label.
            let beside = folder.join(format!("{id}.part"));
            let said =
                self.write(&beside, text).and_then(|()| std::fs::rename(&beside, &file).map_err(|e| e.to_string()));
            said.inspect_err(|_| drop(std::fs::remove_file(&beside)))?;
        }
        Ok(file)
    }

    fn write(&self, out: &Path, text: &str) -> Result<(), String> {
        let child = Command::new(&self.path)
            .args(ARGUMENTS)
            .arg(out)
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn();
        let mut child = child.map_err(|error| format!("it cannot be started: {error}"))?;
        if let Some(mut words) = child.stdin.take() {
            // One that does not listen ends with an error of its own.
            let _ = words.write_all(text.as_bytes());
        }
        wait(&mut child)?;
        if out.is_file() { Ok(()) } else { Err("it wrote no file".to_string()) }
    }
}

fn wait(child: &mut Child) -> Result<(), String> {
    let began = Instant::now();
    loop {
        match child.try_wait() {
            Ok(Some(status)) if status.success() => return Ok(()),
            Ok(Some(status)) => return Err(format!("it ended with {status}")),
            Ok(None) if began.elapsed() < PATIENCE => std::thread::sleep(LOOKS_EVERY),
            Ok(None) => {
                let _ = child.kill();
                let _ = child.wait();
                return Err("it did not end".to_string());
            }
            Err(error) => return Err(error.to_string()),
        }
    }
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use crate::store::let_run;

    /// A program of that name which writes what it was given, its arguments and the words, to the file.
    fn program(folder: &Path, name: &str, script: &str) -> Speech {
        let path = folder.join(name);
        std::fs::write(&path, format!("#!/bin/sh\n{script}\n")).unwrap();
        let_run(&path).unwrap();
        find(&folder.as_os_str().to_owned()).expect("it is there")
    }

    #[test]
    fn words_reach_the_program_as_words_whatever_stands_in_them() {
        let folder = tempfile::tempdir().unwrap();
        let speech = program(folder.path(), "espeak-ng", r#"{ echo "$#"; cat; } > "$3""#);
        let words = "-w /tmp/x; $(touch gone) `touch gone` \"lamp\" --help";
        let file = speech.say(folder.path(), "lamp", words).unwrap();
        assert_eq!(std::fs::read_to_string(&file).unwrap(), format!("3\n{words}"));
        assert!(!Path::new("gone").exists() && !folder.path().join("gone").exists());
    }

    #[test]
    fn what_has_been_said_is_kept_and_other_words_are_said_anew() {
        let folder = tempfile::tempdir().unwrap();
        let speech = program(folder.path(), "espeak", r#"cat > "$3"; echo once >> "$0.log""#);
        let first = speech.say(folder.path(), "lamp", "Lamp").unwrap();
        assert_eq!(speech.say(folder.path(), "lamp", "Lamp").unwrap(), first);
        assert_ne!(speech.say(folder.path(), "lamp", "The lamp").unwrap(), first);
        assert_eq!(std::fs::read_to_string(folder.path().join("espeak.log")).unwrap().lines().count(), 2);
    }

    #[test]
    fn a_program_that_fails_is_told_and_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let speech = program(folder.path(), "espeak", r#"echo half > "$3"; exit 3"#);
        let why = speech.say(folder.path(), "lamp", "Lamp").unwrap_err();
        assert!(why.contains('3'), "{why}");
        let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        assert_eq!(left, ["espeak"]);
        assert!(find(&OsString::from("/nowhere")).is_none());
    }
}
