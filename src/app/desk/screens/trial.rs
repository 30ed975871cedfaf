//! The trial: which protocol, with which set-up, and its beginning.

use egui::Ui;

use super::setting::set;
use crate::analysis::set_ups;
use crate::app::desk::parts::{aside, heading, main_button, strong};
use crate::app::desk::state::{Desk, Trial, Wish};
use crate::session::shipped;
use crate::settings::Settings;

/// Its name.
pub const NAME: &str = "trial";

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words.clone();
    let Some(visit) = &mut desk.visit else { return };
    heading(ui, &words.trial);
    for (place, setup) in visit.person.set_ups.iter().enumerate() {
        ui.radio_value(&mut visit.chosen, place, set_ups::name(setup));
    }
    let setup = visit.person.set_ups.get(visit.chosen).cloned();
    if setup.is_none() {
        ui.label(&words.set_up_missing);
    }
    heading(ui, &words.protocol);
    for (name, _) in shipped::PROTOCOLS {
        let Some((protocol, menu)) = shipped::find(name) else { continue };
        ui.radio_value(&mut visit.protocol, (*name).to_string(), strong(&protocol.name));
        if let Ok(cost) = protocol.cost(&menu, &Settings::default()) {
            aside(ui, format!("{} {cost}", words.asks_for));
        }
    }
    let set = visit.settings.as_ref().map_or_else(Vec::new, |settings| set(settings, &visit.protocol));
    let (client, protocol) = (visit.code.clone(), visit.protocol.clone());
    if main_button(ui, &words.begin_trial).clicked() {
        desk.save();
        let setup = setup.unwrap_or_default();
        desk.wishes.push(Wish::Trial(Box::new(Trial { client, protocol, setup, set })));
    }
}
