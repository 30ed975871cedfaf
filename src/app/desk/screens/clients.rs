//! The clients: who is due, who comes today.

use std::collections::BTreeSet;

use egui::{Grid, RichText, ScrollArea, Ui};

use crate::app::desk::parts::{aside, card, heading, main_button, strong};
use crate::app::desk::state::Desk;
use crate::app::desk::theme::VERMILLION;
use crate::code::ClientCode;
use crate::desk::person::{Outcome, Person, Verdict};
use crate::desk::words::Words;
use crate::settings::Id;

/// Its name.
pub const NAME: &str = "clients";

/// A line of the list.
struct Row {
    code: ClientCode,
    archived: bool,
    last: String,
    review: String,
    overdue: bool,
    sessions: usize,
    trials: u32,
    right: u32,
    set_ups: usize,
    outcome: String,
    invented: bool,
}

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    enter(ui, desk);
    let rows = rows(desk);
    if desk.no_folder.is_some() {
        // Said above.
    } else if desk.index.is_none() {
        aside(ui, &desk.words.reading);
    } else if rows.is_empty() {
        aside(ui, &desk.words.none_yet);
    }
    let archived = desk.people.values().any(|person| person.archived);
    if archived {
        ui.checkbox(&mut desk.typed.archived, desk.words.show_archived.clone());
    }
    unreadable(ui, desk);
    deleting(ui, desk);
    if !rows.is_empty() {
        list(ui, desk, &rows);
    }
}

/// Sessions of which nobody can tell whose they are: they are in no line of the list.
fn unreadable(ui: &mut Ui, desk: &Desk) {
    let sessions = desk.index.iter().flat_map(|index| &index.sessions);
    let lost: Vec<&str> = sessions.filter(|(_, entry)| entry.client.is_empty()).map(|(log, _)| log.as_str()).collect();
    if !lost.is_empty() {
        ui.label(RichText::new(format!("{}: {}", desk.words.unreadable, lost.join(", "))).color(VERMILLION));
    }
}

fn enter(ui: &mut Ui, desk: &mut Desk) {
    heading(ui, &desk.words.clients.clone());
    ui.horizontal_wrapped(|ui| {
        let label = ui.label(&desk.words.new_client);
        let hint = desk.words.code_hint.clone();
        let field = egui::TextEdit::singleline(&mut desk.typed.code).hint_text(hint).desired_width(300.0);
        let typed = ui.add(field).labelled_by(label.id);
        // Whoever opens the desk types a code, or looks for one.
        if ui.memory(|memory| memory.focused().is_none()) {
            typed.request_focus();
        }
        let done = typed.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
        let may = desk.may_enter();
        ui.add_enabled_ui(may, |ui| {
            if main_button(ui, &desk.words.enter).clicked() || may && done {
                new_client(desk);
            }
        });
        ui.separator();
        let label = ui.label(&desk.words.search);
        ui.add(egui::TextEdit::singleline(&mut desk.typed.search).desired_width(140.0)).labelled_by(label.id);
    });
}

fn new_client(desk: &mut Desk) {
    match desk.typed.code.trim().parse::<ClientCode>() {
        Err(error) => desk.wrong(error.to_string()),
        Ok(code) => {
            if let Some(warning) = code.warning() {
                desk.wrong(warning.to_string());
            }
            desk.typed.code.clear();
            desk.enter(code);
        }
    }
}

/// Overdue reviews first, then by code.
fn rows(desk: &Desk) -> Vec<Row> {
    let known = desk.by_client.keys().chain(desk.people.keys()).chain(desk.damaged.keys());
    let codes: BTreeSet<&str> = known.map(String::as_str).collect();
    let wanted = desk.typed.search.trim().to_lowercase();
    let shown =
        |row: &Row| (desk.typed.archived || !row.archived) && row.code.as_str().to_lowercase().contains(&wanted);
    let mut rows: Vec<Row> = codes.into_iter().filter_map(|code| row(desk, code)).filter(shown).collect();
    rows.sort_by_key(|row| (!row.overdue, row.code.clone()));
    rows
}

fn row(desk: &Desk, code: &str) -> Option<Row> {
    let fresh = Person::default();
    let person = desk.people.get(code).unwrap_or(&fresh);
    let sessions: Vec<_> = desk.sessions_of(code).map(|(_, entry)| entry).collect();
    Some(Row {
        code: code.parse().ok()?,
        archived: person.archived,
        last: sessions.last().map(|entry| entry.began.chars().take(10).collect()).unwrap_or_default(),
        overdue: !person.review.is_empty() && person.review.as_str() < desk.today.as_str() && !person.archived,
        review: person.review.clone(),
        sessions: sessions.len(),
        trials: sessions.iter().map(|entry| entry.trials).sum(),
        right: sessions.iter().map(|entry| entry.right).sum(),
        set_ups: person.set_ups.len(),
        outcome: outcome(desk.words, person),
        invented: sessions.iter().any(|entry| entry.invented),
    })
}

