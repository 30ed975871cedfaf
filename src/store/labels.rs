//! What a data folder knows of sound: recordings of labels, `<id>.wav` in a folder, and whether a client hears the
//! sounds, in `CODE.sound.txt`.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use super::{Store, read_at_most, write_whole};
use crate::code::ClientCode;
use crate::problem::{Problem, did_you_mean};
use crate::sound::recording::{Recording, Recordings};

/// No recording is larger, in bytes: ten seconds of any usual quality.
const LARGEST: u64 = 8 << 20;
/// Letters of an answer that are taken.
const ANSWER: usize = 200;

/// The recordings of these labels that the folder holds. What cannot be one is warned of, and so is a file that is
/// called like no label; where there is no folder there are none.
#[must_use]
pub fn recordings(folder: &Path, ids: &[&str]) -> (Recordings, Vec<Problem>) {
    let (mut found, mut problems) = (Recordings::default(), Vec::new());
    let Ok(entries) = folder.read_dir() else { return (found, problems) };
    let mut paths: Vec<_> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    paths.sort();
    for path in paths.iter().filter(|path| path.extension() == Some(OsStr::new("wav"))) {
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        if !ids.contains(&&*name) {
            let remedy = did_you_mean(&name, ids.iter().copied());
            problems.push(warning(path, format!("no label of this menu has the id `{name}`"), &remedy));
            continue;
        }
        match recording(path) {
            Ok(recording) => drop(found.0.insert(name.into_owned(), recording)),
            Err(problem) => problems.push(problem),
        }
    }
    (found, problems)
}

impl Store {
    /// Keeps what came of the sounds when they were tried at the bed, in words.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn keep_sound(&self, client: &ClientCode, words: &str) -> Result<(), Problem> {
        write_whole(&self.answer(client), words.as_bytes())
    }

    /// What came of them the last time; empty where they were never tried.
    #[must_use]
    pub fn sound(&self, client: &ClientCode) -> String {
        let bytes = read_at_most(&self.answer(client), LARGEST, "remove it").unwrap_or_default();
        String::from_utf8_lossy(&bytes).lines().next().unwrap_or_default().trim().chars().take(ANSWER).collect()
    }

    fn answer(&self, client: &ClientCode) -> PathBuf {
        self.folder().join(format!("{client}.sound.txt"))
    }
}

/// One recording.
///
/// # Errors
/// A warning: it cannot be read, or it is none.
pub fn recording(path: &Path) -> Result<Recording, Problem> {
    let bytes = read_at_most(path, LARGEST, "record the label alone")
        .map_err(|problem| warning(path, problem.what, &problem.remedy))?;
    let remedy = "record the label again, as WAV; until then a tone stands for it";
    Recording::read(&bytes).map_err(|why| warning(path, format!("cannot use the recording: {why}"), remedy))
}

fn warning(path: &Path, what: String, remedy: &str) -> Problem {
    Problem::warning(&path.display().to_string(), None, what, remedy)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_recording_and_what_is_called_like_no_label_is_warned_of() {
        let folder = tempfile::tempdir().unwrap();
        let write = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes).unwrap();
        write("lamp.wav", b"no sound at all");
        write("lmap.wav", b"");
        write("notes.txt", b"");
        std::fs::create_dir(folder.path().join("door.wav")).unwrap();
        let (found, problems) = recordings(folder.path(), &["lamp", "door"]);
        let words: Vec<String> = problems.iter().map(ToString::to_string).collect();
        assert!(found.0.is_empty() && problems.len() == 3, "{words:?}");
        assert!(words[0].contains("not a plain file"), "{words:?}");
        assert!(words[1].contains("it is no WAV file") && words[1].contains("record the label again"), "{words:?}");
        assert!(words[2].contains("`lmap`; did you mean"), "{words:?}");
        assert_eq!(recordings(&folder.path().join("none"), &["lamp"]).1, []);
    }

    #[test]
    fn what_a_client_hears_is_kept_and_belongs_to_them() {
        let folder = tempfile::tempdir().unwrap();
        let (store, client) = (Store::open(folder.path()).unwrap(), "C07".parse().unwrap());
        assert_eq!(store.sound(&client), "");
        store.keep_sound(&client, "both tones heard at 30 %").unwrap();
        assert_eq!(store.sound(&client), "both tones heard at 30 %");
        assert_eq!(store.sound(&"C0".parse().unwrap()), "");
        assert_eq!(store.belongings(&client).unwrap().files, [folder.path().join("C07.sound.txt")]);
    }
}
