//! What stands round every screen: the ways between screens, what is happening, what comes next.

use egui::{CentralPanel, Panel, RichText, ScrollArea, Ui};

use super::closing;
use super::parts::{aside, strong};
use super::running::clinicians;
use super::screens::{self, SCREENS, Screen};
use super::state::{Desk, Found};
use super::theme::{NARROW, NEAR, VERMILLION};
use crate::app::keys::Action;
use crate::desk::person::Outcome;
use crate::desk::words::{Language, Words};

/// Shows the desk.
pub fn show(ui: &mut Ui, desk: &mut Desk) {
    keys(ui, desk);
    Panel::top("ways").show(ui, |ui| {
        ui.add_enabled_ui(desk.closing.is_none(), |ui| ways(ui, desk));
    });
    Panel::bottom("foot").show(ui, |ui| foot(ui, desk));
    CentralPanel::default().show(ui, |ui| {
        troubles(ui, desk);
        notices(ui, desk);
        if desk.closing.is_some() {
            return closing::show(ui, desk);
        }
        let screen = screen(desk);
        ScrollArea::vertical().id_salt(screen.name).auto_shrink(false).show(ui, |ui| (screen.show)(ui, desk));
    });
    keep(ui, desk);
}

/// What was typed is saved when the keyboard goes on to something else, and what was clicked at once.
fn keep(ui: &Ui, desk: &mut Desk) {
    let into = ui.memory(|memory| memory.focused());
    let typing = into.is_some() && into == desk.typed.into;
    desk.typed.into = into;
    if !typing && !ui.input(|input| input.pointer.any_down()) {
        desk.save_changes();
    }
}

/// The screen in front; without a client only the list of clients stands.
fn screen(desk: &Desk) -> &'static Screen {
    let wanted = SCREENS.iter().find(|screen| screen.name == desk.at);
    wanted.filter(|screen| desk.visit.is_some() || !screen.of_a_client).unwrap_or(&SCREENS[0])
}

/// Control with a figure goes to that screen.
fn keys(ui: &Ui, desk: &mut Desk) {
    clinicians_keys(ui, desk);
    if desk.closing.is_some() {
        return;
    }
    const FIGURES: [egui::Key; 9] = [
        egui::Key::Num1,
        egui::Key::Num2,
        egui::Key::Num3,
        egui::Key::Num4,
        egui::Key::Num5,
        egui::Key::Num6,
        egui::Key::Num7,
        egui::Key::Num8,
        egui::Key::Num9,
    ];
    for (screen, key) in SCREENS.iter().zip(FIGURES) {
        let open = desk.visit.is_some() || !screen.of_a_client;
        if open && ui.input_mut(|input| input.consume_key(egui::Modifiers::COMMAND, key)) {
            go(desk, screen.name);
        }
    }
}

/// The same keys as at the board while it is open; else F3 goes past what may be skipped.
fn clinicians_keys(ui: &Ui, desk: &mut Desk) {
    let pressed = |event: &egui::Event| match event {
        egui::Event::Key { key, pressed: true, repeat: false, modifiers, .. } => clinicians(*key, *modifiers),
        _ => None,
    };
    let actions: Vec<Action> = ui.input(|input| input.events.iter().filter_map(pressed).collect());
    for action in actions {
        match action {
            _ if desk.running.is_some() => desk.act(action),
            Action::Next if desk.at == screens::switch::NAME => go(desk, screens::trial::NAME),
            _ => {}
        }
    }
}

fn go(desk: &mut Desk, name: &'static str) {
    desk.save();
    desk.at = name;
}

fn ways(ui: &mut Ui, desk: &mut Desk) {
    ui.add_space(NEAR);
    ui.horizontal_wrapped(|ui| {
        // All of them in one line of the smallest screen.
        if ui.available_width() < NARROW {
            ui.spacing_mut().item_spacing.x = 2.0;
            ui.spacing_mut().button_padding.x = 8.0;
        }
        for screen in SCREENS {
            let open = desk.visit.is_some() || !screen.of_a_client;
            let title = (screen.title)(desk.words).to_string();
            let chosen = desk.at == screen.name;
            let text = if chosen { strong(title) } else { RichText::new(title) };
            if ui.add_enabled(open, egui::Button::selectable(chosen, text)).clicked() {
                go(desk, screen.name);
            }
        }
    });
    ui.separator();
    ui.horizontal_wrapped(|ui| {
        ui.label(strong(format!("{}:", desk.words.now)));
        ui.label(happening(desk));
        ui.separator();
        ui.label(strong(format!("{}:", desk.words.next)));
        ui.label(next(desk));
        // What happens on the board is seen with the client in hand.
        if desk.visit.is_some() && desk.running.is_none() && ui.button(desk.words.close_client.clone()).clicked() {
            desk.leave();
        }
    });
    ui.add_space(NEAR);
}

