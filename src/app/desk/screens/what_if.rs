//! What other settings would do: current, advised and tried beside each other, sliders that move the last.

use egui::{Grid, RichText, Ui};

use super::findings::{choose, confirm_at, overview};
use super::setting::{agree, contradictory, control};
use crate::advice::consistency::Judged;
use crate::advice::overview::SetUpOverview;
use crate::advice::set_up::SetUpAdvice;
use crate::app::desk::parts::{aside, heading, strong};
use crate::app::desk::state::{Desk, Seen, Trial, Visit};
use crate::app::desk::theme::{APART, NEAR};
use crate::app::desk::what_if::WhatIf;
use crate::desk::words::Words;
use crate::forecast::figure::Figure;
use crate::forecast::what_if::{Cost, How, Prediction};
use crate::settings::{Id, Settings};

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
/// Height of a line of a table, and width of what stands first in it.
const LINE: f32 = 22.0;
const FIRST: f32 = 210.0;

/// So wide that the sliders have room beside the table.
pub(super) const WIDE: f32 = 1_100.0;

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words;
    heading(ui, &words.what_if);
    let Some((overview, seen)) = overview(ui, desk) else { return };
    let Some(visit) = &mut desk.visit else { return };
    choose(ui, &overview, visit);
    let Some(one) = overview.set_ups.get(visit.set_up) else { return };
    let Ok(advice) = &one.advice else { return aside(ui, &words.needs_advice) };
    let Some(mut what_if) = begun(visit, one, &seen) else { return };
    let run = content(ui, words, &mut what_if, advice, visit);
    desk.wishes.extend(what_if.ask());
    visit.what_if = Some(what_if);
    run.into_iter().for_each(|trial| desk.begin(trial));
}

/// What is tried for this set-up, taken out of the visit.
pub(super) fn begun(visit: &mut Visit, one: &SetUpOverview, seen: &[Seen]) -> Option<WhatIf> {
    let known = visit.what_if.take().filter(|what_if| what_if.is_for(one, seen));
    known.or_else(|| WhatIf::of(&visit.code, one, seen))
}

fn content(ui: &mut Ui, words: &Words, what_if: &mut WhatIf, advice: &SetUpAdvice, visit: &Visit) -> Option<Trial> {
    if let Some(why) = &what_if.cannot {
        ui.label(why);
        return None;
    }
    aside(ui, &words.what_if_model);
    // The sliders stay beside what they move.
    if ui.available_width() > WIDE {
        ui.horizontal_top(|ui| {
            ui.vertical(|ui| {
                compared(ui, words, what_if, &columns(words, what_if), |_| {});
            });
            ui.add_space(APART);
            ui.vertical(|ui| moved(ui, words, what_if, advice, visit)).inner
        })
        .inner
    } else {
        let shown = what_if.clone();
        let mut run = None;
        let sliders = |ui: &mut Ui| run = moved(ui, words, what_if, advice, visit);
        compared(ui, words, &shown, &columns(words, &shown), sliders);
        run
    }
}

/// The sliders, what speaks against the values, and what can be done with them.
fn moved(ui: &mut Ui, words: &Words, what_if: &mut WhatIf, advice: &SetUpAdvice, visit: &Visit) -> Option<Trial> {
    ui.label(strong(&words.tried));
    sliders(ui, words, &mut what_if.tried);
    let tried = &what_if.tried;
    let against = contradictory(tried, Some(&advice.evidence));
    let broken = Judged::new(tried, tried.scan_interval().as_seconds(), &advice.evidence).broken();
    for caution in broken.iter().filter(|caution| !against.contains(caution)) {
        ui.label(format!("{} {}", caution.text, caution.remedy));
    }
    for (id, caution) in tried.cautions() {
        ui.label(format!("{}: {caution}", words.label_of(id)));
    }
    let agree = agree(ui, words, &against);
    ui.add_space(NEAR);
    ui.horizontal_wrapped(|ui| {
        if ui.button(&words.back_to_advised).clicked() {
            what_if.tried = advice.sheet.settings.clone();
        }
        let run = ui.add_enabled(agree, egui::Button::new(&words.run_tried));
        run.clicked().then(|| confirm_at(visit, advice, &what_if.tried))
    })
    .inner
}

/// Settings under their title.
pub(super) type Column<'a> = (&'a str, &'a Settings);

fn columns<'a>(words: &'a Words, what_if: &'a WhatIf) -> [Column<'a>; 3] {
    let [last, advised] = &what_if.beside;
    [(&words.current, last), (&words.advised, advised), (&words.tried, &what_if.tried)]
}

/// Settings beside each other: what one choice takes, then what `between` shows, then the tasks at home.
pub(super) fn compared(
    ui: &mut Ui,
    words: &Words,
    what_if: &WhatIf,
    columns: &[Column],
    between: impl FnOnce(&mut Ui),
) {
    let found: Vec<Option<&Prediction>> = columns.iter().map(|(_, settings)| what_if.known(settings)).collect();
    let height = ui.spacing().interact_size.y;
    ui.spacing_mut().interact_size.y = LINE;
    choice(ui, words, columns, &found);
    ui.spacing_mut().interact_size.y = height;
    between(ui);
    ui.spacing_mut().interact_size.y = LINE;
    tasks(ui, words, &found);
}

fn grid(name: &str) -> Grid {
    Grid::new(name).num_columns(4).striped(true).spacing([24.0, 4.0]).min_col_width(140.0).min_row_height(LINE)
}

/// What stands first in a line, as wide in every table.
fn first(ui: &mut Ui, text: impl Into<egui::WidgetText>) {
    ui.scope(|ui| {
        ui.set_min_width(FIRST);
        ui.label(text);
    });
}

/// The settings that differ, and what one choice takes under them.
fn choice(ui: &mut Ui, words: &Words, columns: &[Column], found: &[Option<&Prediction>]) {
    grid("choice").show(ui, |ui| {
        first(ui, "");
        columns.iter().for_each(|(title, _)| _ = ui.label(strong(*title)));
        ui.end_row();
        let differs = |id: &Id| columns.iter().any(|(_, one)| one.raw(*id) != columns[0].1.raw(*id));
        for id in MOVED.into_iter().filter(differs) {
            first(ui, words.label_of(id));
            columns.iter().for_each(|(_, settings)| _ = ui.label(words.value_of(id, settings.raw(id))));
            ui.end_row();
        }
        first(ui, strong(&words.a_choice));
        ui.end_row();
        costs(ui, words, &found.iter().map(|found| found.map(|found| found.selection)).collect::<Vec<_>>());
        first(ui, RichText::new(format!("   {}", words.found_by)).weak());
        found.iter().for_each(|found| aside(ui, how(words, *found)));
        ui.end_row();
    });
}

/// The household tasks of the menu.
fn tasks(ui: &mut Ui, words: &Words, found: &[Option<&Prediction>]) {
    let Some(named) = found.iter().flatten().next() else { return };
    grid("tasks").show(ui, |ui| {
        for (place, (label, _)) in named.tasks.iter().enumerate() {
            first(ui, strong(label));
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
        first(ui, format!("   {name}"));
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
    let digits = if figure.high < 10.0 || unit == " s" { 2 } else { 1 };
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

fn sliders(ui: &mut Ui, words: &Words, tried: &mut Settings) {
    ui.spacing_mut().slider_width = 240.0;
    for id in MOVED {
        let label = ui.label(words.label_of(id));
        control(ui, id, tried).labelled_by(label.id);
    }
}
