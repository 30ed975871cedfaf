//! Which sound follows from which record.

use std::cell::LazyCell;
use std::ops::Deref;

use crate::engine::effect::{Effect, Lit};
use crate::session::Session;
use crate::session::event::Event;
use crate::session::input::Sound;
use crate::session::record::{Record, What};
use crate::session::said::CUE;
use crate::settings::{Id, Labels, Settings};
use crate::time::Moment;

/// One sound to come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cue {
    /// When what it stands for happens.
    pub due: Moment,
    /// What is heard, unless there is a label.
    pub sound: Sound,
    /// Id of the label to be spoken instead, where there is one.
    pub label: Option<String>,
    /// How loud, in thousandths.
    pub volume: u16,
}

/// The sounds that follow from what a session has just done. Of several highlights in one go only the last one
/// sounds: the others are gone.
#[must_use]
pub fn cues(session: &Session, records: &[Record]) -> Vec<Cue> {
    let highlight = |record: &Record| matches!(record.what, What::Effect(Effect::Highlight { .. }));
    // Of the records of a pointer or a level hardly any sounds, and making up the settings takes its time.
    let settings = LazyCell::new(|| session.settings_heard());
    let last = records.iter().rposition(highlight);
    let stays = |(place, record): &(usize, &Record)| !highlight(record) || Some(*place) == last;
    records
        .iter()
        .enumerate()
        .filter(stays)
        .filter_map(|(_, record)| cue(session, &settings, record))
        .filter(|cue| wanted(&settings, cue.sound))
        .collect()
}

fn cue(session: &Session, settings: &impl Deref<Target = Settings>, record: &Record) -> Option<Cue> {
    let volume = || settings.raw(Id::Volume) as u16;
    let plain = |sound| Some(Cue { due: record.at, sound, label: None, volume: volume() });
    match &record.what {
        What::Effect(Effect::Highlight { due, lit: lit @ Lit::Entry { .. }, .. }) => {
            Some(Cue { volume: volume(), ..highlight(session, settings.labels(), *due, *lit) })
        }
        What::Effect(Effect::Taken { .. } | Effect::Entered { .. }) => {
            plain(if session.chose_wrong() && settings.error_sound() { Sound::Error } else { Sound::Select })
        }
        // Where nothing is scanned, a lamp or a strip answers each press.
        What::Effect(Effect::Activated(_)) if session.only_answers() => plain(Sound::Select),
        What::Event(Event::TrialBegan { target, .. }) => {
            let label = (settings.labels() == Labels::Spoken).then(|| format!("{CUE}{target}"));
            Some(Cue { due: record.at, sound: Sound::Cue, label, volume: volume() })
        }
        // It is seen too: the thing in the home has changed.
        What::Event(Event::Distracted { .. }) => plain(Sound::Distraction),
        _ => None,
    }
}

fn highlight(session: &Session, labels: Labels, due: Moment, lit: Lit) -> Cue {
    let said = session.said(lit);
    let (position, of) = (said.position, said.of);
    let (sound, label) = match labels {
        Labels::Off => (Sound::Step, None),
        Labels::Tones => (Sound::Place { position, of }, None),
        Labels::Spoken => (Sound::Place { position, of }, said.id),
    };
    Cue { due, sound, label, volume: 0 }
}

fn wanted(settings: &Settings, sound: Sound) -> bool {
    match sound {
        Sound::Step => settings.step_sound(),
        Sound::Select => settings.select_sound(),
        Sound::Cue => settings.cue_sound(),
        Sound::Distraction => audible(settings),
        Sound::Error | Sound::Place { .. } => true,
    }
}

