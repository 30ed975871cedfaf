//! Papers for others: which one, which of its sections, how it will look, written and opened to be printed.

use std::collections::BTreeSet;

use egui::{Grid, RichText, Ui};

use super::findings::{overview, sheet, undecided};
use crate::advice::overview::Overview;
use crate::advice::overview_text::comparisons;
use crate::analysis::set_ups;
use crate::app::desk::parts::{aside, card, heading, main_button, strong};
use crate::app::desk::state::{Desk, Seen, Visit, Wish};
use crate::app::desk::theme::VERMILLION;
use crate::desk::carry_over::AtHome;
use crate::desk::papers::carer::Carer;
use crate::desk::papers::funder::Funder;
use crate::desk::papers::outcome::Visited;
use crate::desk::papers::{Block, Paper, Section, carer, funder, html, outcome};
use crate::desk::person::Outcome;
use crate::desk::words::Words;
use crate::session::setup::Setup;
use crate::settings::Id;

/// What is to be written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chosen {
    kind: Kind,
    /// Which set-up a page for carers is for.
    set_up: usize,
    left_out: BTreeSet<String>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Kind {
    #[default]
    Carer,
    Funder,
    Outcome,
}

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words;
    heading(ui, &words.papers);
    let found = overview(ui, desk);
    let (interest, today) = (desk.typed.interest / 100.0, desk.today.clone());
    let Some(visit) = &mut desk.visit else { return };
    which(ui, words, visit);
    let review = &visit.person.review;
    if !review.is_empty() && *review < today {
        // It stands on every paper.
        ui.label(RichText::new(format!("{}: {review} · {}", words.paper_review, words.overdue)).color(VERMILLION));
    }
    let found = found.as_ref().map(|(overview, seen)| (&**overview, &seen[..]));
    let Some(paper) = paper(visit, found, interest, &today, words) else { return aside(ui, &words.set_up_missing) };
    sections(ui, words, &paper, &mut visit.paper.left_out);
    let paper = paper.without(&visit.paper.left_out);
    if main_button(ui, &words.write_paper).clicked() {
        let wish = Wish::Paper { name: name(visit, &today), html: html::html(&paper) };
        desk.wishes.push(wish);
    }
    preview(ui, words, &paper);
}

fn which(ui: &mut Ui, words: &Words, visit: &mut Visit) {
    let kind = &mut visit.paper.kind;
    ui.horizontal_wrapped(|ui| {
        ui.radio_value(kind, Kind::Carer, &words.paper_carer);
        ui.radio_value(kind, Kind::Funder, &words.paper_funder);
        let title = match visit.person.outcome {
            Outcome::NotAsked | Outcome::Scanning => None,
            Outcome::DirectWay => Some(&words.no_scanning),
            Outcome::NoReliableSwitch => Some(&words.outcome_none),
        };
        match title {
            Some(title) => _ = ui.radio_value(kind, Kind::Outcome, title),
            None if *kind == Kind::Outcome => *kind = Kind::Carer,
            None => {}
        }
    });
    let set_ups = &visit.person.set_ups;
    if visit.paper.kind == Kind::Carer && set_ups.len() > 1 {
        ui.horizontal_wrapped(|ui| {
            for (place, setup) in set_ups.iter().enumerate() {
                ui.radio_value(&mut visit.paper.set_up, place, set_ups::name(setup));
            }
        });
    }
}

/// The paper that is chosen; `None` where there is no set-up to write it for.
fn paper(
    visit: &Visit,
    found: Option<(&Overview, &[Seen])>,
    interest: f64,
    today: &str,
    words: &Words,
) -> Option<Paper> {
    let (person, code) = (&visit.person, visit.code.as_str());
    let set_ups = found.map_or(&[][..], |(overview, _)| &overview.set_ups);
    let invented = set_ups.iter().any(|one| one.advice.as_ref().is_ok_and(|advice| advice.evidence.invented));
    let named = || set_ups.iter().map(|one| one.set_up.name.clone());
    match visit.paper.kind {
        Kind::Carer => {
            let measured = || set_ups.iter().rev().find_map(|one| Some(&one.advice.as_ref().ok()?.evidence.setup));
            let setup = person.set_ups.get(visit.paper.set_up).or(person.set_ups.first()).or_else(measured)?;
            let (home, undecided) = at_home(visit, found, setup).unzip();
            let undecided = undecided.unwrap_or_default();
            Some(carer::paper(&Carer { code, person, setup, home: home.as_ref(), undecided, today }, words))
        }
        Kind::Funder => {
            let tried = set_ups.iter().map(|one| (one.set_up.name.as_str(), one.advice.as_ref().ok())).collect();
            let compared = found.map_or(Vec::new(), |(overview, _)| comparisons(overview));
            Some(funder::paper(&Funder { code, person, tried, compared, interest, today, invented }, words))
        }
        Kind::Outcome => outcome::paper(&Visited { code, person, tried: named().collect(), today, invented }, words),
    }
}

