//! Every word of the desk, in one file a language: `trials/words`.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use crate::advice::recommendation::Sure;
use crate::settings::{Id, Kind, show_evenly};

/// Where a word stands among those of a language.
type Place = fn(&mut Words) -> &mut String;

macro_rules! words {
    ($($name:ident),* $(,)?) => {
        /// The words of one language; each field is named after what its English text says.
        #[derive(Default)]
        #[allow(missing_docs)] // Each field is described by its own text in `trials/words/english.json`.
        pub struct Words {
            $(pub $name: String,)*
            /// Labels of settings by their names in files; those that are not here keep that of the registry.
            pub labels: BTreeMap<String, String>,
        }

        /// Every word by its name. A derived reader of so many fields takes the compiler many minutes.
        const PLACES: &[(&str, Place)] = &[$((stringify!($name), |words| &mut words.$name)),*];
    };
}

words! {
    language, clients, prepare, findings, at_home, progress, report, trial, now, next, new_client, code, code_hint,
    enter, open, close_client, last_visit, review, overdue, not_set, set_ups, sessions, presses_right, outcome,
    none_yet, archive, take_back, show_archived, delete, delete_what, delete_type, delete_now, keep, data_folder,
    search, invented, damaged, damaged_counts, damaged_lost, damaged_check, unreadable, not_saved, try_again, closing,
    closing_unsaved, closing_stay, closing_anyway, closing_folder, closing_elsewhere, closing_back, file_damaged,
    broken_off, reason, agreed, research, not_asked, yes, no, stop, signs, help_today, contact, may_be_empty,
    direct_way, outcome_scanning, outcome_direct, outcome_none, no_scanning, direct_how, circumstances, breathing,
    vision, hearing, communication, since_rest, since_medication, essentials, volition, safety, ease, positions,
    previous, options_tried, support_needed, set_up, add_set_up, site, side, switch, switch_by, by_working, by_keys,
    by_axis, by_emulator, by_sound, by_axis_named, by_keys_how, by_axis_how, by_emulator_how, by_sound_how, by_field,
    by_field_how,
    breath_unsuitable, mounting, position, screen_distance, screen_width, low_vision, menu, menu_of_protocol,
    menu_own, menu_anew, menu_add, menu_new_item, menu_refused, menu_not_kept, label, asked_as, use_weight, by_risk,
    confirming, own_page, step_sooner, step_later, step_into, step_out, step_own_group, items_on_menu, settings,
    settings_of_protocol, settings_of_sheet, settings_unchanged, settings_all, review_on, changing, review_stable,
    review_changing, goals, add_goal, goal, goal_today, weight, before, reached, remove, t_score, cautions,
    caution_alone, caution_skin, caution_dysreflexia, caution_rest, caution_mouth, caution_real, protocol, asks_for,
    asks_presses, asks_minutes, begin_trial, switch_check, check_how, check_now, check_again, skip, to_trial,
    switch_known, switch_unknown, learn_again, board_how, board_open, board_opens, board_mine, asked_for, lit_now,
    scan_rate, from_next_trial, on_task, rest_due, trials_left, last_latency, hits, early, late, wrong_item,
    omissions, extra, others, not_counted, not_heard, desk_keys, mouse_is_switch, go_on, pause, slower_scan,
    faster_scan, skip_block, my_presses, end_trial, mark, helped_words, helped_touch, leave_out, came_between, cough,
    suction, spasm, talk, care, remark, remark_tired, remark_moved, remark_position, remark_pain, remark_write,
    remark_note, remark_away, remark_hint, remark_waits, remark_pause, remark_lost, effort, discomfort, dizziness,
    preference, broke_off, saved_trials, go_on_with, leave_it, next_switch, next_watch, next_broken_off,
    set_up_missing, no_sessions, reading, what_to_set, what_to_watch, how_sure, sure_guess, sure_fair, sure_good,
    evidence, accept, adjust, reject, why, accepted, adjusted, rejected, undecided, confirm_block, contradictory,
    controller_intro, controller_name, offers_hint, advised, as_decided, setting, value_off, value_no_limit,
    carried_over, taken, exact, slower, faster, fewer, lacking, other_way, way_round, needs_advice, what_if,
    what_if_model, current, tried, a_choice, takes_time, wrong_choices, switch_hits, never_right, found_by,
    by_formula, by_simulation, back_to_advised, run_tried, predicted_again, median_latency, one_session, write_report,
    report_session, papers, paper_carer, paper_funder, paper_sections, write_paper, preview, paper_language,
    paper_for, paper_person, paper_date, paper_review, paper_invented, paper_in_english, paper_own_words,
    paper_limits, paper_signature, paper_sign_here, paper_measures, carer_title, carer_where, carer_body, carer_held,
    carer_lies, carer_settings, carer_undecided, carer_value, carer_works, carer_works_automatic, carer_works_held,
    carer_works_inverse, carer_fails, carer_check_switch, carer_check_plug, carer_check_position, carer_check_well,
    carer_stop, carer_stop_wish, carer_stop_skin, carer_stop_cord, carer_says, carer_call, carer_help,
    carer_questions, carer_about, carer_measured, carer_origin, funder_title, funder_goals, funder_today,
    funder_t_score, funder_other_ways, funder_no_direct, funder_direct, funder_no_switch, funder_measured,
    funder_not_enough, funder_interval, funder_trials, funder_compared, funder_decisions, funder_day, funder_decided,
    funder_reason, funder_costs, funder_interest, funder_way, funder_equipment, funder_upkeep, funder_help,
    funder_all, funder_support, funder_carers, funder_reviewed, funder_not_there, outcome_found, outcome_tried,
    outcome_today, outcome_only_today, outcome_next, outcome_help, after_direct_tasks, after_direct_fails,
    after_direct_back, after_none_again, after_none_position, after_none_help, after_none_date, interest, costs,
    add_way, price, years, upkeep, help_hours, hour, per_year, not_certified, no_screen_reader, look_light, look_dark,
    next_open, next_prepare, next_trial, next_findings, next_home, next_report, next_direct, next_none, practice,
    practice_begin, practice_help, practice_person, practice_second, practice_steps, practice_goal, practice_improve,
    practice_keep, practice_minutes, practice_success, practice_shortest, practice_longest, practice_locked,
    practice_write, practice_pack,
}

