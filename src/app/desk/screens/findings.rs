//! What to set, how sure, what to watch; each value accepted, adjusted with a reason, or rejected.

use egui::{CollapsingHeader, RichText, Ui};

use super::setting::{agree, contradictory, set};
use crate::advice::overview::{Overview, SetUpOverview};
use crate::advice::recommendation::{Advice, Recommendation};
use crate::advice::set_up::SetUpAdvice;
use crate::advice::text;
use crate::analysis::words::capital;
use crate::app::desk::parts::{aside, card, figure, heading, main_button, strong};
use crate::app::desk::state::{Desk, Found, Seen, Trial, Visit};
use crate::app::desk::theme::{NEAR, VERMILLION};
use crate::desk::decided;
use crate::desk::person::{Decision, Person, Verdict};
use crate::desk::words::Words;
use crate::settings::{Id, Settings, show_evenly};

/// Its name.
pub const NAME: &str = "findings";

/// The protocol that tries a sheet.
const CONFIRM: &str = "confirm";

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    damaged(ui, desk);
    let Some((overview, seen)) = overview(ui, desk) else { return };
    let words = desk.words;
    let today = desk.today.clone();
    let Some(visit) = &mut desk.visit else { return };
    choose(ui, &overview, visit);
    let Some(one) = overview.set_ups.get(visit.set_up) else { return };
    sessions(ui, words, one, &seen);
    checks(ui, words, one, &seen);
    let advice = match &one.advice {
        Ok(advice) => advice,
        Err(unfit) => {
            ui.label(unfit.to_string());
            return;
        }
    };
    let log = last_log(one, &seen);
    values(ui, words, visit, advice, &Dated { log: &log, today: &today });
    watch(ui, words, advice);
    let sheet = sheet(&visit.person, one, &seen).unwrap_or_default();
    let confirm = confirm(ui, words, visit, advice, &sheet);
    others(ui, advice);
    confirm.into_iter().for_each(|confirm| desk.begin(confirm));
}

/// Sessions of the client that are damaged, and whether they count all the same.
fn damaged(ui: &mut Ui, desk: &Desk) {
    let Some(visit) = &desk.visit else { return };
    let words = desk.words;
    let judged = |log: &str| matches!(&visit.found, Found::Here(_, seen) if seen.iter().any(|one| one.log == log));
    for (log, _) in desk.sessions_of(visit.code.as_str()).filter(|(_, entry)| entry.damaged) {
        let what = if judged(log) { &words.damaged_counts } else { &words.damaged_lost };
        ui.label(RichText::new(format!("{log}: {what}. {}", words.damaged_check)).color(VERMILLION));
    }
}

/// The log that the advice of a set-up is dated by: its last one.
fn last_log(one: &SetUpOverview, seen: &[Seen]) -> String {
    one.set_up.sessions.last().map(|place| seen[*place].log.clone()).unwrap_or_default()
}

/// The sheet of a set-up as it was decided; `None` where nothing can be advised.
pub(super) fn sheet(person: &Person, one: &SetUpOverview, seen: &[Seen]) -> Option<Settings> {
    let advice = one.advice.as_ref().ok()?;
    Some(decided::sheet(person, &last_log(one, seen), &advice.sheet.settings, &advice.evidence.settings))
}

/// Advised values of a set-up of which nobody has decided yet.
pub(super) fn undecided(person: &Person, one: &SetUpOverview, seen: &[Seen]) -> Vec<Id> {
    let Ok(advice) = &one.advice else { return Vec::new() };
    let log = last_log(one, seen);
    let decided = |id: &Id| person.decisions.iter().any(|made| made.log == log && made.setting == id.setting().name);
    let advised = advice.recommendations.iter().filter_map(|one| match &one.advice {
        Advice::Set { setting, .. } => Some(*setting),
        _ => None,
    });
    advised.filter(|id| !decided(id)).collect()
}

/// What was found, or a word on why there is nothing yet.
pub(super) fn overview(ui: &mut Ui, desk: &mut Desk) -> Option<(std::sync::Arc<Overview>, std::sync::Arc<[Seen]>)> {
    match desk.found() {
        Found::Here(overview, seen) => Some((overview, seen)),
        Found::Nothing(why) => {
            ui.label(why);
            None
        }
        Found::No | Found::Reading => {
            aside(ui, desk.words.reading.clone());
            None
        }
    }
}

/// Which set-up, where there are several: they are never pooled.
pub(super) fn choose(ui: &mut Ui, overview: &Overview, visit: &mut Visit) {
    if overview.set_ups.len() > 1 {
        ui.horizontal_wrapped(|ui| {
            for (place, one) in overview.set_ups.iter().enumerate() {
                ui.selectable_value(&mut visit.set_up, place, &one.set_up.name);
            }
        });
    }
}

fn sessions(ui: &mut Ui, words: &Words, one: &SetUpOverview, seen: &[Seen]) {
    heading(ui, &capital(&one.set_up.name));
    let days: Vec<&str> = one.set_up.sessions.iter().map(|place| seen[*place].day.as_str()).collect();
    aside(ui, format!("{}: {}", words.sessions, days.join(", ")));
}

/// What the last switch check of the set-up found out.
fn checks(ui: &mut Ui, words: &Words, one: &SetUpOverview, seen: &[Seen]) {
    let places = one.set_up.sessions.iter().chain(&one.set_up.other_menu).copied();
    let Some(last) = places.filter(|place| !seen[*place].checks.is_empty()).max() else { return };
    heading(ui, &words.switch_check);
    aside(ui, &seen[last].day);
    super::switch::found(ui, words, &seen[last].checks);
}

/// What a decision is dated by.
struct Dated<'a> {
    log: &'a str,
    today: &'a str,
}

