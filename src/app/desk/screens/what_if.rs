//! What other settings would do: current, advised and tried beside each other, sliders that move the last.

use egui::{Grid, RichText, Slider, Ui};

use super::findings::{choose, confirm_at, overview};
use crate::advice::consistency::Judged;
use crate::advice::set_up::SetUpAdvice;
use crate::app::desk::parts::{aside, heading, strong};
use crate::app::desk::state::{Desk, Visit, Wish};
use crate::app::desk::theme::{APART, NEAR};
use crate::app::desk::what_if::WhatIf;
use crate::desk::words::Words;
use crate::forecast::figure::Figure;
use crate::forecast::what_if::{Cost, How, Prediction};
use crate::settings::{Id, Kind, Settings, show_value};

/// Its name.
pub const NAME: &str = "what if";

/// What can be moved.
const MOVED: [Id; 8] = [
    Id::ScanInterval,
    Id::FirstAfterStart,
    Id::FirstInGroup,
    Id::PauseAfterSelection,
    Id::Hold,
    Id::Lockout,
    Id::Debounce,
    Id::LoopsInside,
];
/// No slider reaches further, in seconds, unless a value is beyond: a finger's width has to be a step.
const FAR: i64 = 5_000_000;

/// So wide that the sliders have room beside the table.
const WIDE: f32 = 1_100.0;

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words.clone();
    heading(ui, &words.what_if);
    let Some((overview, seen)) = overview(ui, desk) else { return };
    let Some(visit) = &mut desk.visit else { return };
    choose(ui, &overview, visit);
    let Some(one) = overview.set_ups.get(visit.set_up) else { return };
    let Ok(advice) = &one.advice else { return aside(ui, &words.needs_advice) };
    if !visit.what_if.as_ref().is_some_and(|what_if| what_if.is_for(one, &seen)) {
        visit.what_if = WhatIf::of(&visit.code, one, &seen);
    }
    let Some(mut what_if) = visit.what_if.take() else { return };
    let run = content(ui, &words, &mut what_if, advice, visit);
    desk.wishes.extend(run.into_iter().chain(what_if.ask()));
    visit.what_if = Some(what_if);
}

fn content(ui: &mut Ui, words: &Words, what_if: &mut WhatIf, advice: &SetUpAdvice, visit: &Visit) -> Option<Wish> {
    if let Some(why) = &what_if.cannot {
        ui.label(why);
        return None;
    }
    aside(ui, &words.what_if_model);
    // The sliders stay beside what they move.
    if ui.available_width() > WIDE {
        ui.horizontal_top(|ui| {
            ui.vertical(|ui| {
                choice(ui, words, what_if);
                tasks(ui, words, what_if);
            });
            ui.add_space(APART);
            ui.vertical(|ui| moved(ui, words, what_if, advice, visit)).inner
        })
        .inner
    } else {
        choice(ui, words, what_if);
        let run = moved(ui, words, what_if, advice, visit);
        tasks(ui, words, what_if);
        run
    }
}

/// The sliders, what speaks against the values, and what can be done with them.
fn moved(ui: &mut Ui, words: &Words, what_if: &mut WhatIf, advice: &SetUpAdvice, visit: &Visit) -> Option<Wish> {
    ui.label(strong(&words.tried));
    sliders(ui, &mut what_if.tried);
    let tried = &what_if.tried;
    for caution in Judged::new(tried, tried.scan_interval().as_seconds(), &advice.evidence).broken() {
        ui.label(format!("{} {}", caution.text, caution.remedy));
    }
    for (id, caution) in tried.cautions() {
        ui.label(format!("{}: {caution}", id.setting().label));
    }
    ui.add_space(NEAR);
    ui.horizontal_wrapped(|ui| {
        if ui.button(&words.back_to_advised).clicked() {
            what_if.tried = advice.sheet.settings.clone();
        }
        ui.button(&words.run_tried).clicked().then(|| confirm_at(visit, advice, &what_if.tried))
    })
    .inner
}

/// Last session, advised, tried.
fn columns(what_if: &WhatIf) -> Vec<&Settings> {
    what_if.beside.iter().chain([&what_if.tried]).collect()
}

fn found(what_if: &WhatIf) -> Vec<Option<&Prediction>> {
    columns(what_if).into_iter().map(|settings| what_if.known(settings)).collect()
}

fn grid(name: &str) -> Grid {
    Grid::new(name).num_columns(4).striped(true).spacing([24.0, 4.0]).min_col_width(140.0).min_row_height(22.0)
}

