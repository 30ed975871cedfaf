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
    let settings = session.settings_heard();
    if !audible(&settings) {
        return None;
    }
    if settings.labels() != Labels::Spoken {
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
    warn_of_length(&found, &settings);
    Some(found)
}

/// A label has to end before the highlight moves on, a cue before the scan begins.
fn warn_of_length(found: &Recordings, settings: &Settings) {
    let is_cue = |id: &str| id.starts_with(CUE);
    let label = found.longest_s(|id| !is_cue(id));
    let remark = label.and_then(|label| consistency::label_outlasts(settings.scan_interval().as_seconds(), label));
    if let Some(remark) = remark {
        eprintln!("warning: {} {}", remark.text, remark.remedy);
    }
    let (lead, cue) = (settings.cue_lead().as_seconds(), found.longest_s(is_cue));
    if let Some(cue) = cue.filter(|cue| *cue > lead) {
        eprintln!(
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
        match speech.say(folder, id, text).and_then(|file| store::recording(&file).map_err(|problem| problem.what)) {
            Ok(recording) => {
                found.0.insert(id.clone(), recording);
                spoken += 1;
            }
            Err(why) => eprintln!("warning: `{}` does not say `{text}`: {why}; a tone stands for it", speech.name),
        }
    }
    say!("        {spoken} spoken by {}; a recording of the same name takes its place", speech.name);
}
