//! What is to be heard in a session: recordings of labels, what a speech program says, else tones.

use std::path::Path;

use super::speech::{self, Speech};
use super::tell;
use crate::advice::consistency;
use crate::problem::Problem;
use crate::session::Session;
use crate::session::said::CUE;
use crate::settings::{Labels, Settings};
use crate::sound::cue::audible;
use crate::sound::recording::Recordings;
use crate::store;

/// Where recordings stand in a data folder. They are nobody's records: no export and no report takes them.
const FOLDER: &str = "labels";
/// Where in it a speech program's go.
const SPOKEN: &str = "spoken";

/// The labels of a session that is about to begin, from its data folder; `None` where nothing is to be heard. What is
/// amiss is printed, and a label that is missing is a tone.
pub(super) fn prepare(data: &Path, session: &Session) -> Option<Recordings> {
    let mut heard = session.settings_to_come();
    heard.retain(audible);
    if heard.is_empty() {
        return None;
    }
    heard.retain(|settings| settings.labels() == Labels::Spoken);
    if heard.is_empty() {
        return Some(Recordings::default());
    }
    let labels = session.labels_to_come();
    let ids: Vec<&str> = labels.iter().map(|(id, _)| id.as_str()).collect();
    let folder = data.join(FOLDER);
    let (mut found, problems) = store::recordings(&folder, &ids);
    tell(&problems);
    let missing: Vec<_> = labels.iter().filter(|(id, _)| !found.0.contains_key(id)).collect();
    let speech = speech::find(&std::env::var_os("PATH").unwrap_or_default()).filter(|_| !missing.is_empty());
    say!("Labels: {} recorded in {}", found.0.len(), folder.display());
    match &speech {
        Some(speech) => speak(speech, &folder.join(SPOKEN), &missing, &mut found),
        None if missing.is_empty() => {}
        None => {
            say!("        {} without a recording: tones by position, for no speech program is found", missing.len())
        }
    }
    warn_of_length(&found, &heard);
    Some(found)
}

/// A label has to end before the highlight moves on, a cue before the scan begins, in every block that is spoken.
fn warn_of_length(found: &Recordings, spoken: &[Settings]) {
    let shortest = |of: fn(&Settings) -> f64| spoken.iter().map(of).fold(f64::INFINITY, f64::min);
    let (interval, lead) =
        (shortest(|one| one.scan_interval().as_seconds()), shortest(|one| one.cue_lead().as_seconds()));
    let is_cue = |id: &str| id.starts_with(CUE);
    let label = found.longest_s(|id| !is_cue(id));
    let remark = label.and_then(|label| consistency::label_outlasts(interval, label));
    if let Some(remark) = remark {
        aside!("warning: {} {}", remark.text, remark.remedy);
    }
    if let Some(cue) = found.longest_s(is_cue).filter(|cue| *cue > lead) {
        aside!(
            "warning: The longest spoken cue takes {cue:.1} s, the time to read the cue is {lead} s. Set `cue_lead` to more, or shorten the cue."
        );
    }
}

fn speak(speech: &Speech, folder: &Path, missing: &[&(String, String)], found: &mut Recordings) {
    if let Err(error) = std::fs::create_dir_all(folder) {
        let what = format!("cannot make the folder for spoken labels: {error}");
        return tell(&[Problem::warning(&folder.display().to_string(), None, what, "tones stand for them")]);
    }
    let mut spoken = 0;
    for (id, text) in missing {
        let file = match speech.say(folder, id, text) {
            Ok(file) => file,
            // It would fail the next label too, perhaps after as long a wait.
            Err(why) => {
                let left = missing.len() - spoken;
                aside!("warning: `{}` does not say `{text}`: {why}; tones stand for {left} labels", speech.name);
                break;
            }
        };
        match store::recording(&file) {
            Ok(recording) => {
                found.0.insert(id.clone(), recording);
                spoken += 1;
            }
            Err(problem) => {
                let why = problem.what;
                aside!("warning: `{}` does not say `{text}`: {why}; a tone stands for it", speech.name);
            }
        }
    }
    say!("        {spoken} spoken by {}; a recording of the same name takes its place", speech.name);
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use crate::session::Plan;
    use crate::store::let_run;

    #[test]
    fn a_sound_of_a_later_block_opens_the_device() {
        let prepared = |volume: i64| {
            let protocol = serde_json::json!({
                "format": "pacewright protocol", "version": 1, "name": "by ear", "menu": "six",
                "blocks": [{"kind": "timed-press"}, {"kind": "timed-press", "settings": {"volume": volume}}],
            });
            let protocol = serde_json::from_value(protocol).unwrap();
            let settings = Settings::default().with(crate::settings::Id::Volume, 0);
            let menu = crate::menu::shipped::find("six").unwrap();
            prepare(Path::new("/nowhere"), &Session::new(Plan { protocol, menu, settings, seed: 1 }))
        };
        assert_eq!((prepared(0), prepared(30)), (None, Some(Recordings::default())));
    }

    #[test]
    fn a_speech_program_that_fails_is_asked_once() {
        let folder = tempfile::tempdir().unwrap();
        let program = folder.path().join("espeak-ng");
        std::fs::write(&program, "#!/bin/sh\necho asked >> \"$0.log\"\nexit 1\n").unwrap();
        let_run(&program).unwrap();
        let speech = speech::find(&folder.path().as_os_str().to_owned()).unwrap();
        let labels = ["lamp", "radio", "door"].map(|id| (id.to_string(), id.to_string()));
        let mut found = Recordings::default();
        speak(&speech, &folder.path().join(SPOKEN), &labels.iter().collect::<Vec<_>>(), &mut found);
        let asked = std::fs::read_to_string(folder.path().join("espeak-ng.log")).unwrap();
        assert_eq!((asked.lines().count(), found), (1, Recordings::default()));
    }
}