/// The settings that differ, and what one choice takes under them.
fn choice(ui: &mut Ui, words: &Words, what_if: &WhatIf) {
    let columns = columns(what_if);
    grid("choice").show(ui, |ui| {
        for title in ["", &words.current, &words.advised, &words.tried] {
            ui.label(strong(title));
        }
        ui.end_row();
        for id in MOVED.into_iter().filter(|id| columns.iter().any(|one| one.raw(*id) != columns[0].raw(*id))) {
            ui.label(id.setting().label);
            columns.iter().for_each(|settings| _ = ui.label(show_value(id, settings.raw(id))));
            ui.end_row();
        }
        ui.label(strong(&words.a_choice));
        ui.end_row();
        let found = found(what_if);
        costs(ui, words, &found.iter().map(|found| found.map(|found| found.selection)).collect::<Vec<_>>());
        ui.label(RichText::new(format!("   {}", words.found_by)).weak());
        found.iter().for_each(|found| aside(ui, how(words, *found)));
        ui.end_row();
    });
}

/// The household tasks of the menu.
fn tasks(ui: &mut Ui, words: &Words, what_if: &WhatIf) {
    let found = found(what_if);
    let Some(named) = found.iter().flatten().next() else { return };
    grid("tasks").show(ui, |ui| {
        for (place, (label, _)) in named.tasks.iter().enumerate() {
            ui.label(strong(label));
            ui.end_row();
            let of = |found: &Prediction| found.tasks.get(place).and_then(|(_, cost)| *cost);
            costs(ui, words, &found.iter().map(|found| found.map(of)).collect::<Vec<_>>());
        }
    });
}

/// A cost; what cannot be put right has none, and outside is what is not known yet.
type Told = Option<Option<Cost>>;

/// A line of a cost: its name, its figure, how many times that is shown, and the unit.
type Line<'a> = (&'a str, fn(&Cost) -> Figure, f64, &'a str);

fn costs(ui: &mut Ui, words: &Words, costs: &[Told]) {
    let lines: [Line; 3] = [
        (&words.takes_time, |cost| cost.seconds, 1.0, " s"),
        (&words.wrong_choices, |cost| cost.wrong, 100.0, ""),
        (&words.switch_hits, |cost| cost.hits, 1.0, ""),
    ];
    for (name, figure, times, unit) in lines {
        ui.label(format!("   {name}"));
        for cost in costs {
            match cost {
                None => aside(ui, "…"),
                Some(None) => aside(ui, &words.never_right),
                Some(Some(cost)) => told(ui, figure(cost).times(times), unit),
            }
        }
        ui.end_row();
    }
}

/// A figure, and its interval in lesser words.
fn told(ui: &mut Ui, figure: Figure, unit: &str) {
    let digits = if figure.high < 10.0 { 2 } else { 1 };
    ui.horizontal(|ui| {
        ui.label(format!("{:.digits$}{unit}", figure.value));
        aside(ui, format!("{:.digits$} – {:.digits$}", figure.low, figure.high));
    });
}

fn how<'a>(words: &'a Words, found: Option<&Prediction>) -> &'a str {
    match found.map(|found| found.how) {
        None => "…",
        Some(How::Closed) => &words.by_formula,
        Some(How::Simulated(_)) => &words.by_simulation,
    }
}

fn sliders(ui: &mut Ui, tried: &mut Settings) {
    ui.spacing_mut().slider_width = 240.0;
    for id in MOVED {
        let label = ui.label(id.setting().label);
        slider(ui, id, tried).labelled_by(label.id);
    }
}

/// A slider over what the registry allows; an optional time is off at its left end.
fn slider(ui: &mut Ui, id: Id, tried: &mut Settings) -> egui::Response {
    let raw = tried.raw(id);
    let (least, most, step, scale) = match id.setting().kind {
        Kind::Time { min, max, step } => (min, max.min(FAR.max(raw)), step, 1e6),
        Kind::OptionalTime { max, step, .. } => (0, max.min(FAR.max(raw)), step, 1e6),
        Kind::Count { min, max, unlimited } => (if unlimited { 0 } else { min }, max, 1, 1.0),
        Kind::Share { min, max, step } | Kind::Angle { min, max, step } => (min, max, step, 1e3),
        Kind::Choice(names) => (0, names.len() as i64 - 1, 1, 1.0),
    };
    let mut value = raw as f64 / scale;
    let range = least as f64 / scale..=most as f64 / scale;
    let shown = move |value: f64, _| show_value(id, libm::round(value * scale) as i64);
    let response = ui.add(Slider::new(&mut value, range).step_by(step as f64 / scale).custom_formatter(shown));
    if response.changed() {
        // Between off and the least that can be set there is nothing: it stays as it was.
        let _ = tried.set_raw(id, libm::round(value * scale) as i64);
    }
    response
}
