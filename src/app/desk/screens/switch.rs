//! The switch check: is this switch clean, and which is it? It may be skipped.

use egui::Ui;

use super::setting::set;
use super::{trial, watch};
use crate::analysis::set_ups;
use crate::app::desk::parts::{aside, heading, main_button, strong};
use crate::app::desk::state::{Desk, Trial, Visit};
use crate::desk::words::Words;
use crate::switch_check::Finding;

/// Its name.
pub const NAME: &str = "switch";

/// The protocol that checks.
const PROTOCOL: &str = "switch-check";

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    if desk.running.is_some() {
        return watch::show(ui, desk);
    }
    let words = desk.words;
    let Some(visit) = &mut desk.visit else { return };
    heading(ui, &words.switch_check);
    choose(ui, words, visit);
    learned(ui, words, visit);
    ui.label(&words.check_how);
    found(ui, words, &visit.checked);
    let check = with_set_up(visit, PROTOCOL.to_string());
    ui.horizontal_wrapped(|ui| {
        let done = !desk.visit.as_ref().is_some_and(|visit| visit.checked.is_empty());
        let (first, second) =
            if done { (&words.to_trial, &words.check_again) } else { (&words.check_now, &words.skip) };
        let (main, other) = (main_button(ui, first).clicked(), ui.button(second).clicked());
        match (done, main, other) {
            (false, true, _) | (true, _, true) => desk.begin(check),
            (true, true, _) | (false, _, true) => desk.at = trial::NAME,
            _ => {}
        }
    });
}

/// Which set-up the board is opened with.
pub(super) fn choose(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    for (place, setup) in visit.person.set_ups.iter().enumerate() {
        ui.radio_value(&mut visit.chosen, place, set_ups::name(setup));
    }
    if visit.person.set_ups.is_empty() {
        ui.label(&words.set_up_missing);
    }
}

/// The trial with the set-up and the settings that were chosen.
pub(super) fn with_set_up(visit: &Visit, protocol: String) -> Trial {
    let set_up = Some(visit.chosen).filter(|place| *place < visit.person.set_ups.len());
    let setup = set_up.map(|place| visit.person.set_ups[place].clone()).unwrap_or_default();
    let set = visit.settings.as_ref().map_or_else(Vec::new, |settings| set(settings, &protocol));
    Trial { setup, set, set_up, ..Trial::new(visit.code.clone(), protocol) }
}

/// What works the switch, once the board has learned it.
fn learned(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    let Some(setup) = visit.person.set_ups.get_mut(visit.chosen).filter(|setup| !setup.devices.is_empty()) else {
        return aside(ui, &words.switch_unknown);
    };
    ui.horizontal_wrapped(|ui| {
        ui.label(format!("{}: {}", words.switch_known, setup.devices.join(", ")));
        if ui.small_button(&words.learn_again).clicked() {
            setup.devices.clear();
        }
    });
}

/// What a check found out.
pub(super) fn found(ui: &mut Ui, words: &Words, findings: &[Finding]) {
    for finding in findings {
        if findings.len() > 1 {
            ui.label(strong(format!("{} {}", words.switch, finding.switch.0 + 1)));
        }
        finding.verdicts.iter().for_each(|verdict| {
            ui.label(strong(verdict.to_string()));
            if !verdict.remedy().is_empty() {
                ui.label(verdict.remedy());
            }
        });
        aside(ui, finding.counts());
    }
}
