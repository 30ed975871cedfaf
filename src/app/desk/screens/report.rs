//! The reports: of a session; papers for others; the costs that stand in one of them.

use egui::{Grid, Ui};

use super::papers;
use crate::app::desk::parts::{aside, card, heading, strong};
use crate::app::desk::state::{Desk, Visit, Wish};
use crate::desk::cost::Way;
use crate::desk::words::Words;

/// Its name.
pub const NAME: &str = "report";

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    papers::show(ui, desk);
    let words = desk.words;
    let wishes = of_sessions(ui, desk);
    desk.wishes.extend(wishes);
    let Some(visit) = &mut desk.visit else { return };
    costs(ui, words, visit, &mut desk.typed.interest);
}

/// The reports of the client's sessions, newest first.
fn of_sessions(ui: &mut Ui, desk: &Desk) -> Vec<Wish> {
    let (words, mut wishes) = (desk.words, Vec::new());
    heading(ui, &words.report_session);
    let code = desk.visit.as_ref().map_or("", |visit| visit.code.as_str());
    if desk.sessions(code) == 0 {
        aside(ui, &words.no_sessions);
    }
    for (log, entry) in desk.sessions_of(code).rev() {
        ui.horizontal_wrapped(|ui| {
            let day: String =
                entry.began.chars().take(16).map(|letter| if letter == 'T' { ' ' } else { letter }).collect();
            ui.label(format!("{day} · {}", entry.protocol));
            if entry.damaged {
                ui.label(strong(&words.damaged));
            } else if !entry.ended {
                ui.label(strong(&words.broken_off));
            }
            if ui.button(&words.write_report).clicked() {
                wishes.push(Wish::Report(log.to_string()));
            }
        });
    }
    wishes
}

fn costs(ui: &mut Ui, words: &Words, visit: &mut Visit, interest: &mut f64) {
    heading(ui, &words.costs);
    ui.horizontal(|ui| {
        ui.label(&words.interest);
        ui.add(egui::DragValue::new(interest).range(0.0..=50.0).speed(0.1));
    });
    let mut gone = None;
    for (place, way) in visit.person.costs.iter_mut().enumerate() {
        card(ui, |ui| {
            if one_way(ui, words, place, way, *interest / 100.0) {
                gone = Some(place);
            }
        });
    }
    if let Some(place) = gone {
        visit.person.costs.remove(place);
    }
    if ui.button(&words.add_way).clicked() {
        visit.person.costs.push(Way::default());
    }
}

/// One way with its figures; whether it is to go.
fn one_way(ui: &mut Ui, words: &Words, place: usize, way: &mut Way, interest: f64) -> bool {
    ui.add(egui::TextEdit::singleline(&mut way.name).hint_text(&words.add_way));
    let figures = [
        (&words.price, &mut way.price),
        (&words.years, &mut way.years),
        (&words.upkeep, &mut way.upkeep),
        (&words.help_hours, &mut way.help_hours),
        (&words.hour, &mut way.hour),
    ];
    Grid::new(("way", place)).num_columns(2).show(ui, |ui| {
        for (word, figure) in figures {
            let label = ui.label(word);
            ui.add(egui::DragValue::new(figure).range(0.0..=1e9)).labelled_by(label.id);
            ui.end_row();
        }
    });
    match way.yearly(interest) {
        Ok(year) => ui.label(strong(format!("{}: {:.0}", words.per_year, year.total()))),
        Err(why) => ui.label(why),
    };
    ui.small_button(&words.remove).clicked()
}
