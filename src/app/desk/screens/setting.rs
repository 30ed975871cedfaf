//! One setting as a control, as the registry describes it; and the form of all of them.

use egui::{CollapsingHeader, ComboBox, Grid, Response, RichText, Slider, Ui};

use crate::advice::contradiction;
use crate::advice::recommendation::Remark;
use crate::analysis::evidence::Evidence;
use crate::app::desk::parts::{aside, heading, strong};
use crate::app::desk::state::{Found, Visit};
use crate::app::desk::theme::VERMILLION;
use crate::desk::words::Words;
use crate::session::shipped;
use crate::settings::{Id, Kind, REGISTRY, Settings, show_evenly, value_to_json};

/// No slider reaches further, in microseconds, unless a value is beyond: a finger's width has to be a step.
const FAR: i64 = 5_000_000;

/// The settings of the next trial: the protocol's, the last sheet's, or others.
pub(super) fn form(ui: &mut Ui, words: &Words, visit: &mut Visit, last: Option<&Settings>) {
    heading(ui, &words.settings);
    let own = of_protocol(&visit.protocol);
    let mut settings = visit.settings.clone().unwrap_or_else(|| own.clone());
    ui.horizontal_wrapped(|ui| {
        if ui.button(&words.settings_of_protocol).clicked() {
            settings = own.clone();
        }
        if let Some(last) = last
            && ui.button(&words.settings_of_sheet).clicked()
        {
            settings = last.clone();
        }
    });
    let changed: Vec<Id> = settings.differences(&own).collect();
    let told = changed.iter().map(|id| format!("{} {}", words.label_of(*id), words.value_of(*id, settings.raw(*id))));
    match changed.len() {
        0 => aside(ui, &words.settings_unchanged),
        _ => aside(ui, told.collect::<Vec<_>>().join(" · ")),
    }
    CollapsingHeader::new(&words.settings_all).show(ui, |ui| all(ui, words, &mut settings));
    for (id, caution) in settings.cautions() {
        ui.label(RichText::new(format!("{}: {caution}", words.label_of(id))).color(VERMILLION));
    }
    agree(ui, words, &contradictory(&settings, evidence(visit)));
    visit.settings = (settings != own).then_some(settings);
}

/// What contradicts itself in the settings. Without a session yet nobody knows how long the client's presses last.
pub(super) fn contradictory(settings: &Settings, evidence: Option<&Evidence>) -> Vec<Remark> {
    match evidence {
        Some(evidence) => contradiction::of_session(settings, evidence),
        None => contradiction::contradictions(settings, |_| 1.0),
    }
}

/// Says that in place; whether nothing contradicts itself.
pub(super) fn agree(ui: &mut Ui, words: &Words, contradictory: &[Remark]) -> bool {
    for remark in contradictory {
        ui.label(RichText::new(format!("{} {}", remark.text, remark.remedy)).color(VERMILLION));
    }
    if !contradictory.is_empty() {
        ui.label(strong(&words.contradictory));
    }
    contradictory.is_empty()
}

/// What the client's last sessions tell, where they were judged.
pub(super) fn evidence(visit: &Visit) -> Option<&Evidence> {
    let Found::Here(overview, _) = &visit.found else { return None };
    Some(&overview.set_ups.get(visit.set_up)?.advice.as_ref().ok()?.evidence)
}

/// The settings that a shipped protocol has by itself.
pub(super) fn of_protocol(name: &str) -> Settings {
    let protocol = shipped::find(name).and_then(|(protocol, _)| Settings::from_json(&protocol.settings).ok());
    protocol.unwrap_or_default()
}

/// What a trial by a shipped protocol is told to have these settings: those that differ, as `name=value`.
pub(super) fn set(settings: &Settings, protocol: &str) -> Vec<String> {
    let told = |id: Id| {
        let value = value_to_json(id, settings.raw(id));
        format!("{}={}", id.setting().name, value.as_str().map_or_else(|| value.to_string(), str::to_string))
    };
    settings.differences(&of_protocol(protocol)).map(told).collect()
}

fn all(ui: &mut Ui, words: &Words, settings: &mut Settings) {
    ui.spacing_mut().slider_width = 200.0;
    Grid::new("settings").num_columns(2).striped(true).spacing([20.0, 6.0]).show(ui, |ui| {
        for setting in REGISTRY {
            let label = ui.label(words.label_of(setting.id)).on_hover_text(setting.long);
            control(ui, setting.id, settings).labelled_by(label.id).on_hover_text(setting.short);
            ui.end_row();
        }
    });
}

/// A slider over what the registry allows, or a list; an optional time is off at its left end.
pub(super) fn control(ui: &mut Ui, id: Id, settings: &mut Settings) -> Response {
    let raw = settings.raw(id);
    let (least, most, step, scale) = match id.setting().kind {
        Kind::Choice(names) => return choice(ui, id, names, settings),
        Kind::Time { min, max, step } => (min, max.min(FAR.max(raw)), step, 1e6),
        Kind::OptionalTime { max, step, .. } => (0, max.min(FAR.max(raw)), step, 1e6),
        Kind::Count { min, max, unlimited } => (if unlimited { 0 } else { min }, max, 1, 1.0),
        Kind::Share { min, max, step } => (min, max, step, 10.0),
        Kind::Angle { min, max, step } => (min, max, step, 1e3),
    };
    let mut value = raw as f64 / scale;
    let range = least as f64 / scale..=most as f64 / scale;
    let shown = move |value: f64, _| show_evenly(id, libm::round(value * scale) as i64);
    let response = ui.add(Slider::new(&mut value, range).step_by(step as f64 / scale).custom_formatter(shown));
    if response.changed() {
        // Between off and the least that can be set there is nothing: it stays as it was.
        let _ = settings.set_raw(id, libm::round(value * scale) as i64);
    }
    response
}

fn choice(ui: &mut Ui, id: Id, names: &[(&str, &str)], settings: &mut Settings) -> Response {
    let mut chosen = settings.raw(id);
    let label = |raw: i64| usize::try_from(raw).ok().and_then(|place| names.get(place)).map_or("", |(_, label)| *label);
    let list = ComboBox::from_id_salt(id.setting().name).width(320.0).selected_text(label(chosen));
    let response = list.show_ui(ui, |ui| {
        for (place, (_, label)) in (0i64..).zip(names) {
            ui.selectable_value(&mut chosen, place, *label);
        }
    });
    // Every name of the list can be set.
    let _ = settings.set_raw(id, chosen);
    response.response
}