/// Whether these settings let anything be heard.
#[must_use]
pub fn audible(settings: &Settings) -> bool {
    let on = [settings.step_sound(), settings.select_sound(), settings.cue_sound(), settings.error_sound()];
    settings.raw(Id::Volume) > 0 && (on.contains(&true) || settings.labels() != Labels::Off)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::tree::{EntryIx, GroupIx};
    use crate::session::Plan;
    use crate::session::input::Input;
    use serde_json::json;

    fn session(changes: &[(Id, i64)]) -> Session {
        session_of(false, changes)
    }

    fn session_of(distractions: bool, changes: &[(Id, i64)]) -> Session {
        let protocol = json!({
            "format": "pacewright protocol", "version": 1, "name": "short", "menu": "six",
            "blocks": [{"kind": "menu-tasks", "tasks": [["lamp-on"]], "distractions": distractions}],
        });
        let settings = changes.iter().fold(Settings::default(), |settings, (id, raw)| settings.with(*id, *raw));
        Session::new(Plan {
            protocol: serde_json::from_value(protocol).unwrap(),
            menu: crate::menu::shipped::find("six").unwrap(),
            settings,
            seed: 1,
        })
    }

    /// What is heard from the hand-over on, for so long, with a press at each of these instants.
    fn heard(session: &mut Session, presses: &[u64], until: u64) -> Vec<(u64, String)> {
        let mut all = Vec::new();
        let mut take = |session: &mut Session, at: u64, input: Option<Input>| {
            let mut out = Vec::new();
            match input {
                Some(input) => session.input(Moment(at), input, &mut out),
                None => session.advance(Moment(at), &mut out),
            }
            for cue in cues(session, &out) {
                let label = cue.label.map(|label| format!(" {label}")).unwrap_or_default();
                all.push((cue.due.0 / 1_000, format!("{:?}{label}", cue.sound)));
            }
            let number = session.scene().number;
            session.input(Moment(at), Input::Shown { number }, &mut Vec::new());
        };
        take(session, 0, Some(Input::MyPresses { on: false }));
        for ms in 1..until {
            if presses.contains(&ms) {
                let edge = |down| Input::Edge { switch: crate::engine::effect::Switch(0), down };
                take(session, ms * 1_000, Some(edge(true)));
                take(session, ms * 1_000 + 500, Some(edge(false)));
            }
            take(session, ms * 1_000, None);
        }
        all
    }

    #[test]
    fn by_default_the_cue_and_the_press_are_heard_and_the_steps_are_not() {
        // The cue stands for 3 s, the first item for another 3.
        let all = heard(&mut session(&[]), &[3_500], 4_000);
        assert_eq!(all, [(0, "Cue".to_string()), (3_500, "Select".to_string())]);
    }

    #[test]
    fn steps_are_heard_when_the_schedule_wants_them() {
        let all = heard(&mut session(&[(Id::StepSound, 1), (Id::CueSound, 0)]), &[], 9_000);
        assert_eq!(all, [(3_000, "Step".to_string()), (6_000, "Step".to_string()), (8_000, "Step".to_string())]);
    }

    #[test]
    fn places_have_a_pitch_or_a_label_and_the_cue_can_be_spoken() {
        let place = |position| format!("{:?}", Sound::Place { position, of: 6 });
        let tones = heard(&mut session(&[(Id::Labels, 1)]), &[], 6_500);
        assert_eq!(tones, [(0, "Cue".to_string()), (3_000, place(0)), (6_000, place(1))]);
        let spoken = heard(&mut session(&[(Id::Labels, 2)]), &[], 6_500);
        let items: Vec<&str> = spoken.iter().filter_map(|(_, words)| words.split("} ").nth(1)).collect();
        let menu = crate::menu::shipped::find("six").unwrap();
        let ids: Vec<String> = menu.items().iter().map(|item| item.id.clone()).collect();
        assert_eq!((spoken[0].1.as_str(), items), ("Cue cue-lamp-on", ids[..2].iter().map(String::as_str).collect()));
    }

    #[test]
    fn a_wrong_choice_is_told_only_where_that_is_wanted() {
        let sounds = |error| heard(&mut session(&[(Id::ErrorSound, error)]), &[3_500], 4_000)[1].1.clone();
        assert_eq!((sounds(0).as_str(), sounds(1).as_str()), ("Select", "Error"));
    }

    #[test]
    fn what_distracts_is_heard_once_where_anything_is_heard() {
        let all = heard(&mut session_of(true, &[]), &[], 12_000);
        let distractions: Vec<u64> =
            all.iter().filter(|(_, sound)| sound == "Distraction").map(|(at, _)| *at).collect();
        assert!(matches!(distractions[..], [at] if (1_500..9_000).contains(&at)), "{all:?}");
        let silent = [(Id::SelectSound, 0), (Id::CueSound, 0)];
        assert_eq!(heard(&mut session_of(true, &silent), &[], 12_000), []);
        assert!(heard(&mut session(&[]), &[], 12_000).iter().all(|(_, sound)| sound != "Distraction"));
    }

    #[test]
    fn only_the_last_of_several_highlights_in_one_go_is_heard() {
        let mut session = session(&[(Id::StepSound, 1)]);
        let mut out = Vec::new();
        session.input(Moment(0), Input::MyPresses { on: false }, &mut out);
        let lit = |entry| Lit::Entry { group: GroupIx(0), entry: EntryIx(entry), pass: 0 };
        let effect = |entry: u16| Effect::Highlight { number: 1, due: Moment(u64::from(entry)), lit: lit(entry) };
        let record = |entry| Record { at: Moment(9), what: What::Effect(effect(entry)) };
        let due: Vec<Moment> = cues(&session, &[record(1), record(2)]).into_iter().map(|cue| cue.due).collect();
        assert_eq!(due, [Moment(2)]);
    }

    #[test]
    fn at_no_volume_or_with_all_off_nothing_is_audible() {
        let quiet = Settings::default().with(Id::SelectSound, 0).with(Id::CueSound, 0);
        assert!(audible(&Settings::default()) && !audible(&quiet) && audible(&quiet.clone().with(Id::Labels, 1)));
        assert!(!audible(&Settings::default().with(Id::Volume, 0)));
    }
}
