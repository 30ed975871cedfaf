//! What is practised between visits: the plan that goes home, as a form.

use egui::{DragValue, Ui};

use crate::app::desk::parts::{aside, asked, heading, strong};
use crate::app::desk::state::{Visit, Wish};
use crate::desk::practice_edit::{NAMES, choose, file_name, fresh, written};
use crate::desk::words::Words;
use crate::practice::plan::{Goal, HelpBy, Plan};
use crate::settings::Settings;

/// The form; a wish to write the plan, which begins with what the settings `sheet` holds.
pub(super) fn show(
    ui: &mut Ui,
    words: &Words,
    visit: &mut Visit,
    sheet: Option<&Settings>,
    today: &str,
) -> Option<Wish> {
    heading(ui, &words.practice);
    let Some(plan) = &mut visit.person.practice else {
        if ui.button(&words.practice_begin).clicked() {
            visit.person.practice = Some(fresh(&visit.code, &visit.person.help, sheet, today));
        }
        return None;
    };
    form(ui, words, plan);
    let (text, problems) = written(plan);
    problems.iter().for_each(|problem| _ = ui.label(strong(format!("{} {}", problem.what, problem.remedy))));
    let name = file_name(&visit.code);
    let write = ui.add_enabled(text.is_some(), egui::Button::new(&words.practice_write)).clicked();
    aside(ui, format!("{} pacewright pack --plan {name} --client {}", words.practice_pack, visit.code));
    text.filter(|_| write).map(|text| Wish::Plan { name, text })
}

fn form(ui: &mut Ui, words: &Words, plan: &mut Plan) {
    asked(ui, &words.practice_help, &mut plan.help.how, 1);
    ui.horizontal_wrapped(|ui| {
        ui.radio_value(&mut plan.help.by, HelpBy::PersonInRoom, &words.practice_person);
        ui.radio_value(&mut plan.help.by, HelpBy::SecondMeans, &words.practice_second);
    });
    ui.label(&words.practice_steps);
    ui.horizontal_wrapped(|ui| {
        for (id, name) in NAMES.iter() {
            let mut wanted = plan.steps.iter().any(|step| step == id);
            if ui.checkbox(&mut wanted, name).changed() {
                choose(plan, id, wanted);
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        ui.label(&words.practice_goal);
        ui.radio_value(&mut plan.goal, Goal::Improve, &words.practice_improve);
        ui.radio_value(&mut plan.goal, Goal::Keep, &words.practice_keep);
    });
    number(ui, &words.practice_minutes, &mut plan.minutes, 1.0..=30.0, 1.0);
    let mut success = 100.0 * plan.success;
    if number(ui, &words.practice_success, &mut success, 70.0..=98.0, 1.0) {
        plan.success = success.round() / 100.0;
    }
    let limits = plan.limits();
    let ends = [
        (&words.practice_shortest, &mut plan.limits.shortest, limits.shortest),
        (&words.practice_longest, &mut plan.limits.longest, limits.longest),
    ];
    for (name, limit, in_force) in ends {
        let mut seconds = limit.unwrap_or(in_force.as_seconds());
        if number(ui, name, &mut seconds, 0.3..=20.0, 0.05) {
            *limit = Some((100.0 * seconds).round() / 100.0);
        }
    }
    ui.checkbox(&mut plan.limits.locked, &words.practice_locked);
}

/// A number with its name; says whether it was changed.
fn number(ui: &mut Ui, name: &str, value: &mut f64, range: std::ops::RangeInclusive<f64>, speed: f64) -> bool {
    ui.horizontal(|ui| {
        let label = ui.label(name);
        ui.add(DragValue::new(value).range(range).speed(speed).max_decimals(2)).labelled_by(label.id).changed()
    })
    .inner
}
