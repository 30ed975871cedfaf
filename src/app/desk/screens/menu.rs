//! The client's menu: what is on it and in which order, changed entry by entry, with a preview beside it.

use egui::{Color32, ComboBox, DragValue, Frame, RichText, TextEdit, Ui};

use crate::app::desk::parts::{aside, heading, strong};
use crate::app::desk::state::Visit;
use crate::app::desk::theme::VERMILLION;
use crate::desk::menu_edit::{Step, add, drop_lost_tasks, entry, rename, take, ways};
use crate::desk::words::Words;
use crate::menu::{Group, ICONS, Menu, Node, shipped};

/// The shipped menu that an own one begins with.
const FIRST: &str = "six";

pub(super) fn show(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    heading(ui, &words.menu);
    ui.horizontal_wrapped(|ui| {
        let own = visit.person.menu.is_some();
        if ui.radio(!own, &words.menu_of_protocol).clicked() {
            visit.person.menu = None;
        }
        if ui.radio(own, &words.menu_own).clicked() && !own {
            visit.person.menu = shipped::find(FIRST).map(|menu| menu.to_json());
        }
    });
    let setup = visit.person.set_ups.get(visit.chosen).cloned();
    let own = match visit.edited_menu() {
        Ok(Some(own)) => own,
        Ok(None) => return,
        Err(wrong) => return anew(ui, words, visit, &wrong),
    };
    let mut menu = own.menu.clone();
    let moved = editor(ui, words, &mut menu);
    let kept = match moved {
        true => own.changed(menu, setup.as_ref()),
        false if menu != own.menu => own.typed(menu),
        false => None,
    };
    let refused = own.refused.iter().map(|why| format!("{}: {why}", words.menu_refused));
    let wrong = own.wrong.iter().map(|why| format!("{}: {why}", words.menu_not_kept));
    refused.chain(wrong).for_each(|why| _ = ui.label(RichText::new(why).color(VERMILLION)));
    preview(ui, words, &own.menu);
    if kept.is_some() {
        visit.person.menu = kept;
    }
}

/// The file holds a menu that is none.
fn anew(ui: &mut Ui, words: &Words, visit: &mut Visit, wrong: &[String]) {
    wrong.iter().for_each(|why| _ = ui.label(RichText::new(why).color(VERMILLION)));
    if ui.button(&words.menu_anew).clicked() {
        visit.person.menu = shipped::find(FIRST).map(|menu| menu.to_json());
    }
}

/// The editor; whether something was added or moved.
fn editor(ui: &mut Ui, words: &Words, menu: &mut Menu) -> bool {
    let mut step = None;
    for way in ways(menu) {
        let Some(node) = entry(menu, &way) else { continue };
        ui.push_id(&way, |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.add_space(22.0 * (way.len() - 1) as f32);
                step = fields(ui, words, node).map(|step| (way.clone(), step)).or(step.take());
            });
        });
    }
    let mut moved = step.is_some_and(|(way, step)| take(menu, &way, step));
    if moved {
        drop_lost_tasks(menu);
    }
    if ui.button(&words.menu_add).clicked() {
        add(menu, &words.menu_new_item);
        moved = true;
    }
    moved
}

/// The fields of an entry; what is to be done with it.
fn fields(ui: &mut Ui, words: &Words, node: &mut Node) -> Option<Step> {
    let (old, icon) = match node {
        Node::Item(item) => (item.label.clone(), &mut item.icon),
        Node::Group(group) => (group.label.clone(), &mut group.icon),
    };
    let mut label = old.clone();
    ui.add(TextEdit::singleline(&mut label).desired_width(150.0).char_limit(24)).on_hover_text(&words.label);
    let renamed = label != old && !label.trim().is_empty();
    ComboBox::from_id_salt("icon").width(110.0).selected_text(icon.as_str()).show_ui(ui, |ui| {
        for name in ICONS {
            ui.selectable_value(icon, (*name).to_string(), *name);
        }
    });
    match node {
        Node::Item(item) => {
            if renamed {
                rename(item, &label);
            }
            ui.add(TextEdit::singleline(&mut item.cue).desired_width(190.0)).on_hover_text(&words.asked_as);
            ui.add(DragValue::new(&mut item.weight).range(0.1..=1e3).speed(0.1).max_decimals(1))
                .on_hover_text(&words.use_weight);
            ui.checkbox(&mut item.placed_by_risk, &words.by_risk);
            ui.checkbox(&mut item.needs_confirming, &words.confirming);
        }
        Node::Group(group) => {
            if renamed {
                (group.label, group.spoken) = (label.clone(), label);
            }
            ui.checkbox(&mut group.page, &words.own_page);
        }
    }
    steps(ui, words)
}

fn steps(ui: &mut Ui, words: &Words) -> Option<Step> {
    let names = [
        &words.step_sooner,
        &words.step_later,
        &words.step_into,
        &words.step_out,
        &words.step_own_group,
        &words.remove,
    ];
    let clicked = Step::ALL.into_iter().zip(names).filter(|(_, name)| ui.small_button(name.as_str()).clicked());
    clicked.map(|(step, _)| step).last()
}

/// How it will be scanned: entries in order, groups in frames.
fn preview(ui: &mut Ui, words: &Words, menu: &Menu) {
    ui.label(strong(&words.preview));
    tiles(ui, &menu.top);
    aside(ui, format!("{}: {}", words.items_on_menu, menu.items().len()));
}

fn tiles(ui: &mut Ui, group: &Group) {
    ui.horizontal_wrapped(|ui| {
        for node in &group.entries {
            match node {
                Node::Item(item) => {
                    let marks = if item.needs_confirming { " ?" } else { "" };
                    tile(ui, &format!("{}{marks}", item.label), item.placed_by_risk);
                }
                Node::Group(inner) => {
                    Frame::group(ui.style()).show(ui, |ui| {
                        ui.vertical(|ui| {
                            aside(ui, &inner.label);
                            tiles(ui, inner);
                        });
                    });
                }
            }
        }
    });
}

fn tile(ui: &mut Ui, label: &str, by_risk: bool) {
    let line = if by_risk { 3.0 } else { 1.0 };
    let stroke = egui::Stroke::new(line, ui.visuals().text_color());
    Frame::new().stroke(stroke).fill(Color32::TRANSPARENT).inner_margin(10.0).corner_radius(4.0).show(ui, |ui| {
        ui.label(RichText::new(label));
    });
}