fn values(ui: &mut Ui, words: &Words, visit: &mut Visit, advice: &SetUpAdvice, dated: &Dated) {
    heading(ui, &words.what_to_set);
    aside(ui, advice.status());
    for one in &advice.recommendations {
        if let Advice::Set { setting, value, unit, interval, .. } = &one.advice {
            card(ui, |ui| {
                ui.horizontal_wrapped(|ui| {
                    ui.label(figure(text::number(*value, unit)));
                    ui.vertical(|ui| {
                        ui.label(strong(words.label_of(*setting)));
                        let range = interval.map_or_else(String::new, |[low, high]| {
                            format!(" · 90 %: {} – {}", text::number(low, unit), text::number(high, unit))
                        });
                        aside(ui, format!("{}: {}{range} · n = {}", words.how_sure, words.sure(one.sure), one.trials));
                    });
                });
                let advised = Advised { id: *setting, text: text::number(*value, unit) };
                decide(ui, words, visit, &advised, dated);
                evidence(ui, words, one);
            });
            ui.add_space(NEAR);
        }
    }
}

/// An advised value.
struct Advised {
    id: Id,
    text: String,
}

fn decide(ui: &mut Ui, words: &Words, visit: &mut Visit, advised: &Advised, dated: &Dated) {
    let name = advised.id.setting().name;
    let last = visit.person.decisions.iter().rev().find(|one| one.setting == name && one.log == dated.log);
    let told = match last.map(|one| (&one.verdict, &one.reason)) {
        None => words.undecided.clone(),
        Some((Verdict::Accepted, _)) => words.accepted.clone(),
        Some((Verdict::Adjusted(value), reason)) => format!("{} {value}: {reason}", words.adjusted),
        Some((Verdict::Rejected, reason)) => format!("{}: {reason}", words.rejected),
    };
    let mut verdict = None;
    ui.horizontal_wrapped(|ui| {
        if ui.button(&words.accept).clicked() {
            verdict = Some(Verdict::Accepted);
        }
        let (value, reason) = visit.reasons.entry(name).or_default();
        let label = ui.label(&words.adjust);
        ui.add(egui::TextEdit::singleline(value).desired_width(70.0)).labelled_by(label.id);
        let label = ui.label(&words.why);
        ui.add(egui::TextEdit::singleline(reason).desired_width(180.0)).labelled_by(label.id);
        // A change without a reason cannot be understood at the next visit.
        let reasoned = !reason.trim().is_empty();
        let settable = decided::value(advised.id, value);
        if ui.add_enabled(reasoned && settable.is_ok(), egui::Button::new(&words.adjust)).clicked() {
            verdict = settable.as_ref().ok().map(|raw| Verdict::Adjusted(show_evenly(advised.id, *raw)));
        }
        if ui.add_enabled(reasoned, egui::Button::new(&words.reject)).clicked() {
            verdict = Some(Verdict::Rejected);
        }
        ui.label(strong(told));
        if let Some(why) = settable.err().filter(|_| !value.trim().is_empty()) {
            ui.label(why);
        }
    });
    if let Some(verdict) = verdict {
        let reason = match verdict {
            Verdict::Accepted => String::new(),
            _ => visit.reasons.remove(name).unwrap_or_default().1.trim().to_string(),
        };
        let (on, log) = (dated.today.to_string(), dated.log.to_string());
        let advised = advised.text.clone();
        visit.person.decisions.push(Decision { on, log, setting: name.into(), advised, verdict, reason });
    }
}

fn evidence(ui: &mut Ui, words: &Words, one: &Recommendation) {
    CollapsingHeader::new(&words.evidence).id_salt(one.rule).show(ui, |ui| {
        text::details(one).into_iter().for_each(|line| _ = ui.label(line));
    });
}

fn watch(ui: &mut Ui, words: &Words, advice: &SetUpAdvice) {
    let cautions = advice.recommendations.iter().flat_map(|one| &one.cautions).chain(&advice.sheet.broken);
    let cautions: Vec<String> = cautions.map(|one| format!("{} {}", one.text, one.remedy)).collect();
    if !cautions.is_empty() {
        heading(ui, &words.what_to_watch);
        cautions.into_iter().for_each(|line| _ = ui.label(line));
    }
}

/// The confirm block at the values of the sheet.
fn confirm(ui: &mut Ui, words: &Words, visit: &Visit, advice: &SetUpAdvice, sheet: &Settings) -> Option<Trial> {
    ui.add_space(NEAR);
    let agree = agree(ui, words, &contradictory(sheet, Some(&advice.evidence)));
    let clicked = ui.add_enabled_ui(agree, |ui| main_button(ui, &words.confirm_block).clicked()).inner;
    clicked.then(|| confirm_at(visit, advice, sheet))
}

/// The same at these settings: those that the protocol does not have by itself are set. It is run on the menu that
/// the client has.
pub(super) fn confirm_at(visit: &Visit, advice: &SetUpAdvice, settings: &Settings) -> Trial {
    let (setup, set) = (advice.evidence.setup.clone(), set(settings, CONFIRM));
    Trial { setup, set, menu: visit.own_menu(), ..Trial::new(visit.code.clone(), CONFIRM) }
}

/// What sets no value: notes, what is missing, what stays.
fn others(ui: &mut Ui, advice: &SetUpAdvice) {
    ui.add_space(NEAR);
    for one in advice.recommendations.iter().filter(|one| !matches!(one.advice, Advice::Set { .. })) {
        CollapsingHeader::new(text::headline(one, &advice.verdict)).id_salt(one.rule).show(ui, |ui| {
            text::details(one).into_iter().for_each(|line| _ = ui.label(line));
        });
    }
}
