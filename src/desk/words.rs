//! Every word of the desk, in one file a language: `trials/words`.

use serde::{Deserialize, Serialize};

macro_rules! words {
    ($($name:ident),* $(,)?) => {
        /// The words of one language; each field is named after what its English text says.
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
        #[serde(deny_unknown_fields)]
        #[allow(missing_docs)] // Each field is described by its own text in `trials/words/english.json`.
        pub struct Words { $(pub $name: String),* }
    };
}

words! {
    language,
    clients,
    prepare,
    findings,
    at_home,
    progress,
    report,
    trial,
    now,
    next,
    new_client,
    code,
    code_hint,
    enter,
    open,
    close_client,
    last_visit,
    review,
    overdue,
    not_set,
    set_ups,
    sessions,
    presses_right,
    outcome,
    none_yet,
    archive,
    take_back,
    show_archived,
    delete,
    delete_what,
    delete_type,
    delete_now,
    keep,
    data_folder,
    search,
    invented,
    damaged,
    unreadable,
    broken_off,
    reason,
    agreed,
    research,
    not_asked,
    yes,
    no,
    stop,
    signs,
    help_today,
    contact,
    may_be_empty,
    direct_way,
    outcome_scanning,
    outcome_direct,
    outcome_none,
    no_scanning,
    direct_how,
    circumstances,
    breathing,
    vision,
    hearing,
    communication,
    since_rest,
    since_medication,
    essentials,
    volition,
    safety,
    ease,
    positions,
    previous,
    options_tried,
    support_needed,
    set_up,
    add_set_up,
    site,
    side,
    switch,
    mounting,
    position,
    screen_distance,
    screen_width,
    low_vision,
    menu,
    menu_of_protocol,
    menu_own,
    menu_anew,
    menu_add,
    menu_new_item,
    label,
    asked_as,
    use_weight,
    by_risk,
    confirming,
    own_page,
    step_sooner,
    step_later,
    step_into,
    step_out,
    step_own_group,
    items_on_menu,
    settings,
    settings_of_protocol,
    settings_of_sheet,
    settings_unchanged,
    settings_all,
    review_on,
    changing,
    review_stable,
    review_changing,
    goals,
    add_goal,
    goal,
    goal_today,
    weight,
    before,
    reached,
    remove,
    t_score,
    cautions,
    caution_alone,
    caution_skin,
    caution_dysreflexia,
    caution_rest,
    caution_mouth,
    caution_real,
    protocol,
    asks_for,
    begin_trial,
    set_up_missing,
    no_sessions,
    reading,
    what_to_set,
    what_to_watch,
    how_sure,
    evidence,
    accept,
    adjust,
    reject,
    why,
    accepted,
    adjusted,
    rejected,
    undecided,
    confirm_block,
    controller_intro,
    controller_name,
    offers_hint,
    advised,
    taken,
    exact,
    slower,
    faster,
    lacking,
    other_way,
    way_round,
    needs_advice,
    what_if,
    what_if_model,
    current,
    tried,
    a_choice,
    takes_time,
    wrong_choices,
    switch_hits,
    never_right,
    found_by,
    by_formula,
    by_simulation,
    back_to_advised,
    run_tried,
    predicted_again,
    median_latency,
    write_report,
    report_session,
    papers,
    paper_carer,
    paper_funder,
    paper_sections,
    write_paper,
    preview,
    interest,
    costs,
    add_way,
    price,
    years,
    upkeep,
    help_hours,
    hour,
    per_year,
    not_certified,
    no_screen_reader,
    look_light,
    look_dark,
    next_open,
    next_prepare,
    next_trial,
    next_findings,
    next_home,
    next_report,
    next_direct,
    next_none,
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
    /// The words of `language`.
    ///
    /// # Panics
    /// When a shipped file lacks a word: a fault of this program that its tests find.
    #[must_use]
    pub fn of(language: Language) -> Words {
        serde_json::from_str(language.text()).expect("every shipped language has every word")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_language_has_every_word_and_none_is_empty() {
        for language in Language::ALL {
            let words = serde_json::to_value(Words::of(language)).unwrap();
            let empty = words.as_object().unwrap().iter().find(|(_, text)| text.as_str().unwrap().is_empty());
            assert_eq!(empty, None, "{language:?}");
        }
    }
}