/// A language that the desk speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Language {
    /// English.
    #[default]
    English,
    /// German.
    German,
}

impl Language {
    /// All of them.
    pub const ALL: [Language; 2] = [Language::English, Language::German];

    fn text(self) -> &'static str {
        match self {
            Language::English => include_str!("../../trials/words/english.json"),
            Language::German => include_str!("../../trials/words/german.json"),
        }
    }
}

impl Words {
    /// The words of `language`, which are read once.
    ///
    /// # Panics
    /// When a shipped file lacks a word: a fault of this program that its tests find.
    #[must_use]
    pub fn of(language: Language) -> &'static Words {
        static READ: [OnceLock<Words>; Language::ALL.len()] = [const { OnceLock::new() }; Language::ALL.len()];
        let read = || Words::read(language.text()).expect("every shipped language has every word");
        READ[language as usize].get_or_init(read)
    }

    /// All words of one file; else which one is missing, empty or not known.
    fn read(text: &str) -> Result<Words, String> {
        let mut all: Map<String, Value> = serde_json::from_str(text).map_err(|error| error.to_string())?;
        let labels = all.remove("labels").unwrap_or_else(|| Value::Object(Map::new()));
        let labels = serde_json::from_value(labels).map_err(|error| format!("`labels`: {error}"))?;
        let mut words = Words { labels, ..Words::default() };
        for (name, place) in PLACES {
            match all.remove(*name) {
                Some(Value::String(text)) if !text.is_empty() => *place(&mut words) = text,
                _ => return Err(format!("`{name}` is missing or empty")),
            }
        }
        match all.keys().next() {
            Some(name) => Err(format!("`{name}` is no word of the desk")),
            None => Ok(words),
        }
    }

    /// A value of a setting, for people.
    #[must_use]
    pub fn value_of(&self, id: Id, raw: i64) -> String {
        let shown = show_evenly(id, raw);
        match id.setting().kind {
            Kind::Choice(_) => self.choice_of(id, &shown).into(),
            Kind::OptionalTime { .. } if raw == 0 => self.value_off.clone(),
            Kind::Count { unlimited: true, .. } if raw == 0 => self.value_no_limit.clone(),
            _ => shown,
        }
    }

    /// What a choice of a setting is called, by its name in files.
    #[must_use]
    pub fn choice_of<'a>(&'a self, id: Id, name: &'a str) -> &'a str {
        let Kind::Choice(known) = id.setting().kind else { return name };
        let label = known.iter().find(|(one, _)| *one == name).map_or(name, |(_, label)| label);
        self.labels.get(&format!("{}={name}", id.setting().name)).map_or(label, String::as_str)
    }

    /// How sure a recommendation is.
    #[must_use]
    pub fn sure(&self, sure: Sure) -> &str {
        match sure {
            Sure::Guess => &self.sure_guess,
            Sure::Fair => &self.sure_fair,
            Sure::Good => &self.sure_good,
        }
    }

    /// The sentences of the advice are English; where these words are not, that is said.
    #[must_use]
    pub fn in_english(&self) -> &str {
        if self.paper_language.starts_with("en") { "" } else { &self.paper_in_english }
    }

    /// What a setting is called.
    #[must_use]
    pub fn label_of(&self, id: Id) -> &str {
        let setting = id.setting();
        self.labels.get(setting.name).map_or(setting.label, String::as_str)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_language_has_every_word_and_no_other() {
        for language in Language::ALL {
            assert!(Words::read(language.text()).is_ok(), "{language:?}: {:?}", Words::read(language.text()).err());
        }
    }

    #[test]
    fn a_word_that_is_missing_empty_or_not_known_is_named() {
        let english = Language::English.text();
        let read = |from: &str, to: &str| Words::read(&english.replacen(from, to, 1)).err().unwrap_or_default();
        assert_eq!(read("\"clients\":", "\"guests\":"), "`clients` is missing or empty");
        assert_eq!(read("\"clients\": \"Clients\"", "\"clients\": \"\""), "`clients` is missing or empty");
        assert_eq!(read("\"clients\":", "\"guests\": \"\", \"clients\":"), "`guests` is no word of the desk");
    }

    #[test]
    fn labels_of_settings_are_those_of_settings_that_are_there() {
        for language in Language::ALL {
            for label in Words::of(language).labels.keys() {
                let (name, choice) = label.split_once('=').unwrap_or((label, ""));
                let id = crate::settings::find(name).unwrap_or_else(|error| panic!("{language:?}: {error}"));
                let known = |kind| matches!(kind, Kind::Choice(known) if known.iter().any(|(one, _)| *one == choice));
                assert!(choice.is_empty() || known(id.setting().kind), "{language:?}: {label}");
            }
        }
        let label = |language| Words::of(language).label_of(Id::Hold);
        assert_eq!((label(Language::English), label(Language::German)), ("Hold time", "Haltezeit"));
        let value = |language, id, raw| Words::of(language).value_of(id, raw);
        assert_eq!(value(Language::English, Id::ItemTaken, 0), "the item lit when the press is accepted");
        assert_eq!(value(Language::German, Id::LockoutFrom, 0), "vom Loslassen an");
        assert_eq!(value(Language::German, Id::LoopsTop, 0), "ohne Grenze");
        assert_eq!(value(Language::German, Id::LongPress, 0), "aus");
    }
}
