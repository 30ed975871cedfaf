//! The trial: which protocol, with which set-up, its beginning; then what happens on the board.

use std::sync::OnceLock;

use egui::Ui;

use super::{setting, switch, watch};
use crate::app::desk::parts::{aside, card, heading, main_button, strong};
use crate::app::desk::state::{Desk, Trial, Visit};
use crate::desk::words::Words;
use crate::menu::Menu;
use crate::session::cost::Cost;
use crate::session::protocol::Protocol;
use crate::session::shipped;
use crate::settings::Settings;

/// Its name.
pub const NAME: &str = "trial";

/// The check of a switch has a screen of its own.
const ELSEWHERE: &str = "switch-check";

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    if desk.running.is_some() {
        return watch::show(ui, desk);
    }
    broken_off(ui, desk);
    let words = desk.words;
    let Some(visit) = &mut desk.visit else { return };
    heading(ui, &words.trial);
    switch::choose(ui, words, visit);
    // Above the list: on a small screen it would be out of sight below.
    let trial = Trial { menu: visit.own_menu(), ..switch::with_set_up(visit, visit.protocol.clone()) };
    let own = setting::of_protocol(&visit.protocol);
    let against = setting::contradictory(visit.settings.as_ref().unwrap_or(&own), setting::evidence(visit));
    let agree = setting::agree(ui, words, &against);
    let begin = ui.add_enabled_ui(agree, |ui| main_button(ui, &words.begin_trial).clicked()).inner;
    aside(ui, &words.board_how);
    protocols(ui, words, visit);
    if begin {
        desk.begin(trial);
    }
}

/// A protocol that can be chosen.
struct Offered {
    id: &'static str,
    protocol: Protocol,
    menu: Menu,
    settings: Settings,
}

/// All of them, read once.
fn offered() -> &'static [Offered] {
    static READ: OnceLock<Vec<Offered>> = OnceLock::new();
    let read = |id: &'static str| {
        let (protocol, menu) = shipped::find(id)?;
        Some(Offered { id, protocol, menu, settings: setting::of_protocol(id) })
    };
    READ.get_or_init(|| shipped::PROTOCOLS.iter().filter_map(|(id, _)| read(id)).collect())
}

/// Each with what it asks of the client: on the menu and with the settings that it would be run with.
fn protocols(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    heading(ui, &words.protocol);
    let own = visit.edited_menu().ok().flatten().map(|own| own.menu.clone());
    for one in offered().iter().filter(|one| one.id != ELSEWHERE) {
        ui.radio_value(&mut visit.protocol, one.id.to_string(), strong(&one.protocol.name));
        let changed = visit.settings.as_ref().filter(|_| visit.protocol == one.id);
        if let Ok(cost) = one.protocol.cost(own.as_ref().unwrap_or(&one.menu), changed.unwrap_or(&one.settings)) {
            aside(ui, asks_for(words, &cost));
        }
    }
}

/// What a protocol asks of the client; a pointer asks for no press.
fn asks_for(words: &Words, cost: &Cost) -> String {
    let (presses, minutes) = cost.whole();
    let presses = if presses == 0 { String::new() } else { format!("{presses} {}, ", words.asks_presses) };
    format!("{} {presses}{minutes} {}", words.asks_for, words.asks_minutes)
}

/// Offers to go on with a trial that was broken off.
fn broken_off(ui: &mut Ui, desk: &mut Desk) {
    let code = desk.visit.as_ref().map(|visit| visit.code.clone());
    let Some((trial, saved)) = desk.broken_off.clone().filter(|(trial, _)| Some(&trial.client) == code.as_ref()) else {
        return;
    };
    let words = desk.words;
    card(ui, |ui| {
        ui.label(strong(&words.broke_off));
        ui.label(format!("{}: {saved}", words.saved_trials));
        ui.horizontal_wrapped(|ui| {
            if main_button(ui, &words.go_on_with).clicked() {
                desk.begin(Trial { go_on: true, ..trial });
            }
            if ui.button(&words.leave_it).clicked() {
                desk.broken_off = None;
            }
        });
    });
}
