//! From the settings sheet to the controller at home.

use std::sync::Arc;

use egui::{Grid, Ui};

use super::findings::{choose, overview, sheet};
use super::practice;
use super::what_if::{Column, WIDE, begun, compared};
use crate::advice::overview::{Overview, SetUpOverview};
use crate::app::desk::parts::{aside, asked, heading, strong};
use crate::app::desk::state::{Desk, Seen, Visit, Wish};
use crate::app::desk::theme::APART;
use crate::desk::carry_over::{ASKED, AtHome, Carried, How};
use crate::desk::choices::Choices;
use crate::desk::words::Words;
use crate::settings::{Id, Kind, Settings};

/// Its name.
pub const NAME: &str = "at home";

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words;
    heading(ui, &words.at_home);
    ui.label(&words.controller_intro);
    let found = overview(ui, desk);
    let Some(visit) = &mut desk.visit else { return };
    // What comes of it stands beside what is typed, where there is room.
    let asked = if ui.available_width() > WIDE {
        ui.horizontal_top(|ui| {
            let wrong = ui.vertical(|ui| offers(ui, words, visit)).inner;
            ui.add_space(APART);
            ui.vertical(|ui| outcome(ui, words, visit, wrong, found.clone())).inner
        })
        .inner
    } else {
        let wrong = offers(ui, words, visit);
        outcome(ui, words, visit, wrong, found.clone())
    };
    let sheet = found_sheet(visit, found.as_ref());
    let plan = practice::show(ui, words, visit, sheet.as_ref(), &desk.today);
    desk.wishes.extend(asked.into_iter().chain(plan));
}

/// The settings sheet, where there is one.
fn found_sheet(visit: &Visit, found: Option<&(Arc<Overview>, Arc<[Seen]>)>) -> Option<Settings> {
    let (overview, seen) = found?;
    sheet(&visit.person, overview.set_ups.get(visit.set_up)?, seen)
}

/// What is wrong with the offers, or what comes of them; a wish for predictions.
fn outcome(
    ui: &mut Ui,
    words: &Words,
    visit: &mut Visit,
    wrong: Option<String>,
    found: Option<(Arc<Overview>, Arc<[Seen]>)>,
) -> Option<Wish> {
    if let Some(why) = wrong {
        ui.label(strong(why));
        return None;
    }
    let (overview, seen) = found?;
    choose(ui, &overview, visit);
    let one = overview.set_ups.get(visit.set_up)?;
    let Some(sheet) = sheet(&visit.person, one, &seen) else {
        aside(ui, &words.needs_advice);
        return None;
    };
    let home = visit.person.controller.carry_over(&sheet);
    // What was adjusted or rejected is no longer what was advised.
    let advised = one.advice.as_ref().is_ok_and(|advice| advice.sheet.settings == sheet);
    let from = if advised { &words.advised } else { &words.as_decided };
    carried(ui, words, &home, from);
    predicted(ui, words, visit, (one, &seen), &[(from, &sheet), (&words.at_home, &home.settings)])
}

/// What the values at home do to time and errors.
fn predicted(
    ui: &mut Ui,
    words: &Words,
    visit: &mut Visit,
    (one, seen): (&SetUpOverview, &[Seen]),
    columns: &[Column; 2],
) -> Option<Wish> {
    let mut what_if = begun(visit, one, seen)?;
    what_if.home = columns.iter().map(|(_, settings)| (*settings).clone()).collect();
    heading(ui, &words.predicted_again);
    match &what_if.cannot {
        Some(why) => _ = ui.label(why),
        None => compared(ui, words, &what_if, columns, |_| {}),
    }
    let asked = what_if.ask();
    visit.what_if = Some(what_if);
    asked
}

/// The form of what is offered; what is wrong with it, if something is.
fn offers(ui: &mut Ui, words: &Words, visit: &mut Visit) -> Option<String> {
    asked(ui, &words.controller_name, &mut visit.person.controller.name, 1);
    aside(ui, &words.offers_hint);
    Grid::new("offers").num_columns(2).spacing([20.0, 6.0]).show(ui, |ui| {
        for id in ASKED {
            let label = ui.label(words.label_of(*id));
            let typed = visit.offers.entry(id.setting().name).or_default();
            match id.setting().kind {
                Kind::Choice(names) => ways(ui, words, *id, names, typed),
                _ => _ = ui.add(egui::TextEdit::singleline(typed).desired_width(220.0)).labelled_by(label.id),
            }
            ui.end_row();
        }
    });
    let mut offers = std::collections::BTreeMap::new();
    for id in ASKED {
        let name = id.setting().name;
        let typed = visit.offers.get(name).map_or("", |typed| typed.trim());
        match Choices::parse(*id, typed) {
            Ok(None) => {}
            Ok(Some(choices)) => _ = offers.insert(name.to_string(), choices),
            Err(why) => return Some(why),
        }
    }
    visit.person.controller.offers = offers;
    visit.person.controller.check().err()
}

/// The ways that can be chosen, of those that are known, as a list of names.
fn ways(ui: &mut Ui, words: &Words, id: Id, names: &[(&str, &str)], typed: &mut String) {
    ui.vertical(|ui| {
        let mut offered: Vec<&str> = typed.split(',').map(str::trim).filter(|name| !name.is_empty()).collect();
        let before = offered.len();
        for (name, _) in names {
            let mut has = offered.contains(name);
            if ui.checkbox(&mut has, words.choice_of(id, name)).changed() {
                offered.retain(|other| other != name);
                offered.extend(has.then_some(name));
            }
        }
        if offered.len() != before {
            *typed = offered.join(", ");
        }
    });
}

fn carried(ui: &mut Ui, words: &Words, home: &AtHome, from: &String) {
    heading(ui, &words.carried_over);
    Grid::new("carried").num_columns(4).striped(true).max_col_width(260.0).spacing([24.0, 8.0]).show(ui, |ui| {
        for title in [&words.setting, from, &words.taken] {
            ui.label(strong(title));
        }
        ui.end_row();
        for one in &home.carried {
            let (advised, taken) = one.values(words);
            ui.label(words.label_of(one.id));
            ui.label(advised);
            ui.label(strong(if matches!(one.how, How::Lacking(_)) { "–".into() } else { taken }));
            ui.label(how(words, one));
            ui.end_row();
        }
    });
}

fn how(words: &Words, one: &Carried) -> String {
    match one.how {
        How::Exact => words.exact.clone(),
        How::Slower => words.slower.clone(),
        How::Fastest => words.faster.clone(),
        How::Fewer => words.fewer.clone(),
        How::OtherWay => words.other_way.clone(),
        How::Lacking(round) => format!("{}. {}: {round}", words.lacking, words.way_round),
    }
}
