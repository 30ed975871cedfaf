//! What happens on the board, while it happens.

use egui::{Grid, RichText, Ui};
use egui_plot::{MarkerShape, Plot, PlotPoints, Points};

use super::{switch, watch_keys};
use crate::app::desk::parts::{aside, card, figure, heading, strong};
use crate::app::desk::state::Desk;
use crate::app::desk::theme::{BLUE, NEAR, SKY, VERMILLION};
use crate::desk::watch::{Dot, IN_VIEW, Watch};
use crate::desk::words::Words;
use crate::session::scene::Body;
use crate::session::trial::Outcome;
use crate::time::Span;

/// Wide enough for figures and latencies side by side.
const BESIDE: f32 = 700.0;

/// Height of the latencies, so that they are in sight on the smallest screen.
const HEIGHT: f32 = 110.0;
/// Room for the names of the figures.
const LABELS: f32 = 150.0;

pub(super) fn show(ui: &mut Ui, desk: &mut Desk) {
    let words = desk.words;
    match begun(desk) {
        Some(watch) => where_it_stands(ui, words, watch),
        None => opening(ui, words, desk),
    }
    watch_keys::flow(ui, desk);
    if let Some(watch) = begun(desk) {
        seen(ui, words, watch);
    }
    watch_keys::marks(ui, desk);
    if begun(desk).is_some() {
        aside(ui, &words.not_counted);
    }
}

fn begun(desk: &Desk) -> Option<&Watch> {
    desk.running.as_ref()?.watch.as_ref().filter(|watch| watch.begun())
}

/// Before the first block: what the board waits for.
fn opening(ui: &mut Ui, words: &Words, desk: &Desk) {
    heading(ui, &words.board_open);
    let began = desk.running.as_ref().is_some_and(|running| running.watch.is_some());
    ui.label(if began { &words.board_mine } else { &words.board_opens });
}

fn where_it_stands(ui: &mut Ui, words: &Words, watch: &Watch) {
    if watch.session().is_none() {
        ui.label(strong(&words.not_heard));
    }
    ui.horizontal_wrapped(|ui| {
        let trial = watch.trial().map_or_else(String::new, |(number, of)| format!(" {number} / {of}"));
        ui.label(figure(format!("{}{trial}", words.trial)));
        page(ui, watch);
    });
}

fn seen(ui: &mut Ui, words: &Words, watch: &Watch) {
    let findings = watch.findings();
    if !findings.is_empty() {
        return switch::found(ui, words, &findings);
    }
    tally(ui, words, watch);
    if ui.available_width() < BESIDE {
        figures(ui, words, watch);
        latencies(ui, words, watch);
    } else {
        ui.columns(2, |columns| {
            figures(&mut columns[0], words, watch);
            latencies(&mut columns[1], words, watch);
        });
    }
}

fn figures(ui: &mut Ui, words: &Words, watch: &Watch) {
    card(ui, |ui| {
        ui.spacing_mut().interact_size.y = 0.0;
        let room = ui.available_width() - LABELS;
        Grid::new("now").num_columns(2).spacing([16.0, NEAR]).min_col_width(0.0).max_col_width(room).show(ui, |ui| {
            now(ui, words, watch);
        });
    });
    ui.add_space(NEAR);
}

/// What stands on the board where no tiles do.
fn page(ui: &mut Ui, watch: &Watch) {
    let Some(session) = watch.session() else { return };
    if let Body::Message(message) = &session.scene().body {
        ui.label(strong(&message.title));
    }
    if let Some(note) = &session.scene().note {
        ui.label(RichText::new(&note.text).color(if note.urgent { VERMILLION } else { ui.visuals().text_color() }));
    }
}

fn now(ui: &mut Ui, words: &Words, watch: &Watch) {
    let mut line = |name: &str, value: String| {
        ui.label(name);
        ui.label(strong(value));
        ui.end_row();
    };
    let lit = watch.lit();
    line(&words.asked_for, watch.cue().unwrap_or("–").to_string());
    line(&words.lit_now, if lit.is_empty() { "–".into() } else { lit.join(" · ") });
    line(&words.scan_rate, interval(words, watch));
    line(&words.on_task, minutes(watch.on_task()));
    let due = watch.rest_due().filter(|due| due.trials > 0).map(|due| {
        let time = due.time.map_or_else(String::new, |time| format!(" · ≤ {}", minutes(time)));
        format!("{}: {}{time}", words.trials_left, due.trials)
    });
    line(&words.rest_due, due.unwrap_or_else(|| "–".into()));
}

fn interval(words: &Words, watch: &Watch) -> String {
    let seconds = |span: Span| format!("{:.2} s", span.as_seconds());
    match watch.interval() {
        None => "–".into(),
        Some((now, next)) if now == next => seconds(now),
        Some((now, next)) => format!("{} · {}: {}", seconds(now), words.from_next_trial, seconds(next)),
    }
}

fn minutes(span: Span) -> String {
    let seconds = span.as_seconds() as u64;
    format!("{}:{:02} min", seconds / 60, seconds % 60)
}

/// The last latencies, in order; shape and colour tell a hit from anything else.
fn latencies(ui: &mut Ui, words: &Words, watch: &Watch) {
    let dots: Vec<Dot> = watch.dots();
    let last = dots.last().map_or_else(|| "–".to_string(), |dot| format!("{:.2} s", dot.seconds));
    ui.label(format!("{}: {last}", words.last_latency));
    let right = if ui.visuals().dark_mode { SKY } else { BLUE };
    let of = |hit: bool| -> PlotPoints<'static> {
        let those = dots.iter().enumerate().filter(|(_, dot)| (dot.outcome == Outcome::Hit) == hit);
        those.map(|(place, dot)| [place as f64, dot.seconds]).collect()
    };
    let plot = Plot::new("latencies").height(HEIGHT).allow_drag(false).allow_zoom(false).allow_scroll(false);
    let plot = plot.show_axes([false, true]).show_grid([false, true]).y_axis_label("s");
    plot.show_x(false).include_y(0.0).include_y(1.0).include_x(0.0).include_x((IN_VIEW - 1) as f64).show(ui, |plot| {
        plot.points(Points::new(&words.hits, of(true)).color(right).radius(5.0));
        plot.points(Points::new(&words.others, of(false)).color(VERMILLION).radius(6.0).shape(MarkerShape::Cross));
    });
}

fn tally(ui: &mut Ui, words: &Words, watch: &Watch) {
    let tally = watch.tally();
    let named = [
        (&words.hits, Outcome::Hit),
        (&words.early, Outcome::Early),
        (&words.late, Outcome::Late),
        (&words.wrong_item, Outcome::Wrong),
        (&words.omissions, Outcome::Omission),
        (&words.extra, Outcome::Extra),
    ];
    let counted = named.map(|(name, outcome)| format!("{name} {}", tally.get(&outcome).copied().unwrap_or_default()));
    ui.label(strong(counted.join(" · ")));
}
