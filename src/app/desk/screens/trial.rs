//! The trial: which protocol, with which set-up, its beginning; then what happens on the board.

use egui::Ui;

use super::{setting, switch, watch};
use crate::app::desk::parts::{aside, card, heading, main_button, strong};
use crate::app::desk::state::{Desk, Trial, Visit};
use crate::desk::words::Words;
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

fn protocols(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    heading(ui, &words.protocol);
    for (name, _) in shipped::PROTOCOLS.iter().filter(|(name, _)| *name != ELSEWHERE) {
        let Some((protocol, menu)) = shipped::find(name) else { continue };
        ui.radio_value(&mut visit.protocol, (*name).to_string(), strong(&protocol.name));
        if let Ok(cost) = protocol.cost(&menu, &Settings::default()) {
            aside(ui, format!("{} {cost}", words.asks_for));
        }
    }
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
