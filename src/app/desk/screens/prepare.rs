//! Before any switch: why, who agreed, signs, help, circumstances, set-up, goals. Everything may be skipped.

use egui::{Align, Layout, RichText, Ui, Vec2};

use super::findings::sheet;
use super::{menu, setting, switch_by};
use crate::analysis::set_ups;
use crate::app::desk::parts::{aside, asked, card, heading, strong};
use crate::app::desk::state::{Desk, Found, Visit};
use crate::desk::goals::{Goal, scores};
use crate::desk::person::Outcome;
use crate::desk::words::Words;
use crate::session::setup::Setup;
use crate::settings::Settings;

/// Its name.
pub const NAME: &str = "prepare";

/// A field of a set-up with its label above it.
const FIELD: Vec2 = Vec2::new(170.0, 50.0);

/// Notes that are kept by the name of their question.
const CIRCUMSTANCES: [&str; 4] = ["vision", "hearing", "communication", "breathing"];
const ESSENTIALS: [&str; 7] = ["volition", "safety", "ease", "positions", "previous", "options", "support"];

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words;
    let today = desk.today.clone();
    let Some(visit) = &mut desk.visit else { return };
    first(ui, words, visit);
    direct_way(ui, words, visit);
    set_up(ui, words, visit);
    menu::show(ui, words, visit);
    let last = last_sheet(visit);
    setting::form(ui, words, visit, last.as_ref());
    notes(ui, words, visit, &words.circumstances, &CIRCUMSTANCES);
    notes(ui, words, visit, &words.essentials, &ESSENTIALS);
    goals(ui, words, visit);
    review(ui, words, visit, &today);
    cautions(ui, words);
}

/// The values that were decided last, as a starting point.
fn last_sheet(visit: &Visit) -> Option<Settings> {
    let Found::Here(overview, seen) = &visit.found else { return None };
    sheet(&visit.person, overview.set_ups.get(visit.set_up)?, seen)
}

fn first(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    heading(ui, &format!("{} {}", words.prepare, visit.code));
    aside(ui, &words.may_be_empty);
    let person = &mut visit.person;
    asked(ui, &words.reason, &mut person.reason, 3);
    asked(ui, &words.agreed, &mut person.agreed, 1);
    ui.label(&words.signs);
    ui.horizontal_wrapped(|ui| {
        let signs = &mut person.signs;
        for (word, sign) in [(&words.yes, &mut signs.yes), (&words.no, &mut signs.no), (&words.stop, &mut signs.stop)] {
            let label = ui.label(word);
            ui.add(egui::TextEdit::singleline(sign).desired_width(130.0)).labelled_by(label.id);
        }
    });
    asked(ui, &words.help_today, &mut person.help, 1);
    asked(ui, &words.contact, &mut person.contact, 1);
    ui.label(&words.research);
    ui.horizontal_wrapped(|ui| {
        for (value, word) in [(None, &words.not_asked), (Some(true), &words.yes), (Some(false), &words.no)] {
            ui.radio_value(&mut person.research, value, word);
        }
    });
}

fn direct_way(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    heading(ui, &words.direct_way);
    let outcome = &mut visit.person.outcome;
    ui.radio_value(outcome, Outcome::NotAsked, &words.not_asked);
    ui.radio_value(outcome, Outcome::Scanning, &words.outcome_scanning);
    ui.radio_value(outcome, Outcome::DirectWay, &words.outcome_direct);
    ui.radio_value(outcome, Outcome::NoReliableSwitch, &words.outcome_none);
    note(ui, visit, "direct", &words.direct_how);
}

fn set_up(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    heading(ui, &words.set_up);
    let set_ups = &mut visit.person.set_ups;
    let mut gone = None;
    for (place, setup) in set_ups.iter_mut().enumerate() {
        card(ui, |ui| {
            ui.horizontal(|ui| {
                ui.radio_value(&mut visit.chosen, place, strong(set_ups::name(setup)));
                if ui.small_button(&words.remove).clicked() {
                    gone = Some(place);
                }
            });
            fields(ui, words, setup);
            switch_by::show(ui, words, setup);
            screen(ui, words, setup);
        });
    }
    if let Some(place) = gone {
        set_ups.remove(place);
    }
    if ui.button(&words.add_set_up).clicked() {
        visit.chosen = set_ups.len();
        set_ups.push(Setup::default());
    }
    visit.chosen = visit.chosen.min(set_ups.len().saturating_sub(1));
}