/// What is happening.
fn happening(desk: &Desk) -> String {
    if let Some(running) = &desk.running {
        return format!("{} · {}", running.trial.client, desk.words.board_open);
    }
    match &desk.visit {
        Some(visit) => format!("{} · {}: {}", visit.code, desk.words.sessions, desk.sessions(visit.code.as_str())),
        None => desk.words.clients.clone(),
    }
}

/// What to do next.
#[must_use]
pub fn next(desk: &Desk) -> String {
    let words = desk.words;
    if desk.running.is_some() {
        return words.next_watch.clone();
    }
    let Some(visit) = &desk.visit else { return words.next_open.clone() };
    if desk.broken_off.as_ref().is_some_and(|(trial, _)| trial.client == visit.code) {
        return words.next_broken_off.clone();
    }
    let person = &visit.person;
    match person.outcome {
        Outcome::DirectWay => return words.next_direct.clone(),
        Outcome::NoReliableSwitch => return words.next_none.clone(),
        Outcome::NotAsked | Outcome::Scanning => {}
    }
    let decided = match &visit.found {
        Found::Here(_, seen) => seen.last().is_some_and(|seen| person.decisions.iter().any(|one| one.log == seen.log)),
        _ => !person.decisions.is_empty(),
    };
    match () {
        () if person.set_ups.is_empty() && desk.sessions(visit.code.as_str()) == 0 => words.next_prepare.clone(),
        () if desk.sessions(visit.code.as_str()) == 0 && visit.at_known_switch() => words.next_trial.clone(),
        () if desk.sessions(visit.code.as_str()) == 0 => words.next_switch.clone(),
        () if !decided => words.next_findings.clone(),
        () if person.controller.offers.is_empty() => words.next_home.clone(),
        () => words.next_report.clone(),
    }
}

/// What cannot be read or written, for as long as that holds.
fn troubles(ui: &mut Ui, desk: &mut Desk) {
    let words = &desk.words;
    let folder = desk.no_folder.iter().cloned();
    let unsaved = desk.unsaved.iter().filter_map(|(code, one)| Some((code, one.why.as_ref()?)));
    let unsaved = unsaved.map(|(code, why)| format!("{code}: {}: {why}", words.not_saved));
    let again: Vec<String> = folder.chain(unsaved).collect();
    let in_hand = desk.visit.as_ref().and_then(|visit| desk.damaged.get(visit.code.as_str()));
    let damaged = in_hand.map(|why| format!("{} {why}", words.file_damaged));
    for text in again.iter().chain(&damaged) {
        ui.label(RichText::new(text).color(VERMILLION));
    }
    if !again.is_empty() && ui.button(&desk.words.try_again).clicked() {
        desk.try_again();
    }
}

fn notices(ui: &mut Ui, desk: &mut Desk) {
    let mut gone = None;
    for (place, notice) in desk.notices.iter().enumerate() {
        ui.horizontal_wrapped(|ui| {
            let text = RichText::new(&notice.text);
            let mark = if notice.wrong { strong("!").color(VERMILLION) } else { strong("·") };
            ui.label(mark);
            ui.label(text);
            if ui.small_button("×").on_hover_text(&desk.words.close_client).clicked() {
                gone = Some(place);
            }
        });
    }
    if let Some(place) = gone {
        desk.notices.remove(place);
    }
}

fn foot(ui: &mut Ui, desk: &mut Desk) {
    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
        for language in Language::ALL {
            if language != desk.language && ui.small_button(&Words::of(language).language).clicked() {
                desk.speak(language);
            }
        }
        let dark = ui.visuals().dark_mode;
        let look = if dark { &desk.words.look_light } else { &desk.words.look_dark };
        if ui.small_button(look).clicked() {
            ui.ctx().set_theme(if dark { egui::Theme::Light } else { egui::Theme::Dark });
        }
        ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
            aside(ui, &desk.words.not_certified);
            ui.separator();
            // A long path gives way; the pointer on it shows the whole.
            let folder = format!("{}: {}", desk.words.data_folder, desk.folder.display());
            ui.add(egui::Label::new(RichText::new(folder).weak()).truncate());
        });
    });
}