/// What the visits came to: no scanning, or the scan rate that was decided last.
fn outcome(words: &Words, person: &Person) -> String {
    let interval = Id::ScanInterval.setting();
    let decided = person.decisions.iter().rev().find(|one| one.setting == interval.name);
    match (person.outcome, decided.map(|one| (&one.verdict, &one.advised))) {
        (Outcome::DirectWay, _) => words.no_scanning.clone(),
        (Outcome::NoReliableSwitch, _) => words.outcome_none.clone(),
        (_, Some((Verdict::Accepted, value) | (Verdict::Adjusted(value), _))) => {
            format!("{}: {value}", interval.label)
        }
        (_, _) => "–".into(),
    }
}

fn list(ui: &mut Ui, desk: &mut Desk, rows: &[Row]) {
    ScrollArea::horizontal().show(ui, |ui| table(ui, desk, rows));
}

fn table(ui: &mut Ui, desk: &mut Desk, rows: &[Row]) {
    Grid::new("clients").num_columns(9).striped(true).spacing([20.0, 10.0]).show(ui, |ui| {
        let words = &desk.words;
        for title in [
            // Above the button that opens a client: what is done most stands where it is seen on every screen.
            "",
            &words.code,
            &words.last_visit,
            &words.review,
            &words.set_ups,
            &words.sessions,
            &words.presses_right,
            &words.outcome,
        ] {
            ui.label(strong(title));
        }
        ui.end_row();
        for row in rows {
            line(ui, desk, row);
            ui.end_row();
        }
    });
}

fn line(ui: &mut Ui, desk: &mut Desk, row: &Row) {
    let words = desk.words;
    let open = egui::Button::new(&words.open);
    if ui.add_enabled(desk.may_open(&row.code), open).on_hover_text(row.code.as_str()).clicked() {
        desk.open(row.code.clone());
    }
    let code = if row.invented { format!("{} ({})", row.code, words.invented) } else { row.code.to_string() };
    ui.label(strong(code));
    ui.label(if row.last.is_empty() { &words.none_yet } else { &row.last });
    match (row.review.is_empty(), row.overdue) {
        (true, _) => aside(ui, &words.not_set),
        (false, true) => _ = ui.label(RichText::new(format!("{} · {}", row.review, words.overdue)).color(VERMILLION)),
        (false, false) => _ = ui.label(&row.review),
    }
    ui.label(if row.set_ups == 0 { "–".into() } else { row.set_ups.to_string() });
    ui.label(row.sessions.to_string());
    ui.label(if row.trials == 0 { "–".into() } else { format!("{} / {}", row.right, row.trials) });
    match desk.damaged.get(row.code.as_str()) {
        Some(why) => _ = ui.label(RichText::new(&words.damaged).color(VERMILLION)).on_hover_text(why),
        None => _ = ui.label(&row.outcome),
    }
    ui.horizontal(|ui| {
        let (text, archived) = if row.archived { (&words.take_back, false) } else { (&words.archive, true) };
        let sits = desk.running.as_ref().is_some_and(|running| running.trial.client == row.code);
        let may = !sits && !desk.damaged.contains_key(row.code.as_str());
        if ui.add_enabled(may, egui::Button::new(text)).clicked() {
            desk.archive(&row.code, archived);
        }
        if row.archived && ui.add_enabled(desk.running.is_none(), egui::Button::new(&words.delete)).clicked() {
            desk.typed.delete = Some((row.code.to_string(), String::new()));
        }
    });
}

/// Asks before anything is deleted: the code has to be typed.
fn deleting(ui: &mut Ui, desk: &mut Desk) {
    let Some((code, mut typed)) = desk.typed.delete.take() else { return };
    let words = desk.words;
    let mut stays = true;
    card(ui, |ui| {
        ui.label(strong(format!("{} {code}", words.delete)));
        ui.label(&words.delete_what);
        ui.horizontal_wrapped(|ui| {
            let label = ui.label(format!("{} {code}", words.delete_type));
            ui.add(egui::TextEdit::singleline(&mut typed).desired_width(140.0)).labelled_by(label.id);
            let may = typed.trim() == code && desk.running.is_none();
            if ui.add_enabled(may, egui::Button::new(&words.delete_now)).clicked()
                && let Ok(code) = code.parse()
            {
                desk.delete(code);
                stays = false;
            }
            stays &= !ui.button(&words.keep).clicked();
        });
    });
    desk.typed.delete = stays.then_some((code, typed));
}