fn fields(ui: &mut Ui, words: &Words, setup: &mut Setup) {
    let fields = [
        (&words.switch, &mut setup.switch),
        (&words.side, &mut setup.side),
        (&words.site, &mut setup.site),
        (&words.mounting, &mut setup.mounting),
        (&words.position, &mut setup.position),
        (&words.breathing, &mut setup.breathing),
        (&words.since_rest, &mut setup.since_rest),
        (&words.since_medication, &mut setup.since_medication),
    ];
    ui.horizontal_wrapped(|ui| {
        for (word, value) in fields {
            // Of a size that is known ahead, so that what does not fit goes to the next line.
            ui.allocate_ui_with_layout(FIELD, Layout::top_down(Align::Min), |ui| {
                let label = ui.label(RichText::new(word).weak());
                ui.add(egui::TextEdit::singleline(value).desired_width(FIELD.x)).labelled_by(label.id);
            });
        }
    });
}

/// Where the screen stands, and how the board looks on it.
fn screen(ui: &mut Ui, words: &Words, setup: &mut Setup) {
    ui.horizontal_wrapped(|ui| {
        let millimetres = [
            (&words.screen_distance, &mut setup.screen_distance_mm),
            (&words.screen_width, &mut setup.screen_width_mm),
        ];
        for (word, value) in millimetres {
            let label = ui.label(RichText::new(word).weak());
            ui.add(egui::DragValue::new(value).range(0..=10_000).suffix(" mm").speed(5)).labelled_by(label.id);
        }
        ui.checkbox(&mut setup.low_vision, &words.low_vision);
    });
}

fn notes(ui: &mut Ui, words: &Words, visit: &mut Visit, title: &str, questions: &[&str]) {
    heading(ui, title);
    questions.iter().for_each(|question| note(ui, visit, question, text(words, question)));
}

/// A question whose answer is kept by its name.
fn note(ui: &mut Ui, visit: &mut Visit, name: &str, question: &str) {
    let mut answer = visit.person.notes.remove(name).unwrap_or_default();
    asked(ui, question, &mut answer, 1);
    if !answer.is_empty() {
        visit.person.notes.insert(name.into(), answer);
    }
}

fn text<'a>(words: &'a Words, question: &str) -> &'a str {
    match question {
        "vision" => &words.vision,
        "hearing" => &words.hearing,
        "communication" => &words.communication,
        "breathing" => &words.breathing,
        "volition" => &words.volition,
        "safety" => &words.safety,
        "ease" => &words.ease,
        "positions" => &words.positions,
        "options" => &words.options_tried,
        "support" => &words.support_needed,
        _ => &words.previous,
    }
}

fn goals(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    heading(ui, &words.goals);
    let mut gone = None;
    for (place, goal) in visit.person.goals.iter_mut().enumerate() {
        card(ui, |ui| {
            asked(ui, &words.goal, &mut goal.text, 1);
            asked(ui, &words.goal_today, &mut goal.today, 1);
            ui.horizontal_wrapped(|ui| {
                ui.label(&words.weight);
                ui.add(egui::DragValue::new(&mut goal.weight).range(1..=9));
                level(ui, &words.before, &mut goal.before);
                level(ui, &words.reached, &mut goal.reached);
                if ui.small_button(&words.remove).clicked() {
                    gone = Some(place);
                }
            });
        });
    }
    if let Some(place) = gone {
        visit.person.goals.remove(place);
    }
    if ui.button(&words.add_goal).clicked() {
        visit.person.goals.push(Goal::fresh());
    }
    if let (Some(before), reached) = scores(&visit.person.goals) {
        let reached = reached.map_or_else(|| "–".into(), |score| format!("{score:.1}"));
        aside(ui, format!("{}: {before:.1} → {reached}", words.t_score));
    }
}

/// A level of attainment, or none.
fn level(ui: &mut Ui, word: &str, level: &mut Option<i8>) {
    ui.label(word);
    let shown = level.map_or_else(|| "–".to_string(), |level| format!("{level:+}"));
    egui::ComboBox::from_id_salt(ui.next_auto_id()).width(64.0).selected_text(shown).show_ui(ui, |ui| {
        ui.selectable_value(level, None, "–");
        for value in -2..=2 {
            ui.selectable_value(level, Some(value), format!("{value:+}"));
        }
    });
}

fn review(ui: &mut Ui, words: &Words, visit: &mut Visit, today: &str) {
    heading(ui, &words.review);
    ui.checkbox(&mut visit.person.changing, &words.changing);
    ui.horizontal_wrapped(|ui| {
        let label = ui.label(&words.review_on);
        ui.add(egui::TextEdit::singleline(&mut visit.person.review).desired_width(130.0)).labelled_by(label.id);
        let (word, days) =
            if visit.person.changing { (&words.review_changing, 28) } else { (&words.review_stable, 182) };
        if ui.button(word).clicked()
            && let Some(day) = crate::store::days_after(today, days)
        {
            visit.person.review = day;
        }
    });
}

fn cautions(ui: &mut Ui, words: &Words) {
    heading(ui, &words.cautions);
    for caution in [
        &words.caution_alone,
        &words.caution_skin,
        &words.caution_dysreflexia,
        &words.caution_rest,
        &words.caution_mouth,
        &words.caution_real,
    ] {
        ui.label(caution);
    }
}