/// The values at home for a set-up, where it was measured and the controller is known; and what nobody has decided yet.
fn at_home(visit: &Visit, found: Option<(&Overview, &[Seen])>, setup: &Setup) -> Option<(AtHome, Vec<Id>)> {
    let (overview, seen) = found?;
    let controller = &visit.person.controller;
    controller.check().ok()?;
    let same =
        |advice: &crate::advice::set_up::SetUpAdvice| set_ups::differences(&advice.evidence.setup, setup).is_empty();
    let one = overview.set_ups.iter().find(|one| one.advice.as_ref().is_ok_and(same))?;
    let home = controller.carry_over(&sheet(&visit.person, one, seen)?);
    Some((home, undecided(&visit.person, one, seen)))
}

/// Written beside the client's other files, under a name that makes it theirs.
fn name(visit: &Visit, today: &str) -> String {
    let kind = match visit.paper.kind {
        Kind::Carer => format!("carers-{}", visit.paper.set_up + 1),
        Kind::Funder => "request".into(),
        Kind::Outcome => "outcome".into(),
    };
    format!("{}.{kind}-{today}.html", visit.code)
}

fn sections(ui: &mut Ui, words: &Words, paper: &Paper, left_out: &mut BTreeSet<String>) {
    aside(ui, &words.paper_sections);
    ui.horizontal_wrapped(|ui| {
        for section in paper.sections.iter().filter(|section| !section.title.is_empty()) {
            let mut stays = !left_out.contains(&section.title);
            if ui.checkbox(&mut stays, &section.title).changed() {
                _ = if stays { left_out.remove(&section.title) } else { left_out.insert(section.title.clone()) };
            }
        }
    });
}

fn preview(ui: &mut Ui, words: &Words, paper: &Paper) {
    heading(ui, &words.preview);
    card(ui, |ui| {
        ui.label(strong(&paper.title).heading());
        paper.sections.iter().enumerate().for_each(|(place, section)| part(ui, place, section));
    });
}

fn part(ui: &mut Ui, place: usize, section: &Section) {
    if !section.title.is_empty() {
        ui.add_space(8.0);
        ui.label(strong(&section.title));
    }
    for (number, one) in section.blocks.iter().enumerate() {
        block(ui, (place, number), one);
    }
}

fn block(ui: &mut Ui, place: (usize, usize), block: &Block) {
    match block {
        Block::Text(text) => _ = ui.label(text),
        Block::Facts(facts) => rows(ui, place, facts.iter().map(|(name, value)| vec![name.as_str(), value])),
        Block::Steps(steps) => (1..).zip(steps).for_each(|(number, step)| _ = ui.label(format!("{number}. {step}"))),
        Block::Points(points) => points.iter().for_each(|point| _ = ui.label(format!("· {point}"))),
        Block::Table(titles, lines) => {
            let cells = std::iter::once(titles).chain(lines);
            rows(ui, place, cells.map(|row| row.iter().map(String::as_str).collect()));
        }
    }
}

fn rows<'a>(ui: &mut Ui, place: (usize, usize), rows: impl Iterator<Item = Vec<&'a str>>) {
    Grid::new(("paper", place)).striped(true).min_row_height(22.0).spacing([20.0, 4.0]).max_col_width(220.0).show(
        ui,
        |ui| {
            for row in rows {
                row.into_iter().for_each(|cell| _ = ui.label(cell));
                ui.end_row();
            }
        },
    );
}
